"""What was found, as one line each, enough to tell twins apart. Four queries, five when nothing was found at first."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, F, OuterRef, Subquery
from django.urls import reverse
from django.utils.safestring import SafeString

from jobs.book.kinds import silhouette
from jobs.book.models import Item, Job, Party
from jobs.book.sprite import symbol
from jobs.book.stages import CLOSINGS, PLACE, Stage
from jobs.index.reads import Found, Group, Letters, find
from jobs.tags.codes import grouped, read_code
from shop.clock import day_words, local
from shop.profile.models import Profile

Row = TypeVar("Row", Item, Job, Party)


@dataclass(frozen=True, slots=True)
class Answer:
    """One line: what it is, what tells it from its twin, how it stands. `closed`: it is not in the shop, or not in use."""

    url: str
    name: str
    about: str = ""
    stands: str = ""
    number: str = ""
    outline: str = ""
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Heap:
    """The answers of one kind. `more` in words: “and 37 more”."""

    code: str
    name: str
    answers: tuple[Answer, ...]
    more: str = ""


@dataclass(frozen=True, slots=True)
class Answers:
    """Everything found, the likeliest heap first, and how many that are, in words."""

    heaps: tuple[Heap, ...]
    count: str

    @property
    def first(self) -> str:
        """Where the first answer leads, "" when there is none."""
        return self.heaps[0].answers[0].url if self.heaps else ""

    @property
    def outlines(self) -> list[SafeString]:
        """The silhouettes these lines need, drawn."""
        return [symbol(name) for name in sorted({one.outline for heap in self.heaps for one in heap.answers} - {""})]


def answers(typed: str, *, reach: bool, now: datetime) -> Answers:
    """Answers to what was typed; with `reach` for people who may see an owner's address and telephone."""
    found = find(typed, reach=reach)
    if not reach:
        found = replace(found, parties=Group())  # an owner's page is closed to them; jobs and items say whose they are
    items = _items({*found.items.ids, *(tag.item for tag in found.tags)})
    jobs = _jobs({*found.jobs.ids, *(vars(item)["last"] for item in items.values())} - {None})
    parties = _parties(found.parties.ids)
    seen = _Seen(items, jobs, reach=reach, now=now)
    tags = Heap("tags", "Letters of a tag", tuple(map(seen.tag, found.tags)), _more(found.more_tags))
    rest = (
        Heap("jobs", "Jobs", _lines(seen.job, jobs, found.jobs), _more_of(found.jobs)),
        Heap("items", "Instruments and bows", _lines(seen.item, items, found.items), _more_of(found.items)),
        Heap("parties", "Owners", _lines(seen.party, parties, found.parties), _more_of(found.parties)),
    )
    # whoever typed or scanned all letters of a tag means the tag
    heaps = (tags, *rest) if read_code(typed) else (*rest, tags)
    return Answers(tuple(heap for heap in heaps if heap.answers), _count(found))


def _lines(line: Callable[[Row], Answer], rows: Mapping[int, Row], group: Group) -> tuple[Answer, ...]:
    return tuple(line(rows[pk]) for pk in group.ids if pk in rows)


def _more(count: int) -> str:
    return f"and {count} more" if count else ""


def _more_of(group: Group) -> str:
    return f"and more than {group.more} more" if group.least and group.more else _more(group.more)


def _count(found: Found) -> str:
    groups = (found.jobs, found.items, found.parties)
    count = sum(len(group.ids) + group.more for group in groups) + len(found.tags) + found.more_tags
    if not count:
        return "Nothing found."
    least = "more than " if any(group.least for group in groups) else ""
    return f"{least}{count} found.".capitalize()


def _items(ids: Collection[int]) -> dict[int, Item]:
    """Items with their owner and `last`, the id of the job that says most: the newest open one, else the newest."""
    last = Job.objects.filter(item=OuterRef("pk")).order_by(F("closed_at").desc(nulls_first=True), "-opened_at", "-pk")
    rows = Item.objects.select_related("owner").annotate(last=Subquery(last.values("pk")[:1]))
    return {item.pk: item for item in rows.filter(pk__in=ids)} if ids else {}


