"""ConditionLine (in the signed note) and Finding (seen after it was signed; never edits it)."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from jobs.book.models import Job
from jobs.condition.scales import FRESHNESS, SEVERITY, STABILITY
from jobs.photos.models import Photo


class ConditionLine(models.Model):
    """One thing found at intake."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="condition_lines")
    number = models.PositiveSmallIntegerField()
    term = models.CharField(max_length=24)
    term_words = models.CharField(max_length=120)
    words = models.CharField(max_length=120, blank=True, help_text="what the receiver added in own words")
    part = models.CharField(max_length=24, blank=True)
    where = models.CharField(max_length=120, blank=True)
    extent_mm = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    severity = models.CharField(max_length=10, choices=list(SEVERITY.items()))
    stability = models.CharField(max_length=10, choices=list(STABILITY.items()), default="unknown")
    freshness = models.CharField(max_length=10, choices=list(FRESHNESS.items()), default="unknown")
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["job", "number"], name="condition_number_once")]

    def __str__(self) -> str:
        return f"{self.number} {self.term_words}"


class Finding(models.Model):
    """Something found after the note was signed."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="findings")
    words = models.TextField()
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.words[:60]
