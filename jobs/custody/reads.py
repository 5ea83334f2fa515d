"""Where things are."""

from dataclasses import dataclass
from datetime import datetime

from jobs.book.models import Item
from jobs.custody.models import Location, Sighting
from shop.prepared import Prepared


@dataclass(frozen=True, slots=True)
class Seen:
    """The last sighting of an item."""

    place: str  # "" when it has gone home
    room: str
    at: datetime
    by: str  # given name, "" when unknown
    how: str


def last_seen(item: Item) -> Seen | None:
    """Where an item was last seen; None when nobody has said. One query."""
    found = (
        Sighting.objects.filter(item=item)
        .order_by("-at", "-pk")
        .values_list("location__name", "location__room", "at", "by__called", "how")
        .first()
    )
    if found is None:
        return None
    place, room, at, by, how = found
    return Seen(place or "", room or "", at, by or "", how)


def places_by_room() -> list[tuple[str, list[tuple[int, str]]]]:
    """Every open place of the shop as id and name, room by room in the shop’s order. One query."""
    rooms: dict[str, list[tuple[int, str]]] = {}
    for pk, room, name in _places():
        rooms.setdefault(room or "other", []).append((pk, name))
    return list(rooms.items())


_places = Prepared(
    lambda: Location.objects.filter(closed_at=None).order_by("position", "name").values_list("pk", "room", "name")
)


def locations() -> list[Location]:
    """Every open place of the shop in its order. One query."""
    return list(Location.objects.filter(closed_at=None).order_by("position", "name"))
