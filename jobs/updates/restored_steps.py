"""Letters of a shop that was put back from a safe copy.

They wait until a person says that this is the shop now: a trial on another computer must write to no owner. What was to be
sent when the copy was made may have been sent by the old shop since; nobody can know, so it is shown to the desk as
“perhaps sent” and never goes out by itself.
"""

from datetime import datetime

from django.db import transaction

from jobs.book import followers
from jobs.book.nudge import nudge
from jobs.book.steps import record
from jobs.updates.models import Message
from shop.packing.steps import is_the_shop
from shop.people.models import Person

_ROUNDS = 50
_UNKNOWN = "It was waiting when the safe copy was made, and the shop may have sent it since. Ask before sending again."


def take_up(*, by: Person | None, at: datetime) -> int | None:
    """Say that this is the shop now. How many letters the desk is asked about; None when it was said before.

    Letters about entries that nobody had followed when the copy was made are written first, so that they are asked about too.
    """
    for _ in range(_ROUNDS):
        if not followers.sweep(at=at):
            break
    with transaction.atomic():
        copied_at = is_the_shop(by=by, at=at)
        if copied_at is None:
            return None
        waited = Message.objects.filter(state__in=("due", "sending"), made_at__lte=copied_at)
        count = waited.update(state="perhaps", failure=_UNKNOWN)
        record("copy.taken_up", by=by, at=at, data={"letters": count, "copied_at": copied_at.isoformat()})
        nudge("updates.sweep")
    return count
