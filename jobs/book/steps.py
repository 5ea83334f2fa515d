"""Writing in the job book: entries, presses, numbers."""

from collections.abc import Mapping
from datetime import datetime
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import F

from jobs.book import followers
from jobs.book.models import Counter, Entry, Item, Job, Press, Pulse, Visit
from jobs.book.refusals import Again, Refused
from shop.people.here import device_here
from shop.people.models import Person
from shop.prepared import Prepared

OLD_PAGE = "This page is out of date. Open it again and repeat the last step."


def record(
    action: str,
    *,
    by: Person | None,
    at: datetime,
    job: Job | None = None,
    item: Item | None = None,
    visit: Visit | None = None,
    data: Mapping[str, Any] | None = None,
    device_at: datetime | None = None,
) -> Entry:
    """Write one entry inside the caller's transaction; after commit screens and followers hear of it.

    `data` holds ids, codes and amounts as strings, never names; at a registered device also `device`, its id. Two statements;
    two more after commit.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("An entry is written in the transaction of its change.")
    told = dict(data or {})
    device = device_here()
    if device is not None and by is not None:
        told["device"] = device
    entry = Entry.objects.create(
        action=action, by=by, at=at, job=job, item=item, visit=visit, data=told, device_at=device_at
    )
    transaction.on_commit(partial(_after, entry), robust=True)
    return entry


def _after(entry: Entry) -> None:
    beat()
    followers.follow(entry)


def beat() -> None:
    """Let every screen know that something changed. One statement once the row exists."""
    risen = {"beats": F("beats") + 1}
    if not Pulse.objects.filter(pk=1).update(**risen):
        _, first = Pulse.objects.get_or_create(pk=1, defaults={"beats": 1})
        if not first:
            Pulse.objects.filter(pk=1).update(**risen)


def press(key: str, action: str, *, at: datetime) -> Press:
    """Claim a press key inside the caller's transaction. Raises Again when it was pressed before.

    Put what was made into `keep`. An empty key is refused: every making form carries one. Four statements.
    """
    _proper(key)
    claimed, first = Press.objects.get_or_create(key=key, defaults={"action": action, "at": at})
    if not first:
        raise _before(claimed, action)
    return claimed


def press_under_lock(key: str, action: str, *, at: datetime) -> Press:
    """The same for a step that holds the lock every press of this button waits for: one statement, one more in `keep`."""
    _proper(key)
    before = _pressed.first(key)
    if before is not None:
        raise _before(before, action)
    return Press(key=key, action=action, at=at)


def _before(pressed: Press, action: str) -> Again | Refused:
    # the same key on another button is no second press of this one
    return Again(pressed.made) if pressed.action == action else Refused(OLD_PAGE)


_pressed = Prepared(lambda key: Press.objects.filter(key=key))


def _proper(key: str) -> None:
    if not 8 <= len(key) <= 60:
        raise Refused(OLD_PAGE)


def keep(claimed: Press, **made: object) -> None:
    """Remember what the first press made, so that the second can be shown the same."""
    claimed.made = made
    if claimed._state.adding:
        claimed.save(force_insert=True)
    else:
        claimed.save(update_fields=["made"])


def next_in(series: str) -> int:
    """Next gap-free number of a series from its locked counter row. Call inside a transaction."""
    Counter.objects.get_or_create(series=series)
    counter = Counter.objects.select_for_update(no_key=True).get(series=series)
    counter.last += 1
    counter.save(update_fields=["last"])
    return counter.last


def next_job_number(at: datetime) -> str:
    """“26-0417”: year and a number within it."""
    return f"{at:%y}-{next_in(f'job-{at:%Y}'):04}"
