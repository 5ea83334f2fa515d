"""The first walk: a room found right, or left for later."""

from datetime import datetime

from django.db import transaction

from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.office.rooms import ROOMS
from shop.people.models import Person
from shop.profile.models import Walked


def walk(code: str, *, later: bool, by: Person, at: datetime) -> None:
    """Note that a room was confirmed, or left for later. What was confirmed stays confirmed; twice is once."""
    if code not in {room.code for room in ROOMS}:
        raise Refused("There is no such room.")
    with transaction.atomic():
        known, first = Walked.objects.select_for_update(no_key=True).get_or_create(
            code=code, defaults={"later": later, "at": at, "by": by}
        )
        if not first:
            if known.later == later or not known.later:
                return
            known.later, known.at, known.by = later, at, by
            known.save(update_fields=["later", "at", "by"])
        if later:
            record("walk.later", by=by, at=at, data={"room": code})
        else:
            record("walk.done", by=by, at=at, data={"room": code})
