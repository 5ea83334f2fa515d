"""How much an approver may agree to."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.estimates.reads import MAY_ANSWER
from shop.money import plain
from shop.people.models import Person
from shop.profile.reads import profile


def set_ceiling(job: Job, party: Party, most: Decimal | None, *, by: Person, at: datetime) -> None:
    """Say the most, with tax, an approver may agree to on a job; None for any sum. The owner has no such end."""
    with transaction.atomic():
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if locked.closed_at is not None:
            raise Refused("This job is closed.")
        held = locked.roles.filter(party=party, role="approver").first()
        if held is None or locked.roles.filter(party=party, role=MAY_ANSWER[-1]).exists():
            raise Refused("Only somebody who agrees for the owner has a sum up to which that holds.")
        if most is not None and not 0 < most < 10**9:
            raise Refused("Write a sum above zero, or leave it empty for any sum.")
        before, held.ceiling = held.ceiling, most
        if before == most:
            return
        held.save(update_fields=["ceiling"])
        places = profile().places
        was, now = ("" if sum_ is None else plain(sum_, places) for sum_ in (before, most))
        record("ceiling.set", by=by, at=at, job=locked, data={"party": party.pk, "was": was, "now": now})
