"""Saying where an item is: always one more sighting, never a field written over."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from jobs.book.models import Item, Job
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.custody.models import Location, Sighting
from shop.people.models import Person

HOW = frozenset({"intake", "scan", "hand", "home"})


def see(
    item: Item,
    location: Location | None,
    *,
    by: Person | None,
    at: datetime,
    how: str,
    job: Job | None = None,
    key: str = "",
) -> Sighting:
    """Write down that someone saw or put an item somewhere (`how`: intake, scan, hand, home).

    `job` puts it in that job's history too. Only an item gone home has no place. Raises Again for a second press.
    """
    if how not in HOW:
        raise Refused("Say how it was seen: at intake, by scan, by hand, or gone home.")
    if location is None and how != "home":
        raise Refused("Choose where it is.")
    with transaction.atomic():
        pressed = press(key, "see", at=at) if key else None
        if location is not None:
            location = still_open([location.pk])[location.pk]
        sighting = Sighting.objects.create(item=item, location=location, at=at, by=by, how=how)
        data = {"sighting": sighting.pk, "location": location.pk if location else None, "how": how}
        record("item.seen", by=by, at=at, item=item, job=job, data=data)
        if pressed is not None:
            keep(pressed, sighting=sighting.pk)
    return sighting


def still_open(ids: Iterable[int]) -> dict[int, Location]:
    """Places by id, locked by id until the transaction ends: nobody closes one while something is put there. One query.

    Raises Refused for one that is closed.
    """
    wanted = Location.objects.select_for_update(no_key=True).filter(pk__in=set(ids)).order_by("pk")
    found = {one.pk: one for one in wanted}
    for one in found.values():
        if one.closed_at is not None:
            raise Refused(f"{one.name} is closed: nothing hangs there any more. Choose another place.")
    return found


def begin_places(places: Iterable[tuple[str, str]], *, at: datetime) -> int:
    """Put up the first hooks, bays and cupboards (name, room) when the shop has none. Returns how many."""
    if Location.objects.exists():
        return 0
    with transaction.atomic():
        made = Location.objects.bulk_create(
            Location(name=name, room=room, position=position) for position, (name, room) in enumerate(places, 1)
        )
        record("places.made", by=None, at=at, data={"places": len(made)})
    return len(made)
