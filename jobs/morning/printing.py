"""Today's list on paper: the bench's by person, the desk's with who comes and whom to call. No money, no child's name."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from django.db.models import Q

from jobs.book.said import long_day
from jobs.book.stages import HOLDS, PLACE, Stage
from jobs.morning import desk_reads, lists
from jobs.morning.hours import open_words
from jobs.morning.lists import Known, Line
from jobs.morning.reads import known_jobs
from jobs.papers.lettering import printable
from jobs.papers.texts import Json
from jobs.papers.typeset import set_in_type
from shop.clock import day_words, local
from shop.people.models import Person
from shop.people.roles import MAY, Act
from shop.profile.models import Profile
from shop.profile.reads import opening

_HANDS = (Stage.EXA, Stage.QUE, Stage.BEN, Stage.CUR, Stage.SET, Stage.CHK)


@dataclass(frozen=True, slots=True)
class Kind:
    """One list that may be printed."""

    words: str
    act: Act


FOR = {"bench": Kind("For the benches", Act.SEE_RAILS), "desk": Kind("For the desk", Act.SEE_OWNER)}


@dataclass(frozen=True, slots=True)
class Part:
    """One heading and what is to be ticked off under it."""

    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything on the paper."""

    shop: str
    title: str
    day: str
    fixed: str
    page: str
    parts: tuple[Part, ...]


def lists_for(person: Person) -> tuple[tuple[str, str], ...]:
    """Which lists somebody may print, the likeliest first."""
    at_bench = person.role in MAY[Act.WORK]
    names = ("bench", "desk") if at_bench else ("desk", "bench")
    return tuple((name, FOR[name].words) for name in names if person.may(FOR[name].act))


def list_of(kind: str, person: Person, *, shop: Profile, at: datetime) -> Sheet:
    """The list of today. Six queries for the bench, seven for the desk."""
    here = local(at, shop.zone)
    hours = open_words(opening(shop, since=here.date()), here)
    parts = _bench(person, shop, at) if kind == "bench" else _desk(person, shop, at)
    return Sheet(
        shop=shop.name,
        title=FOR[kind].words,
        day=f"{long_day(here.date())} {here.year}",
        fixed=f"As it stood at {here:%H:%M}. {hours}".strip(),
        page=shop.page,
        parts=tuple(part for part in parts if part.lines),
    )


def printed(sheet: Sheet, *, at: datetime) -> bytes:
    """The PDF, in black, one page where it can be."""
    parts: list[Json] = [
        {
            "title": part.title,
            "lines": [
                {"number": one.number, "words": one.words, "more": one.more, "phone": one.phone_shown}
                for one in part.lines
            ],
        }
        for part in sheet.parts
    ]
    said: dict[str, Json] = {"shop": sheet.shop, "title": sheet.title, "day": sheet.day, "fixed": sheet.fixed}
    return set_in_type("today", {"words": printable({**said, "parts": parts}), "page": sheet.page}, at=at)


def _bench(person: Person, shop: Profile, at: datetime) -> list[Part]:
    jobs = known_jobs(person, Q(stage__in=_HANDS), shop=shop, at=at, every_tape=True)
    held = sorted((one for one in jobs if one.has is not None), key=lambda one: (one.whose, one.has))
    parts = [
        Part(name, tuple(_bench_line(one) for one in lists.by_day(of)))
        for (name, _), of in groupby(held, key=lambda one: (one.whose, one.has))
    ]
    return [*parts, Part("Nobody has it", tuple(_bench_line(one) for one in lists.by_day(_without(jobs))))]


def _without(jobs: Iterable[Known]) -> list[Known]:
    return [one for one in jobs if one.has is None]


def _bench_line(job: Known) -> Line:
    said = [
        f"for {day_words(job.promised)}" if job.promised else "no day yet",
        job.rest.words if job.rest else PLACE[job.stage].name,
        job.work,
        *(f"waits for {HOLDS[kind]}{f': {words}' if words else ''}" for kind, words in job.holds),
    ]
    return Line(job.item, "", job.short, "; ".join(part for part in said if part))


def _desk(person: Person, shop: Profile, at: datetime) -> list[Part]:
    today = local(at, shop.zone).date()
    wanted = Q(stage__in=(Stage.RDY, Stage.ANS)) | Q(promised__lte=today)
    jobs = known_jobs(person, wanted, shop=shop, at=at)
    letters = desk_reads.letters_to_do(most=None)
    return [
        Part("Comes today", tuple(lists.comes(jobs, today))),
        Part("To call or write", tuple(_call(one) for one in letters.first)),
        Part("Ready, owner not told", tuple(line for line in lists.ready(jobs, today) if line.grave)),
        Part("Past its day", tuple(lists.late_line(one, today) for one in lists.past_day(jobs, today))),
        Part("Due today", tuple(lists.late_line(one, today) for one in lists.due(jobs, today, today))),
        Part("Estimates without an answer", tuple(lists.answers(jobs, today))),
    ]


def _call(letter: desk_reads.Letter) -> Line:
    more = letter.subject if letter.by_hand else f"{letter.subject}: did not go for certain"
    return Line(letter.to, "", letter.number.partition("-")[2], more, phone=letter.phone)
