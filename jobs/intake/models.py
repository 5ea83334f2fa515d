"""Draft: an intake in progress, kept on the server as it is typed."""

import uuid

from django.conf import settings
from django.db import models

from jobs.book.models import Visit
from shop.people.models import Device


class Draft(models.Model):
    """Everything entered so far. `data` follows jobs/intake/drafts.py; photos point here by `key`."""

    key = models.UUIDField(default=uuid.uuid4, unique=True)
    data = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(Device, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    saved_at = models.DateTimeField()
    visit = models.OneToOneField(Visit, null=True, blank=True, on_delete=models.PROTECT, related_name="draft")
    placed_at = models.DateTimeField(null=True, blank=True, help_text="sealed and put away: nothing is left to show")
    dropped_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"draft {self.key}"
