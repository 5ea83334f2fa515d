"""Celery tasks of the job book."""

from celery import shared_task
from django.utils import timezone

from jobs.book import followers


@shared_task(name="book.follow")
def follow() -> int:
    """Sweep entries that nobody followed yet."""
    return followers.sweep(at=timezone.now())
