"""Putting up, renaming, ordering and closing the places where things hang.

A place renamed is the same hook under a new name: the trail of every item names it as it is called now, the entry keeps both
names, and sealed papers keep the old one.
"""

from datetime import datetime

from django.db import IntegrityError, transaction

from jobs.book.refusals import Refused, Stale
from jobs.book.steps import keep, press, record
from jobs.custody.models import Location
from jobs.custody.place_reads import hanging
from shop.people.models import Person

ACTIONS = ("place.added", "place.changed", "place.moved", "place.shut", "place.opened")
MOST_AT_ONCE = 60


def add_place(name: str, room: str, *, by: Person, at: datetime, key: str = "") -> Location:
    """Put up a place at the end of its room. Raises Refused when the name is empty, too long or taken; Again."""
    name, room = _proper(name, room)
    with transaction.atomic():
        pressed = press(key, "place.add", at=at) if key else None
        order = _locked()
        _free(name, order)
        place = Location.objects.create(name=name, room=room, position=0)
        last = max((n for n, one in enumerate(order) if one.room == room), default=len(order) - 1)
        _renumber([*order[: last + 1], place, *order[last + 1 :]])
        record("place.added", by=by, at=at, data={"location": place.pk, "name": name})
        if pressed is not None:
            keep(pressed, location=place.pk)
    return place


def change_place(place: Location, name: str, room: str, *, seen: str, by: Person, at: datetime) -> bool:
    """Give a place another name or room; `seen` is the name its page showed. True when anything changed.

    Raises Stale when somebody renamed it meanwhile, Refused when the name is taken.
    """
    name, room = _proper(name, room)
    with transaction.atomic():
        order = _locked()
        held = _one(order, place.pk)
        if held.name != seen:
            raise Stale(f"{seen} is called {held.name} by now. Look again, then change it.")
        changes = {}
        if held.name != name:
            _free(name, order, but=held.pk)
            changes["name"] = [held.name, name]
        if held.room != room:
            changes["room"] = [held.room, room]
        if not changes:
            return False
        held.name, held.room = name, room
        try:
            with transaction.atomic():
                held.save(update_fields=["name", "room"])
        except IntegrityError as taken:
            raise Refused(f"There is a place called {name} already.") from taken
        record("place.changed", by=by, at=at, data={"location": held.pk, "changes": changes})
    return True


def move_place(place: Location, up: bool, *, by: Person, at: datetime) -> None:
    """One step up or down within its room; the first of a room takes the whole room with it."""
    with transaction.atomic():
        order = _locked()
        held = _one(order, place.pk)
        rooms: dict[str, list[Location]] = {}
        for one in order:
            rooms.setdefault(one.room, []).append(one)
        own = rooms[held.room]
        index, step = own.index(held), -1 if up else 1
        if 0 <= index + step < len(own):
            own[index], own[index + step] = own[index + step], own[index]
        else:
            names = list(rooms)
            n = names.index(held.room)
            if not 0 <= n + step < len(names):
                return
            names[n], names[n + step] = names[n + step], names[n]
            rooms = {name: rooms[name] for name in names}
        before = held.position
        _renumber([one for several in rooms.values() for one in several])
        record("place.moved", by=by, at=at, data={"location": held.pk, "from": before, "to": held.position})


def shut_place(place: Location, *, by: Person, at: datetime) -> None:
    """Close a place for good, or until it is opened again. Raises Refused with what hangs there. Twice is once."""
    with transaction.atomic():
        held = _one(_locked(), place.pk)
        if held.closed_at is not None:
            return
        things = hanging(held.pk)
        if things:
            more = f" and {len(things) - 4} more" if len(things) > 4 else ""
            names = ", ".join(f"{one.title}{f' ({one.number})' if one.number else ''}" for one in things[:4])
            raise Refused(f"{held.name} is not empty: {names}{more}. Hang that elsewhere first.")
        if not Location.objects.filter(closed_at=None).exclude(pk=held.pk).exists():
            raise Refused("This is the last open place. Put up another first.")
        held.closed_at = at
        held.save(update_fields=["closed_at"])
        record("place.shut", by=by, at=at, data={"location": held.pk})


def open_place(place: Location, *, by: Person, at: datetime) -> None:
    """Take a closed place into use again. Twice is once."""
    with transaction.atomic():
        held = _one(_locked(), place.pk)
        if held.closed_at is None:
            return
        held.closed_at = None
        held.save(update_fields=["closed_at"])
        record("place.opened", by=by, at=at, data={"location": held.pk})


def _proper(name: str, room: str) -> tuple[str, str]:
    name, room = " ".join(name.split()), " ".join(room.split())
    if not name or len(name) > 40:
        raise Refused("A place has a short name, such as R2-6: one to forty letters.")
    if len(room) > 60:
        raise Refused("The name of the room is longer than sixty letters.")
    return name, room


def _locked() -> list[Location]:
    """Every place in the shop's order, locked: their order and names hang together. Locked by id, as everywhere."""
    every = Location.objects.select_for_update(no_key=True).order_by("pk")
    return sorted(every, key=lambda one: (one.position, one.name))


def _one(order: list[Location], pk: int) -> Location:
    found = next((one for one in order if one.pk == pk), None)
    if found is None:
        raise Refused("That place is not there any more.")
    return found


def _free(name: str, order: list[Location], but: int = 0) -> None:
    taken = next((one for one in order if one.name.casefold() == name.casefold() and one.pk != but), None)
    if taken is not None:
        shut = ", closed for now: open it again instead" if taken.closed_at else ""
        raise Refused(f"There is a place called {taken.name} already{shut}.")


def _renumber(order: list[Location]) -> None:
    for position, one in enumerate(order, 1):
        one.position = position
    Location.objects.bulk_update(order, ["position"])
