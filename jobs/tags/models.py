"""Tag: a code bound to an item; when re-issued the old code is dead."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.book.models import Item


class Tag(models.Model):
    """One printed code."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="tags")
    code = models.CharField(max_length=12, unique=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    dead_at = models.DateTimeField(null=True, blank=True)
    dead_reason = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["item"], condition=Q(dead_at__isnull=True), name="one_live_tag_per_item"),
        ]

    def __str__(self) -> str:
        return self.code
