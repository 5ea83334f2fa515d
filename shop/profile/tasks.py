"""The worker's sign of life."""

from celery import shared_task
from django.utils import timezone

from shop.profile.models import Heartbeat


@shared_task(name="profile.heartbeat")
def heartbeat(name: str) -> None:
    """Write down that the worker of one queue is alive."""
    Heartbeat.objects.update_or_create(name=name, defaults={"at": timezone.now()})
