"""Photo: one picture, its original kept as it came, and the sizes made from it."""

from typing import ClassVar

from django.conf import settings
from django.core.files.storage import Storage, storages
from django.db import models
from django.db.models import Q

from jobs.book.models import Item, Job, Visit

STATES = {"due": "sizes to be made", "making": "sizes being made", "made": "ready", "failed": "could not be read"}


def photo_store() -> Storage:
    """Where photos are kept."""
    return storages["photos"]


class Photo(models.Model):
    """A picture. `sitting` and `slot` tie it to an intake in progress until the note is sealed."""

    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    visit = models.ForeignKey(Visit, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    sitting = models.UUIDField(null=True, blank=True, db_index=True)
    slot = models.CharField(max_length=20, blank=True)
    purpose = models.CharField(
        max_length=8,
        choices=[("intake", "intake"), ("line", "condition line"), ("bench", "bench"), ("check", "second check")],
    )
    view = models.CharField(max_length=24, blank=True, help_text="view code of the standard set")
    words = models.CharField(max_length=160, blank=True)
    send_key = models.CharField(max_length=60, unique=True)
    original = models.FileField(storage=photo_store, max_length=200)
    original_name = models.CharField(max_length=160, blank=True)
    sha256 = models.CharField(max_length=64, db_index=True)
    size = models.PositiveBigIntegerField(help_text="bytes")
    format = models.CharField(max_length=8)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    taken_at = models.DateTimeField(null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=8, choices=list(STATES.items()), default="due")
    claimed_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    failure = models.CharField(max_length=200, blank=True)
    small = models.FileField(storage=photo_store, max_length=200, blank=True)
    large = models.FileField(storage=photo_store, max_length=200, blank=True)
    owner_may_see = models.BooleanField(default=False)
    put_aside_at = models.DateTimeField(null=True, blank=True, help_text="taken again: kept, but not shown")

    class Meta:
        indexes: ClassVar = [
            models.Index(fields=["state", "id"], condition=Q(state__in=["due", "making"]), name="photo_to_make"),
        ]

    def __str__(self) -> str:
        return f"photo {self.pk}"


class PhotoAlso(models.Model):
    """A photo that belongs to a second job as well: a note names it where it is, so it cannot be moved."""

    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="also")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="photos_also")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "photos also"
        constraints: ClassVar = [models.UniqueConstraint(fields=["photo", "job"], name="photo_also_once")]

    def __str__(self) -> str:
        return f"photo {self.photo_id} also on {self.job_id}"
