"""What the rails read. The whole page is ten queries with session and user, however many jobs the book holds."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import FilteredRelation, Q, QuerySet

from jobs.bench.models import WorkSpell
from jobs.bench.rests import Rest, rest_of
from jobs.board.columns import Column, Hung, hang_all, the_day
from jobs.board.words import Sentence
from jobs.book.kinds import silhouette
from jobs.book.models import Entry, Hold, Job, JobParty, Pulse
from jobs.book.said import long_day, owner_words
from jobs.book.stages import PLACE, Place, Stage
from jobs.estimates.models import Estimate
from jobs.moves.steps import MOVED, UNDO_WITHIN, UNMOVED
from shop.clock import local, time_words
from shop.people.models import Person
from shop.people.roles import Role
from shop.profile.models import Profile

NEWS = UNDO_WITHIN  # news while it may be taken back
DESK_OPENS = (Stage.EXP, Stage.IN, Stage.ANS, Stage.RDY)
BENCH_OPENS = (Stage.QUE, Stage.BEN, Stage.CUR, Stage.SET)
_COLUMNS = (
    "id", "number", "stage", "revision", "work", "kind", "promised", "sureness", "stage_since", "assigned_id",
    "assigned__called", "item_id", "item__title", "item__kind", "item__size", "item__asset",
    "rest__what", "rest__laid_at", "rest__until",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Filter:
    """One of the three words above the rails."""

    code: str
    name: str
    count: int
    chosen: bool


@dataclass(frozen=True, slots=True)
class Undoable:
    """The viewer's own last move, while it may be taken back."""

    number: str
    short: str
    place: str
    at: str
    revision: int


@dataclass(frozen=True, slots=True)
class Near:
    """A neighbour named at a phone's foot."""

    word: str
    place: Place


@dataclass(frozen=True, slots=True)
class Rails:
    """Everything on the page."""

    pulse: int
    date: str  # “Wednesday 25 November”
    clock: str  # “10:12”
    sentence: Sentence
    filters: tuple[Filter, ...]
    columns: tuple[Column, ...]
    total: int
    alone: Column | None
    folded: bool
    undoable: Undoable | None

    @property
    def near(self) -> tuple[Near, ...]:
        """The cords before and after the one a phone begins with."""
        here = next(place for place, column in enumerate(self.columns) if column.current)
        beside = (("Before", here - 1), ("After", here + 1))
        return tuple(Near(word, self.columns[at].place) for word, at in beside if 0 <= at < len(self.columns))


@dataclass(frozen=True, slots=True)
class Look:
    """How the viewer looks at the rails."""

    only: str = ""  # "", mine, taped
    alone: Stage | None = None
    current: Stage | None = None
    folded: bool = False
    names: bool = True


def pulse_now() -> int:
    """How many changes there have been. One query."""
    return Pulse.objects.filter(pk=1).values_list("beats", flat=True).first() or 0


def opened_for(person: Person, also: Stage | None = None) -> tuple[Stage, ...]:
    """Which four cords a tablet begins with; one asked for takes the place of the last."""
    begin = DESK_OPENS if person.role in {Role.DESK, Role.BOOKS} else BENCH_OPENS
    return begin if also is None or also in begin else (*begin[:-1], also)


def rails(person: Person, look: Look, *, shop: Profile, at: datetime) -> Rails:
    """The rails as `person` looks at them. Seven queries."""
    pulse = pulse_now()  # before the jobs: a change in between is asked for again
    zone, now = shop.zone, local(at, shop.zone)
    rows = list(_jobs().values_list(*_COLUMNS, named=True))
    holds = _holds()
    news = _news(zone, at)
    everything = _hung(rows, holds, news, zone, names=look.names, at=at)
    picked = {
        "": [hung for _, hung in everything],
        "mine": [hung for row, hung in everything if row.assigned_id == person.pk],
        "taped": [hung for row, hung in everything if row.id in holds],
    }
    columns = hang_all(
        picked[look.only],
        today=now.date(),
        folded=look.folded,
        alone=look.alone,
        current=look.current,
        opened=opened_for(person, look.current),
    )
    names = {"": "Everything", "mine": "Mine", "taped": "Taped"}
    return Rails(
        pulse=pulse,
        date=long_day(now.date()),
        clock=f"{now:%H:%M}",
        sentence=the_day(picked[""], today=now.date(), when=f"{long_day(now.date())}, {now:%H:%M}."),
        filters=tuple(Filter(code, names[code], len(found), code == look.only) for code, found in picked.items()),
        columns=columns,
        total=len(rows),
        alone=next((column for column in columns if column.place.code is look.alone), None),
        folded=look.folded,
        undoable=_undoable(person, rows, news, zone),
    )


