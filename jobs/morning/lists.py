"""What a day holds for somebody, put in order: lists of work, the string of hours, one sentence. Pure.

Which list a job stands on is common practice, no source. Addresses are written out here and held against the table of
addresses by a test.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.bench.rests import Rest
from jobs.book.phones import shown
from jobs.book.said import days_words, number_words
from jobs.book.stages import PLACE, Stage
from shop.clock import day_words

SHOWN = 6  # lines of one list; the rest is counted, with the way to all of them
ANSWER_SOON = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Known:
    """What the book says of one open job, as far as this reader may know it."""

    number: str
    stage: Stage
    item: str
    owner: str
    since: date
    work: str = ""
    who: str = ""  # given name of whoever has it
    whose: str = ""  # their whole name
    has: int | None = None  # their id
    mine: bool = False
    promised: date | None = None
    rest: Rest | None = None
    holds: tuple[tuple[str, str], ...] = ()
    clock: str = ""  # given name of whoever's clock runs on it
    worked: bool = False  # the reader worked on it
    sent_back: bool = False  # from the last second check
    heard: date | None = None  # when its owner last heard from the shop
    told: str = ""  # of its being ready: told, hand, going, lost; "" nothing written yet
    told_on: date | None = None
    asked: date | None = None
    runs_out: date | None = None
    also: str = ""  # number of another open job on the same item

    @property
    def short(self) -> str:
        """“0417”."""
        return self.number.partition("-")[2] or self.number

    @property
    def named(self) -> str:
        """“Violin 4/4, Rookstone”; “Violin 4/4, Rookstone, also 0421” where another job is open on it."""
        also = f"also {self.also.partition('-')[2] or self.also}" if self.also else ""
        return ", ".join(part for part in (self.item, self.owner, also) if part)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to do: what it is called, what to know of it, where it is done, and the word on the way there."""

    words: str
    to: str
    number: str = ""
    more: str = ""
    act: str = "Open"
    grave: bool = False
    phone: str = ""

    @property
    def phone_shown(self) -> str:
        """The telephone number as people read it."""
        return shown(self.phone)


@dataclass(frozen=True, slots=True)
class Card:
    """One list of the day. `count` may be more than the lines shown; `all_at` leads to all of them."""

    title: str
    lines: tuple[Line, ...]
    count: int
    all_at: str = "/"
    grave: bool = False

    @property
    def more(self) -> int:
        """How many are counted only."""
        return self.count - len(self.lines)


def card(
    title: str, lines: Iterable[Line], *, count: int | None = None, all_at: str = "/", grave: bool = False
) -> Card:
    """A list cut to what a page shows."""
    every = tuple(lines)
    return Card(title, every[:SHOWN], len(every) if count is None else count, all_at, grave)


def by_day(jobs: Iterable[Known]) -> list[Known]:
    """Soonest day first, no day last, longest there first, then by number."""
    return sorted(jobs, key=lambda one: (one.promised or date.max, one.since, one.number))


def job_at(job: Known) -> str:
    """The page of a job."""
    return f"/job/{job.number}/"


def bench_at(job: Known) -> str:
    """The bench page of a job."""
    return f"/bench/{job.number}/"


def past_day(jobs: Iterable[Known], today: date) -> list[Known]:
    """Past their day and not ready: late, whoever has them."""
    return by_day(one for one in jobs if _due(one) and one.promised is not None and one.promised < today)


def due(jobs: Iterable[Known], first: date, last: date) -> list[Known]:
    """Promised for one of these days and not ready yet."""
    return by_day(one for one in jobs if _due(one) and one.promised is not None and first <= one.promised <= last)


def _due(job: Known) -> bool:
    return job.stage not in {Stage.EXP, Stage.RDY}


def late_line(job: Known, today: date) -> Line:
    """Past its day, or due: how late, where it hangs, and when its owner last heard."""
    late = (today - job.promised).days if job.promised else 0
    when = f"{days_words(late)} past its day" if late > 0 else f"due {on_day(job.promised, today)}"
    heard = f"owner last heard {on_day(job.heard, today)}" if job.heard else "owner has heard nothing"
    where = PLACE[job.stage].name + (f", {job.who}" if job.who else ", nobody has it")
    return Line(job.named, job_at(job), job.short, f"{when}; {where}; {heard}", grave=late > 0)


