"""SafeCopy: one copy made, or tried. Restored: this shop was put back from one."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

STATES = {"due": "waits for the worker", "making": "being made", "good": "good", "failed": "not good"}


class SafeCopy(models.Model):
    """A copy of the shop. `day` is set for the daily one: the day, in the shop's zone, it was due on. Never packed itself."""

    day = models.DateField(null=True, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    asked_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=list(STATES.items()), default="due")
    claimed_at = models.DateTimeField(null=True, blank=True)
    alive_at = models.DateTimeField(null=True, blank=True, help_text="when its maker last said how far it is")
    doing = models.CharField(max_length=120, blank=True, help_text="how far it is, in words")
    made_at = models.DateTimeField(null=True, blank=True, help_text="the moment of the database it holds")
    finished_at = models.DateTimeField(null=True, blank=True)
    path = models.CharField(max_length=500, blank=True)
    size = models.PositiveBigIntegerField(default=0)
    sha256 = models.CharField(max_length=64, blank=True, help_text="of the whole file")
    locked = models.BooleanField(default=False)
    tables = models.PositiveIntegerField(default=0)
    rows = models.PositiveBigIntegerField(default=0)
    files = models.PositiveBigIntegerField(default=0)
    failure = models.TextField(blank=True)
    gone_at = models.DateTimeField(null=True, blank=True, help_text="its file was cleared away, or is no longer there")

    class Meta:
        verbose_name_plural = "safe copies"
        constraints: ClassVar = [
            # one at a time: while one waits or is being made there is no other
            models.UniqueConstraint(
                models.Value(1), condition=Q(state__in=["due", "making"]), name="safe_copy_one_at_a_time"
            ),
            models.UniqueConstraint(
                fields=["day"], condition=Q(state__in=["due", "making", "good"]), name="safe_copy_one_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"copy of {self.asked_at:%Y-%m-%d %H:%M}, {self.get_state_display()}"


class Restored(models.Model):
    """This shop was unpacked from a copy. Letters to owners wait until a person says that it is the shop now. One row, id 1."""

    copy_made_at = models.DateTimeField()
    unpacked_at = models.DateTimeField()
    is_the_shop_at = models.DateTimeField(null=True, blank=True)
    said_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "restored"
        constraints: ClassVar = [models.CheckConstraint(condition=Q(id=1), name="restored_one_row")]

    def __str__(self) -> str:
        return f"unpacked {self.unpacked_at:%Y-%m-%d %H:%M}"