def _jobs() -> QuerySet[Job]:
    # a job has one open wait at most: this joins it, and asks no more often
    waits = FilteredRelation("waits", condition=Q(waits__confirmed_at__isnull=True, waits__dropped_at__isnull=True))
    return Job.objects.filter(closed_at__isnull=True).annotate(rest=waits)


def _rest(row: Any, at: datetime, zone: ZoneInfo) -> Rest | None:
    if row.stage != Stage.CUR:
        return None
    begun = row.rest__laid_at or row.stage_since
    return rest_of(row.rest__what or "other", begun, row.rest__until, at=at, zone=zone)


def _holds() -> dict[int, list[tuple[str, str]]]:
    found: dict[int, list[tuple[str, str]]] = defaultdict(list)
    open_holds = Hold.objects.filter(lifted_at__isnull=True, job__closed_at__isnull=True).order_by("id")
    for job, kind, words in open_holds.values_list("job_id", "kind", "words"):
        found[job].append((kind, words))
    return found


@dataclass(frozen=True, slots=True)
class _News:
    action: str
    by: int | None
    name: str
    at: datetime
    revision: int


def _news(zone: ZoneInfo, at: datetime) -> dict[int, _News]:
    """The last move of each job that was moved a moment ago."""
    moves = Entry.objects.filter(
        job__closed_at__isnull=True, job__stage_since__gte=at - NEWS, at__gte=at - NEWS, action__in=(MOVED, UNMOVED)
    ).order_by("id")
    return {
        job: _News(action, by, name or "the shop", when, data["revision"])
        for job, action, by, name, when, data in moves.values_list(
            "job_id", "action", "by_id", "by__called", "at", "data"
        )
    }


def _hung(
    rows: Iterable[Any],
    holds: dict[int, list[tuple[str, str]]],
    news: dict[int, _News],
    zone: ZoneInfo,
    *,
    names: bool,
    at: datetime,
) -> list[tuple[Any, Hung]]:
    owners, clocks, asked = _owners() if names else {}, _clocks(), _asked()
    rows = list(rows)
    on_item: dict[int, list[str]] = defaultdict(list)
    for row in rows:
        on_item[row.item_id].append(row.number)
    hung = []
    for row in rows:
        sent_at, runs_out = asked.get(row.id, (None, None))
        moved = news.get(row.id)
        hung.append(
            (
                row,
                Hung(
                    number=row.number,
                    stage=Stage(row.stage),
                    item=row.item__title,
                    silhouette=silhouette(row.item__kind, row.item__size),
                    since=local(row.stage_since, zone).date(),
                    revision=row.revision,
                    owner=_owner(row, owners.get(row.id)) if names else f"owner {row.number.partition('-')[2]}",
                    who=row.assigned__called or "",
                    work=row.work,
                    promised=row.promised,
                    sureness=row.sureness,
                    holds=tuple(holds.get(row.id, ())),
                    clock=clocks.get(row.id, ""),
                    asked=local(sent_at, zone).date() if sent_at else None,
                    runs_out=runs_out,
                    moved=f"moved by {moved.name} {time_words(moved.at, zone)}" if moved else "",
                    also=tuple(sorted(number for number in on_item[row.item_id] if number != row.number)),
                    rest=_rest(row, at, zone),
                ),
            )
        )
    return hung


def _owner(row: Any, owner: tuple[str, bool, bool] | None) -> str:
    if row.kind == "internal":
        return "our own"
    name, body, minor = owner or ("", False, False)
    return owner_words(name, body=body, minor=minor, asset=row.item__asset)


def _owners() -> dict[int, tuple[str, bool, bool]]:
    roles = JobParty.objects.filter(role="owner", job__closed_at__isnull=True).order_by("-id")
    return {
        job: (name, body, minor)
        for job, name, body, minor in roles.values_list("job_id", "party__name", "party__body", "party__minor")
    }


def _clocks() -> dict[int, str]:
    running = WorkSpell.objects.filter(stopped_at__isnull=True).values_list("job_id", "person__called")
    return dict(running)


def _asked() -> dict[int, tuple[datetime | None, Any]]:
    sent = Estimate.objects.filter(state="sent", job__stage=Stage.ANS, job__closed_at__isnull=True).order_by("version")
    return {job: (at, runs_out) for job, at, runs_out in sent.values_list("job_id", "sent_at", "expires_on")}


def _undoable(person: Person, rows: Iterable[Any], news: dict[int, _News], zone: ZoneInfo) -> Undoable | None:
    by_id = {row.id: row for row in rows}
    mine = [
        (moved.at, by_id[job])
        for job, moved in news.items()
        if job in by_id and moved.by == person.pk and moved.action == MOVED and moved.revision == by_id[job].revision
    ]
    if not mine:
        return None
    at, row = max(mine, key=lambda pair: pair[0])
    short = row.number.partition("-")[2] or row.number
    return Undoable(row.number, short, PLACE[Stage(row.stage)].name, time_words(at, zone), row.revision)
