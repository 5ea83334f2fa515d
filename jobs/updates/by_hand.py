"""Telling owners by hand: several letters posted at once, and a call that nobody answered."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import F

from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.updates.models import Message
from jobs.updates.steps import tell
from shop.people.models import Person


def posted(letters: Iterable[int], *, by: Person, at: datetime) -> int:
    """Write down that these letters went by post, all or none. Those told meanwhile stay as they are. Returns how many."""
    with transaction.atomic():
        waiting = list(Message.objects.filter(pk__in=list(letters), state="byhand").order_by("pk"))
        for one in waiting:
            tell(one, how="post", by=by, at=at)
    return len(waiting)


def nobody_answered(letter: Message, *, by: Person, at: datetime) -> None:
    """A call that reached nobody: it stays to be told, and says when it was tried."""
    with transaction.atomic():
        if not Message.objects.filter(pk=letter.pk, state="byhand").update(
            tries=F("tries") + 1, seen_by=by, seen_at=at
        ):
            raise Refused("That has been told meanwhile. Look at the list again.")
        record("letter.tried", by=by, at=at, job=letter.job, data={"message": letter.pk})
