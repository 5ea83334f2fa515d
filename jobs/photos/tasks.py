"""Celery tasks of photos: thin, safe to lose and to run twice."""

from time import monotonic

from celery import shared_task
from django.utils import timezone

from jobs.photos import reads, steps

_SWEEP_SECONDS = 8.0


@shared_task(name="photos.make")
def make(photo_id: int) -> bool:
    """Make the sizes of one photo."""
    return steps.make(photo_id, at=timezone.now())


@shared_task(name="photos.sweep")
def sweep() -> int:
    """Make what no nudge arrived for, as far as some seconds go. Returns how many were made."""
    steps.give_up(at=timezone.now())
    until, made = monotonic() + _SWEEP_SECONDS, 0
    for photo_id in reads.waiting(at=timezone.now()).values_list("pk", flat=True)[:100]:
        if monotonic() > until:
            break
        made += steps.make(photo_id, at=timezone.now())
    return made
