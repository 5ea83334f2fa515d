"""Which photographs the sample shop's story asks for. Pure."""

from collections.abc import Hashable, Iterable, Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any
from zlib import crc32
from zoneinfo import ZoneInfo

from jobs.management.demo.pictures import Order
from jobs.management.demo.sample import FoundRow, PieceRow, Sample, VisitRow
from jobs.management.demo.timeline import Event

HOW_MANY = ("none", "few", "all")
_BOWS = {"violin": "bow", "viola": "bow-viola", "cello": "bow-cello"}


def drawn_kind(kind: str, size: str) -> str:
    """What the drawing calls an item of the book."""
    if kind == "Bw":
        return _BOWS.get(size, "bow")
    if kind == "Gt":
        return "guitar-classical" if size.startswith("classical") else "guitar-steel"
    return kind


def shots_of(piece: PieceRow, *, how_many: str) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Views pictured of a piece, and the places of its lines that have a close-up."""
    if how_many == "none":
        return (), ()
    if how_many == "few":
        return piece.views[:1], ()
    return piece.views, tuple(place for place, line in enumerate(piece.found) if line.shot)


def began_at(visit: VisitRow, sealed: datetime) -> datetime:
    """When the taking in began."""
    return sealed - timedelta(minutes=visit.minutes)


def moments(visit: VisitRow, sealed: datetime, count: int) -> list[datetime]:
    """When so many pictures were taken: in the middle half of the taking in, in their order."""
    begun, whole = began_at(visit, sealed), timedelta(minutes=visit.minutes)
    return [begun + whole / 4 + whole / 2 * n / max(count, 1) for n in range(count)]


def line_key(job: int, place: int) -> Hashable:
    """Names the close-up of a condition line."""
    return ("line", job, place)


def view_key(job: int, view: str) -> Hashable:
    """Names a view taken at the desk."""
    return ("view", job, view)


def later_key(event: Event) -> Hashable:
    """Names a picture taken after the note was sealed."""
    return (event.what, event.job, event.at, event.more)


def seed_of(item: Mapping[str, Any]) -> int:
    """The same item looks the same in every picture."""
    return crc32(str(item["id"]).encode()) % 100_000


def orders_for(events: Iterable[Event], sample: Sample, zone: ZoneInfo, *, how_many: str) -> dict[Hashable, Order]:
    """Every photograph of the story by what it is for, in the order they are needed."""
    return {
        key: _order(sample, zone, job, taken, view, line, whole=how_many == "all")
        for event in events
        for key, job, taken, view, line in _wanted(event, how_many)
    }


Wanted = tuple[Hashable, int, datetime, str, FoundRow | None]


def _wanted(event: Event, how_many: str) -> Iterator[Wanted]:
    if event.what in {"picture", "same"} and how_many == "all":
        yield later_key(event), event.job, event.at, event.more[0], None
    if event.what != "visit":
        return
    visit: VisitRow = event.more[0]
    wanted: list[tuple[Hashable, int, str, FoundRow | None]] = []
    for piece in visit.pieces:
        views, lines = shots_of(piece, how_many=how_many)
        wanted += [(view_key(piece.job, view), piece.job, view, None) for view in views]
        wanted += [(line_key(piece.job, n), piece.job, f"defect-{n + 1:02}", piece.found[n]) for n in lines]
    for (key, job, view, line), taken in zip(wanted, moments(visit, event.at, len(wanted)), strict=True):
        yield key, job, taken, view, line


def _order(
    sample: Sample, zone: ZoneInfo, job: int, taken: datetime, view: str, line: FoundRow | None, *, whole: bool
) -> Order:
    item = sample.items[sample.jobs[job].item]
    # a close-up fills its frame with a few centimetres: it needs fewer dots
    width, height = (800, 600) if not whole else (1200, 900) if line else (1600, 1200)
    return Order(
        view=view,
        kind=drawn_kind(item["kind"], item["size"]),
        seed=seed_of(item),
        taken_at=taken.astimezone(zone).isoformat(timespec="seconds"),
        label=item.get("labelled", ""),
        defect=line.term if line else "",
        extent_mm=float(line.mm) if line and line.mm else None,
        width=width,
        height=height,
    )
