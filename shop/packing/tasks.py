"""Celery tasks of the safe copies: thin, safe to lose and to run twice."""

from celery import shared_task
from django.utils import timezone

from shop.packing import steps
from shop.packing.models import SafeCopy


@shared_task(name="packing.make")
def make(pk: int) -> None:
    """Make one copy that was asked for."""
    steps.make(pk, clock=timezone.now)


@shared_task(name="packing.sweep")
def sweep() -> None:
    """Give up what was lost, ask for the daily copy when it is due, and make what waits."""
    steps.give_up(at=timezone.now())
    steps.look_after(at=timezone.now())
    steps.ask_daily(at=timezone.now())
    for pk in SafeCopy.objects.filter(state="due").values_list("pk", flat=True):
        steps.make(pk, clock=timezone.now)