def comes(jobs: Sequence[Known], today: date) -> list[Line]:
    """Who comes: expected today, agreed to collect today; then who was expected and has not come."""
    today_first = [
        Line(one.named, job_at(one), one.short, one.work or "expected today", "See it")
        for one in by_day(jobs)
        if one.stage is Stage.EXP and one.promised == today
    ]
    collects = [
        Line(
            one.named,
            f"/job/{one.number}/hand-over/",
            one.short,
            f"collects today; {told_words(one, today)}",
            "Hand over",
        )
        for one in by_day(jobs)
        if one.stage is Stage.RDY and one.promised == today
    ]
    missed = [
        Line(one.named, job_at(one), one.short, f"was expected {on_day(one.promised, today)}", "Ask")
        for one in by_day(jobs)
        if one.stage is Stage.EXP and one.promised is not None and one.promised < today
    ]
    return [*today_first, *collects, *missed]


def comes_next(jobs: Iterable[Known], today: date) -> list[Line]:
    """Who is expected after today, the soonest first; who has no day comes last."""
    return [
        Line(one.named, job_at(one), one.short, on_day(one.promised, today) or "no day agreed", "See it")
        for one in by_day(jobs)
        if one.stage is Stage.EXP and (one.promised is None or one.promised > today)
    ]


def told_words(job: Known, today: date) -> str:
    """“told Mon 23 Nov”, “to be told by hand”, “letter did not go”, “owner not told”."""
    if job.told == "told" and job.told_on:
        return f"told {on_day(job.told_on, today)}"
    return {"hand": "to be told by hand", "going": "letter on its way", "lost": "letter did not go"}.get(
        job.told, "owner not told"
    )


def ready(jobs: Iterable[Known], today: date) -> list[Line]:
    """Ready to collect: first those whose owner has not been told, then the longest there."""
    found = sorted(
        (one for one in jobs if one.stage is Stage.RDY),
        key=lambda one: (one.told in {"told", "going"}, one.since, one.number),
    )
    return [
        Line(
            one.named,
            job_at(one) if one.told in {"told", "going"} else f"{job_at(one)}#letters",
            one.short,
            f"{_ready_for(one, today)}; {told_words(one, today)}",
            "Open" if one.told in {"told", "going"} else "Tell",
            grave=one.told not in {"told", "going"},
        )
        for one in found
    ]


def _ready_for(job: Known, today: date) -> str:
    days = (today - job.since).days
    return "ready today" if days <= 0 else f"ready {days_words(days)}"


def answers(jobs: Iterable[Known], today: date) -> list[Line]:
    """Estimates whose answer is late: run out, running out within a week, or asked a week ago; soonest end first."""
    waiting = [one for one in jobs if one.stage is Stage.ANS and one.asked is not None and _long(one, today)]
    waiting.sort(key=lambda one: (one.runs_out or date.max, one.asked or today, one.number))
    return [
        Line(
            one.named,
            f"/job/{one.number}/estimate/",
            one.short,
            _asked_words(one, today),
            "Ask",
            grave=_ran_out(one, today),
        )
        for one in waiting
    ]


def _long(job: Known, today: date) -> bool:
    soon = job.runs_out is not None and job.runs_out - today <= ANSWER_SOON
    return soon or (job.asked is not None and today - job.asked >= ANSWER_SOON)


def _ran_out(job: Known, today: date) -> bool:
    return job.runs_out is not None and job.runs_out < today


def _asked_words(job: Known, today: date) -> str:
    asked = f"asked {on_day(job.asked, today)}"
    if job.runs_out is None:
        return asked
    return f"{asked}; {'ran' if job.runs_out < today else 'runs'} out {on_day(job.runs_out, today)}"


def on_day(day: date | None, today: date) -> str:
    if day is None:
        return ""
    return {0: "today", 1: "yesterday", -1: "tomorrow"}.get((today - day).days) or day_words(day, today=today)


def count_words(count: int, one: str, many: str) -> str:
    """“one is ready”, “three are ready”; "" for none."""
    return f"{number_words(count)} {one if count == 1 else many}" if count else ""


def sentence(parts: Iterable[str], nothing: str) -> str:
    """Clauses as one short text: each begins large and ends; `nothing` where there is none."""
    said = [f"{part[0].upper()}{part[1:]}." for part in parts if part]
    return " ".join(said) if said else nothing