def _jobs(ids: Collection[int]) -> dict[int, Job]:
    """Jobs with item and owner, and the shop's zone, which is spared a query of its own."""
    zone = Subquery(Profile.objects.filter(pk=1).values("time_zone"))
    rows = Job.objects.select_related("item__owner").annotate(zone=zone)
    return {job.pk: job for job in rows.filter(pk__in=ids)} if ids else {}


def _parties(ids: Collection[int]) -> dict[int, Party]:
    """Parties with how many items are theirs, and how many of those are here."""
    here = Exists(Job.objects.filter(item=OuterRef("pk"), closed_at__isnull=True))
    theirs = Item.objects.filter(owner=OuterRef("pk")).order_by().values("owner")
    rows = Party.objects.annotate(
        theirs=Subquery(theirs.annotate(count=Count("pk")).values("count")),
        here=Subquery(theirs.filter(here).annotate(count=Count("pk")).values("count")),
    )
    return {party.pk: party for party in rows.filter(pk__in=ids)} if ids else {}


class _Seen:
    """Says the lines of one answer."""

    def __init__(self, items: Mapping[int, Item], jobs: Mapping[int, Job], *, reach: bool, now: datetime) -> None:
        self.items, self.jobs, self.reach = items, jobs, reach
        self.zone = ZoneInfo(next((vars(job)["zone"] for job in jobs.values()), None) or "UTC")
        self.today = local(now, self.zone).date()

    def owner(self, party: Party | None) -> str:
        if party is None:
            return "owner not known"
        return party.name if self.reach or not party.minor else "a young player"

    def stands(self, job: Job) -> str:
        """“On the bench, Fri 27 Nov”, “Gone home 3 Oct”."""
        if job.closed_at is not None:
            word, day = CLOSINGS.get(job.closed_as, "closed"), local(job.closed_at, self.zone).date()
            return f"{word.capitalize()} {day_words(day, today=self.today)}"
        name = PLACE[Stage(job.stage)].name
        if job.stage == Stage.RDY:
            return f"{name} since {day_words(local(job.stage_since, self.zone).date(), today=self.today)}"
        return f"{name}, {day_words(job.promised, today=self.today)}" if job.promised else f"{name}, no day yet"

    def job(self, job: Job) -> Answer:
        item = job.item
        return Answer(
            url=reverse("desk:job", args=[job.number]),
            number=job.number,
            name=item.title,
            about=_joined(self.owner(item.owner), item.asset, item.marks, item.labelled),
            stands=self.stands(job),
            outline=silhouette(item.kind, item.size),
            closed=job.closed_at is not None,
        )

    def item(self, item: Item) -> Answer:
        last = self.jobs.get(vars(item)["last"])
        return Answer(
            url=reverse("register:item", args=[item.pk]),
            name=item.title,
            about=_joined(self.owner(item.owner), item.asset, item.marks, item.labelled),
            stands=f"{last.number}: {self.stands(last)}" if last else "No job yet",
            outline=silhouette(item.kind, item.size),
            closed=last is None or last.closed_at is not None,
        )

    def party(self, party: Party) -> Answer:
        theirs, here = (vars(party)[name] or 0 for name in ("theirs", "here"))
        lines = [line.strip() for line in party.address.splitlines() if line.strip()]
        return Answer(
            url=reverse("register:owner", args=[party.pk]),
            name=self.owner(party),
            about=_joined(party.phone, party.email, *lines[:1]) if self.reach else "",
            stands=_joined(
                f"{here} here" if here else "", f"{theirs} in the book" if theirs else "nothing in the book"
            ),
            closed=not here,
        )

    def tag(self, letters: Letters) -> Answer:
        item = self.items[letters.item]
        return Answer(
            url=reverse("scan:tag", args=[letters.code]),
            number=grouped(letters.code),
            name=item.title,
            about=_joined(self.owner(item.owner), item.asset, item.marks),
            stands="" if letters.live else "old tag",
            outline=silhouette(item.kind, item.size),
            closed=not letters.live,
        )


def _joined(*words: str) -> str:
    return " · ".join(word for word in words if word)
