"""WorkSpell (clock started and stopped), Wait (glue, varnish, settling), BenchNote, and Check (by someone else)."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.bench.rests import RESTS
from jobs.book.models import Job
from jobs.estimates.models import Line
from jobs.photos.models import Photo


class WorkSpell(models.Model):
    """One stretch of one person's time on one job. A person has one running clock at most."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="spells")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="spells")
    line = models.ForeignKey(Line, null=True, blank=True, on_delete=models.PROTECT, related_name="spells")
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person"], condition=Q(stopped_at__isnull=True), name="one_running_clock_per_person"
            ),
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True) | Q(stopped_at__gte=F("started_at")), name="spell_ends_after_start"
            ),
        ]

    def __str__(self) -> str:
        return f"spell {self.pk}"


class Wait(models.Model):
    """What rests and until when. A job has one open wait at most; a person confirms that its time is over."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="waits")
    what = models.CharField(max_length=10, choices=list(RESTS.items()))
    words = models.CharField(max_length=80, blank=True)
    until = models.DateTimeField(null=True, blank=True, help_text="empty: nobody has said yet")
    laid_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    laid_at = models.DateTimeField()
    confirmed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    confirmed_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True, help_text="the move that began it was taken back")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["job"],
                condition=Q(confirmed_at__isnull=True, dropped_at__isnull=True),
                name="one_open_wait_per_job",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("laid_at")), name="wait_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.what} {self.words}".strip()


class BenchNote(models.Model):
    """What someone at the bench wrote down, perhaps with a photo."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="notes")
    words = models.TextField(blank=True)
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-at"]

    def __str__(self) -> str:
        return self.words[:60]


class Check(models.Model):
    """A second check. `passed` false means sent back, with what and why."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="checks")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    passed = models.BooleanField()
    words = models.TextField(blank=True)

    def __str__(self) -> str:
        return "passed" if self.passed else "sent back"


class CheckTick(models.Model):
    """One approved line looked at in a check."""

    check_made = models.ForeignKey(Check, on_delete=models.PROTECT, related_name="ticks")
    words = models.CharField(max_length=160)
    done = models.BooleanField()

    def __str__(self) -> str:
        return self.words
