"""Making, renewing and shutting links. Whoever calls writes the entry: the job book lies above."""

from datetime import datetime

from django.db import transaction
from django.db.models import F

from jobs.links.models import Link
from jobs.links.reads import STAYS
from shop.prepared import Prepared


def link_for(kind: str, *, job_id: int, party_id: int, at: datetime) -> Link:
    """The one link of a party to a job, made on first need. A shut one is opened again, under a new token.

    One query when it is there, three when it is made.
    """
    link = _held.first(kind, job_id, party_id)
    if link is None:
        made = Link(kind=kind, job_id=job_id, party_id=party_id, made_at=at)
        Link.objects.bulk_create([made], ignore_conflicts=True)  # another letter may make it at this moment
        link = _held(kind, job_id, party_id)[0]
    return renew(link, at=at) if link.closed_at is not None else link


_held = Prepared(
    lambda kind, job, party: Link.objects.select_related("job").filter(kind=kind, job_id=job, party_id=party)
)


def renew(link: Link, *, at: datetime) -> Link:
    """Raise the generation: tokens given out before stop. On a closed job it then holds 30 days from now."""
    with transaction.atomic():
        job = Link.objects.select_related("job").get(pk=link.pk).job
        expires = at + STAYS if job.closed_at else None
        Link.objects.filter(pk=link.pk).update(generation=F("generation") + 1, closed_at=None, expires_at=expires)
    return Link.objects.select_related("job").get(pk=link.pk)


def close(link: Link, *, at: datetime) -> None:
    """Shut a link before its time, for instance because its letter went to a wrong address."""
    Link.objects.filter(pk=link.pk, closed_at__isnull=True).update(closed_at=at, generation=F("generation") + 1)


def opened(link: Link, *, at: datetime) -> None:
    """Remember when a link was first opened. One statement, and only the first time."""
    if link.opened_at is None:
        Link.objects.filter(pk=link.pk, opened_at__isnull=True).update(opened_at=at)
