"""Agreed work with its time, who works now, and what a second check must look at."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from jobs.bench.clocks import hours_words, total_seconds
from jobs.bench.models import WorkSpell
from jobs.book.kinds import FREE_KINDS, JOB_KINDS
from jobs.book.models import Job
from jobs.estimates.agreed_words import agreed_to, how_it_came
from jobs.estimates.models import Line
from jobs.estimates.reads import standing_refusal
from jobs.estimates.refusals import REASSEMBLY
from shop.clock import day_words, local, span_words
from shop.people.models import Person
from shop.prepared import Blank, Prepared


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One piece of agreed work. `line` is None for work agreed at the desk or free of charge."""

    line: int | None
    words: str
    hours: Decimal | None = None  # planned
    rest_words: str = ""  # how long it must be left alone afterwards, as the operation says

    @property
    def key(self) -> str:
        """How a form names it."""
        return str(self.line or "whole")


@dataclass(frozen=True, slots=True)
class Answered:
    """Which version was agreed to or declined, by whom (surname or body, never a minor's name) and how."""

    what: str
    agreed: bool
    who: str
    how: str
    at: datetime

    def words(self, zone: ZoneInfo) -> str:
        """“Version 2, option B, agreed by Ashgrove by telephone, read back by Maris, Tue 24 Nov”."""
        verb, day = "agreed" if self.agreed else "declined", day_words(local(self.at, zone).date())
        said = f"{self.what}, {verb} by {self.who or 'the owner'} {self.how}, {day}"
        return f"{said[:1].upper()}{said[1:]}"


@dataclass(frozen=True, slots=True)
class Work:
    """What may be worked on, what is proposed but not agreed, and the answer that stands."""

    agreed: tuple[WorkLine, ...]
    not_agreed: tuple[WorkLine, ...] = ()
    answered: Answered | None = None

    def find(self, key: str) -> WorkLine | None:
        """An agreed line by the key of its form."""
        return next((line for line in self.agreed if line.key == key), None)


def work_of(job: Job) -> Work:
    """Lines of the newest approved option, else work agreed at the desk. One query, three after a refusal."""
    rows = [_Row(*row) for row in _lines(job.pk)]
    approved = [row for row in rows if row.state == "answered" and row.yes and row.chosen == row.option]
    version = approved[-1].version if approved else 0
    agreed = tuple(
        WorkLine(row.pk, row.words, row.hours, row.rests or "") for row in approved if row.version == version
    ) or _without_estimate(job)
    declined = [row for row in rows if row.state == "answered" and row.yes is False]
    if not agreed and declined:
        agreed = _put_together(job)
    known = {line.words for line in agreed}
    asked: dict[str, WorkLine] = {}
    for row in rows:
        if row.version > version and row.state in {"draft", "sent"} and row.words not in known:
            asked.setdefault(row.words, WorkLine(row.pk, row.words, row.hours))
    return Work(agreed, tuple(asked.values()), _answer(rows, [*declined, *approved][-1:]))


class _Row(NamedTuple):
    """A line of an estimate, and the answer to its version."""

    pk: int
    words: str
    hours: Decimal | None
    option: int
    letter: str
    version: int
    state: str
    rests: str | None
    yes: bool | None
    chosen: int | None
    how: str
    at: datetime
    order: str
    person: str | None
    party: str | None
    body: bool | None
    minor: bool | None


def _answer(rows: Iterable[_Row], found: Sequence[_Row]) -> Answered | None:
    if not found:
        return None
    of = found[0]
    options = len({row.option for row in rows if row.version == of.version})
    by = of.person.split()[0] if of.person else ""
    who = of.party or ""
    what = agreed_to(of.version, of.letter, options=options) if of.yes else f"version {of.version}"
    return Answered(
        what=what,
        agreed=bool(of.yes),
        who="" if of.minor else who if of.body else who.split()[-1] if who else "",
        how=how_it_came(of.how, agreed=bool(of.yes), by=by, number=of.order),
        at=of.at,
    )


def _put_together(job: Job) -> tuple[WorkLine, ...]:
    refusal = standing_refusal(job)
    return (WorkLine(None, REASSEMBLY),) if refusal is not None and refusal.reassemble else ()


_OF_ANSWER = (
    "approved", "option", "how", "at", "order_number", "person__name", "party__name", "party__body", "party__minor",
)  # fmt: skip


@Prepared
def _lines(job: Blank) -> QuerySet[Line, tuple[Any, ...]]:
    return (
        Line.objects.filter(option__estimate__job=job, discount__isnull=True)
        .exclude(option__estimate__state="replaced")
        .order_by("option__estimate__version", "option__letter", "position", "pk")
        .values_list(
            "pk",
            "words",
            "hours",
            "option",
            "option__letter",
            "option__estimate__version",
            "option__estimate__state",
            "operation__rest_words",
            *(f"option__estimate__answer__{name}" for name in _OF_ANSWER),
        )
    )


