"""Celery tasks of the letters: thin, and safe to run twice or at once."""

from celery import shared_task
from django.utils import timezone

from jobs.updates import sending


@shared_task(name="updates.sweep")
def sweep() -> int:
    """Send every letter that is due."""
    return sending.sweep(clock=timezone.now)
