"""Agreed work with its time, who works now, and what a second check must look at."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Q

from jobs.bench.clocks import hours_words, total_seconds
from jobs.bench.models import WorkSpell
from jobs.book.kinds import FREE_KINDS, JOB_KINDS
from jobs.book.models import Job
from jobs.estimates.models import Answer, Line
from shop.clock import span_words
from shop.people.models import Person


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One piece of agreed work. `line` is None for work agreed at the desk or free of charge."""

    line: int | None
    words: str
    hours: Decimal | None = None  # planned

    @property
    def key(self) -> str:
        """How a form names it."""
        return str(self.line or "whole")


@dataclass(frozen=True, slots=True)
class Work:
    """What may be worked on, and what is proposed but not agreed."""

    agreed: tuple[WorkLine, ...]
    not_agreed: tuple[WorkLine, ...] = ()

    def find(self, key: str) -> WorkLine | None:
        """An agreed line by the key of its form."""
        return next((line for line in self.agreed if line.key == key), None)


def work_of(job: Job) -> Work:
    """Lines of the approved option of the newest approved version, else work agreed at the desk. One query."""
    lines = list(
        Line.objects.filter(option__estimate__job=job, discount__isnull=True)
        .exclude(option__estimate__state="replaced")
        .select_related("option__estimate", "option__estimate__answer")
        .order_by("option__estimate__version", "option__letter", "position", "pk")
    )
    approved = [line for line in lines if _approved(line)]
    if approved:
        version = approved[-1].option.estimate.version
        agreed = tuple(_work(line) for line in approved if line.option.estimate.version == version)
    else:
        version, agreed = 0, _without_estimate(job)
    known = {line.words for line in agreed}
    asked: dict[str, WorkLine] = {}
    for line in lines:
        estimate = line.option.estimate
        if estimate.version > version and estimate.state in {"draft", "sent"} and line.words not in known:
            asked.setdefault(line.words, _work(line))
    return Work(agreed, tuple(asked.values()))


def _approved(line: Line) -> bool:
    answer: Answer | None = getattr(line.option.estimate, "answer", None)
    return (
        line.option.estimate.state == "answered"
        and answer is not None
        and answer.approved
        and answer.option_id == line.option_id
    )


def _work(line: Line) -> WorkLine:
    return WorkLine(line.pk, line.words, line.hours)


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
class Clocks:
    """All time of a job as one person sees it."""

    lines: tuple[LineTime, ...]
    mine: Running | None
    others: tuple[WorkSpell, ...]  # running clocks of other people on this job
    doers: frozenset[int]  # everyone who ever worked on it


def clocks_of(job: Job, work: Work, person: Person, *, at: datetime) -> Clocks:
    """Time per agreed line, the person's own running clock, and who else works on it. One query."""
    spells = list(
        WorkSpell.objects.filter(Q(job=job) | Q(person=person, stopped_at__isnull=True))
        .select_related("person", "line", "job")
        .order_by("started_at", "pk")
    )
    here = [spell for spell in spells if spell.job_id == job.pk]
    mine = next((spell for spell in spells if spell.person_id == person.pk and spell.stopped_at is None), None)
    return Clocks(
        lines=tuple(_line_time(line, here, person, at) for line in work.agreed),
        mine=_running(mine, at) if mine else None,
        others=tuple(spell for spell in here if spell.stopped_at is None and spell.person_id != person.pk),
        doers=frozenset(spell.person_id for spell in here),
    )


def words_of(spell: WorkSpell) -> str:
    """What a spell was spent on."""
    if spell.line is not None:
        return spell.line.words
    return spell.job.agreed_words or spell.job.work or JOB_KINDS[spell.job.kind]


def _running(spell: WorkSpell, at: datetime) -> Running:
    seconds = max(0.0, (at - spell.started_at).total_seconds())
    return Running(spell.pk, spell.job.number, spell.job_id, words_of(spell), spell.started_at, seconds)


def _line_time(work: WorkLine, spells: Sequence[WorkSpell], person: Person, at: datetime) -> LineTime:
    # by words: a newer version of the estimate carries the same line under a new id
    own = [spell for spell in spells if (spell.line.words if spell.line else None) == (work.words if work.line else None)]
    open_now = [spell for spell in own if spell.stopped_at is None]
    return LineTime(
        work=work,
        seconds=total_seconds((spell.started_at.timestamp(), (spell.stopped_at or at).timestamp()) for spell in own),
        running=tuple(spell.person.short for spell in open_now if spell.person_id != person.pk),
        mine=any(spell.person_id == person.pk for spell in open_now),
        last_at=max((spell.stopped_at for spell in own if spell.stopped_at), default=None),
    )