def _without_estimate(job: Job) -> tuple[WorkLine, ...]:
    if job.agreed_words:
        return (WorkLine(None, job.agreed_words),)
    if job.kind in FREE_KINDS:
        return (WorkLine(None, job.work or JOB_KINDS[job.kind]),)
    return ()


@dataclass(frozen=True, slots=True)
class LineTime:
    """An agreed line with the time on it so far."""

    work: WorkLine
    seconds: float
    running: tuple[str, ...]  # given names of those whose clock runs on it
    mine: bool  # the reader's own clock runs on it
    last_at: datetime | None

    @property
    def spent(self) -> str:
        """“0.3 of 1.5 h”, “0.6 h”, or only the plan when nothing was spent."""
        planned = f"{self.work.hours.normalize():f} h" if self.work.hours else ""
        if not self.seconds:
            return planned
        spent = hours_words(self.seconds)
        return f"{spent.removesuffix(' h')} of {planned}" if planned else spent


@dataclass(frozen=True, slots=True)
class Running:
    """One's own running clock, on whatever job."""

    spell: int
    who: str  # given name
    job: str
    job_id: int
    words: str
    started_at: datetime
    seconds: float

    @property
    def reading(self) -> str:
        """“0:18:24”."""
        return span_words(self.seconds)


@dataclass(frozen=True, slots=True)
class Spell:
    """One stretch of work as a page reads it."""

    pk: int
    person: int
    who: str  # given name
    words: str  # what it was spent on
    line_words: str | None  # None where it was no line of an estimate
    job: int
    number: str
    started_at: datetime
    stopped_at: datetime | None


@dataclass(frozen=True, slots=True)
class Clocks:
    """All time of a job as one person sees it."""

    lines: tuple[LineTime, ...]
    mine: Running | None
    others: tuple[Spell, ...]  # running clocks of other people on this job
    worked: bool  # time was ever spent on it

    def running_on(self, job: Job) -> str:
        """Given name of someone whose clock runs on the job, "" when none does."""
        if self.mine is not None and self.mine.job_id == job.pk:
            return self.mine.who
        return self.others[0].who if self.others else ""


def spells_on(job: Job) -> list[Spell]:
    """Stretches of work on a job, oldest first. One query."""
    return _spells(_on_job(job.pk))


_on_job = Prepared(lambda job: _rows(Q(job=job)))
_on_job_or_running = Prepared(lambda job, person: _rows(Q(job=job) | Q(person=person, stopped_at__isnull=True)))


def _rows(where: Q) -> QuerySet[WorkSpell, tuple[Any, ...]]:
    return (
        WorkSpell.objects.filter(where)
        .order_by("started_at", "pk")
        .values_list(
            "pk",
            "person",
            "person__called",
            "line__words",
            "job",
            "job__number",
            "job__agreed_words",
            "job__work",
            "job__kind",
            "started_at",
            "stopped_at",
        )
    )


def _spells(rows: Iterable[tuple[Any, ...]]) -> list[Spell]:
    return [
        Spell(pk, person, name, line or agreed or work or JOB_KINDS[kind], line, job, number, start, stop)
        for pk, person, name, line, job, number, agreed, work, kind, start, stop in rows
    ]


def clocks_of(job: Job, work: Work, person: Person, *, at: datetime) -> Clocks:
    """Time per agreed line, the person's own running clock, and who else works on it. One query."""
    spells = _spells(_on_job_or_running(job.pk, person.pk))
    here = [spell for spell in spells if spell.job == job.pk]
    mine = next((spell for spell in spells if spell.person == person.pk and spell.stopped_at is None), None)
    return Clocks(
        lines=tuple(_line_time(line, here, person, at) for line in work.agreed),
        mine=_running(mine, at) if mine else None,
        others=tuple(spell for spell in here if spell.stopped_at is None and spell.person != person.pk),
        worked=bool(here),
    )


def _running(spell: Spell, at: datetime) -> Running:
    seconds = max(0.0, (at - spell.started_at).total_seconds())
    return Running(spell.pk, spell.who, spell.number, spell.job, spell.words, spell.started_at, seconds)


def _line_time(work: WorkLine, spells: Sequence[Spell], person: Person, at: datetime) -> LineTime:
    # by words: a newer version of the estimate carries the same line under a new id
    own = [spell for spell in spells if spell.line_words == (work.words if work.line else None)]
    open_now = [spell for spell in own if spell.stopped_at is None]
    return LineTime(
        work=work,
        seconds=total_seconds((spell.started_at.timestamp(), (spell.stopped_at or at).timestamp()) for spell in own),
        running=tuple(spell.who for spell in open_now if spell.person != person.pk),
        mine=any(spell.person == person.pk for spell in open_now),
        last_at=max((spell.stopped_at for spell in own if spell.stopped_at), default=None),
    )
