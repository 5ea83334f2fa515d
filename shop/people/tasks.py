"""Letters with a way in."""

from celery import shared_task
from django.utils import timezone

from shop.people.ways_in import sweep


@shared_task(name="people.letters")
def letters() -> int:
    """Send what was asked for."""
    return sweep(at=timezone.now())
