"""Celery tasks of papers: they carry ids only, may be lost, and may come twice."""

from celery import shared_task
from django.utils import timezone

from jobs.papers import steps


@shared_task(name="papers.print")
def print_paper(paper_id: int) -> None:
    """Make the sealed PDF of one paper."""
    steps.print_paper(paper_id, at=timezone.now())


@shared_task(name="papers.sweep")
def sweep() -> int:
    """Print what was left lying."""
    return steps.sweep(at=timezone.now())
