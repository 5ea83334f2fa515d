"""Location, Sighting (where an item is, is the last of many events) and Release (given back)."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from jobs.book.models import Item, Job, Party
from jobs.papers.models import Paper


class Location(models.Model):
    """A rack hook, bay, cupboard or room. A closed one takes nothing more; what hung there keeps its trail."""

    name = models.CharField(max_length=40, unique=True)
    room = models.CharField(max_length=60, blank=True)
    position = models.PositiveIntegerField(default=0, help_text="its place in the shop's own order; rooms follow it")
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class Sighting(models.Model):
    """Someone saw or put an item somewhere."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="sightings")
    location = models.ForeignKey(Location, null=True, on_delete=models.PROTECT, related_name="sightings")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    how = models.CharField(
        max_length=10, choices=[("intake", "intake"), ("scan", "scan"), ("hand", "by hand"), ("home", "gone home")]
    )

    class Meta:
        indexes: ClassVar = [models.Index(fields=["item", "-at"])]

    def __str__(self) -> str:
        return f"{self.item_id} at {self.location_id}"


class Release(models.Model):
    """Giving a job's things back: who collected, how known, on which paper."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="releases")
    collector = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="+")
    collector_name = models.CharField(max_length=160)
    identity_note = models.CharField(max_length=160)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    paper = models.ForeignKey(Paper, null=True, on_delete=models.PROTECT, related_name="releases")

    def __str__(self) -> str:
        return f"release of {self.job_id}"


class ReleasedThing(models.Model):
    """One thing ticked at the counter."""

    release = models.ForeignKey(Release, on_delete=models.PROTECT, related_name="things")
    words = models.CharField(max_length=120)
    item = models.ForeignKey(Item, null=True, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.words
