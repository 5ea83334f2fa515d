"""The sample shop as its files tell it (fixtures/demo): people, owners, items, jobs, visits, days. Pure.

All of it is invented. Days are counted from D, the nearest Wednesday not after today; 0 is D, -14 two weeks before.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "demo"
_WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line of an estimate: hours of an operation at a rate, or goods at a fixed price."""

    words: str
    operation: str = ""
    hours: Decimal = Decimal(0)
    rate: Decimal = Decimal(0)
    net: Decimal = Decimal(0)
    tax_class: str = "labour"


@dataclass(frozen=True, slots=True)
class OptionRow:
    """A way to go on beside the job's own lines. `ready` are days from D; no `lines` of its own means the job's."""

    title: str
    lines: tuple[LineRow, ...] = ()
    summary: str = ""
    gets: str = ""
    left: str = ""
    ready: tuple[int, ...] = ()
    contingency: Decimal = Decimal(0)
    recommended: bool = False


@dataclass(frozen=True, slots=True)
class JobRow:
    """One of the forty: what it is, and how it must stand at the end."""

    n: int
    kind: str
    work: str
    said: str
    stage: str
    came: int
    hours: Decimal
    who: str
    item: str = ""
    owner: str = ""
    player: str = ""
    thing: tuple[str, str] | None = None
    promise: int | None = None
    sure: str = ""
    place: str = ""
    total: Decimal | None = None
    holds: tuple[tuple[str, str], ...] = ()
    lines: tuple[LineRow, ...] = ()
    options: tuple[OptionRow, ...] = ()
    because: str = ""
    discount: tuple[str, str] | None = None
    agreed: tuple[str, str] | None = None
    fee: Decimal | None = None  # for the examination, if the work does not go ahead


@dataclass(frozen=True, slots=True)
class FoundRow:
    """One condition line."""

    term: str
    part: str = ""
    where: str = ""
    mm: str = ""
    bad: str = "unknown"
    steady: str = "unknown"
    fresh: str = "unknown"
    more: str = ""
    shot: bool = True


@dataclass(frozen=True, slots=True)
class PieceRow:
    """What was written on the note for one job."""

    job: int
    tension: str = ""
    left: tuple[str, ...] = ()
    home: tuple[str, ...] = ()
    views: tuple[str, ...] = ()
    why: str = ""
    found: tuple[FoundRow, ...] = ()
    value: str = ""
    basis: str = ""
    cover: str = ""
    accepted: str = ""
    place: str = ""  # where it hung first, if not where it hangs at the end


@dataclass(frozen=True, slots=True)
class VisitRow:
    """One coming to the desk; sealed at `at`, after `minutes` of taking in."""

    day: int
    at: str
    minutes: int
    by: str
    depositor: str
    pieces: tuple[PieceRow, ...]
    unsigned: str = ""
    signs: str = ""


@dataclass(frozen=True, slots=True)
class DayRow:
    """One thing that happened to a job: day, time ("" straight after the one before), who, what, and more."""

    job: int
    day: int
    at: str
    who: str
    what: str
    more: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Sample:
    """The whole sample shop."""

    shop: Mapping[str, Any]
    password: str
    people: tuple[Mapping[str, Any], ...]
    owners: tuple[Mapping[str, Any], ...]
    items: Mapping[str, Mapping[str, Any]]
    jobs: Mapping[int, JobRow]
    visits: tuple[VisitRow, ...]
    days: tuple[DayRow, ...]
    weekdays: Mapping[str, frozenset[int]] = field(default_factory=dict)  # by staff id; 0 is Monday


@cache
def sample() -> Sample:
    """Read the files. Raises KeyError or ValueError where they do not fit."""
    people = _read("people")
    return Sample(
        shop=_read("shop"),
        password=people["password"],
        people=tuple(people["people"]),
        owners=tuple(_read("owners")["owners"]),
        items={row["id"]: row for row in _read("items")["items"]},
        jobs={row["n"]: _job(row) for row in _read("jobs")["jobs"]},
        visits=tuple(_visit(row) for row in _read("visits")["visits"]),
        days=tuple(
            DayRow(int(name[1:]), row[0], row[1], row[2], row[3], tuple(row[4:]))
            for name, rows in _read("days").items()
            for row in rows
        ),
        weekdays={row["id"]: weekdays(row["hours"]) for row in people["people"]},
    )


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def weekdays(words: str) -> frozenset[int]:
    """“Mon to Fri” or “Mon, Wed, Fri” as days of the week, 0 for Monday."""
    if " to " in words:
        first, last = (_WEEK.index(part.strip().lower()) for part in words.split(" to "))
        return frozenset(range(first, last + 1))
    return frozenset(_WEEK.index(part.strip().lower()) for part in words.split(","))


def _job(row: dict[str, Any]) -> JobRow:
    known = dict(row)
    lines = _lines(known.pop("lines", ()), known.pop("goods", ()))
    total = known.pop("total", None)
    thing, discount, agreed, fee = (known.pop(name, None) for name in ("thing", "discount", "agreed", "fee"))
    return JobRow(
        came=known.pop("in"),
        said=known.pop("said", ""),
        hours=Decimal(known.pop("hours")),
        lines=lines,
        total=Decimal(total) if total is not None else None,
        holds=tuple((kind, words) for kind, words in known.pop("holds", ())),
        options=tuple(_option(one) for one in known.pop("options", ())),
        thing=tuple(thing) if thing else None,
        discount=tuple(discount) if discount else None,
        agreed=tuple(agreed) if agreed else None,
        fee=Decimal(fee) if fee else None,
        **known,
    )


def _lines(work: Any, goods: Any) -> tuple[LineRow, ...]:
    labour = [
        LineRow(more[0] if more else "", code, Decimal(hours), Decimal(rate)) for code, hours, rate, *more in work
    ]
    return (*labour, *(LineRow(words, net=Decimal(net), tax_class=kind) for words, net, kind in goods))


def _option(row: dict[str, Any]) -> OptionRow:
    known = dict(row)
    return OptionRow(
        lines=_lines((), known.pop("goods", ())),
        ready=tuple(known.pop("ready", ())),
        contingency=Decimal(known.pop("contingency", "0")),
        **known,
    )


def _visit(row: dict[str, Any]) -> VisitRow:
    known = dict(row)
    return VisitRow(pieces=tuple(_piece(one) for one in known.pop("pieces")), **known)


def _piece(row: dict[str, Any]) -> PieceRow:
    known = dict(row)
    return PieceRow(
        left=tuple(known.pop("left", ())),
        home=tuple(known.pop("home", ())),
        views=tuple(known.pop("views", ())),
        found=tuple(FoundRow(**one) for one in known.pop("found", ())),
        **known,
    )
