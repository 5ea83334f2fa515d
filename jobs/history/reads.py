"""The history of a job or an item, newest first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from django.db.models import Q, QuerySet

from jobs.book.models import Correction, Entry, Item, Job, Party
from jobs.custody.models import Location
from jobs.history.names import Names
from jobs.history.sentences import BY_OWNER, MANY, sentence
from shop.people.models import Person

LIMIT = 200
PAGE = 60


@dataclass(frozen=True, slots=True)
class Happening:
    """One line of history: who, when, and a sentence that follows the name."""

    at: datetime
    who: str
    words: str


@dataclass(frozen=True, slots=True)
class Told:
    """One page of what happened, newest first; `older` and `newer` are the neighbouring pages, 0 for none."""

    lines: list[Happening]
    page: int
    pages: int

    @property
    def older(self) -> int:
        """The next page back in time."""
        return self.page + 1 if self.page < self.pages else 0

    @property
    def newer(self) -> int:
        """The page before."""
        return self.page - 1 if self.page > 1 else 0


def history_of(job: Job) -> list[Happening]:
    """The newest entries of a job and of the visit it came with, in words. At most eight queries, mostly three."""
    about = Q(job=job) | Q(visit=job.visit_id, job=None) if job.visit_id else Q(job=job)
    return _told(_rows(Entry.objects.filter(about))[:LIMIT])


def history_of_item(item: Item, jobs: Iterable[Job], *, page: int = 1) -> Told:
    """What happened to an item over all its jobs and owners, page by page. At most nine queries, however long it is.

    `jobs` are those on it now; what was done on a job while it was on this item by mistake is told as well.
    """
    numbers = [job.pk for job in jobs]
    visits = {job.visit_id for job in jobs} - {None}
    about = Q(item=item) | Q(job__in=numbers) | Q(visit__in=visits, job=None)
    entries = Entry.objects.filter(about)
    pages = max(1, -(-entries.count() // PAGE))
    page = min(max(page, 1), pages)
    return Told(_told(_rows(entries)[(page - 1) * PAGE : page * PAGE]), page, pages)


def _rows(entries: QuerySet[Entry]) -> QuerySet[Entry, tuple[str, dict[str, Any], datetime, str | None]]:
    return entries.order_by("-at", "-pk").values_list("action", "data", "at", "by__called")


def _told(rows: Iterable[tuple[str, dict[str, Any], datetime, str | None]]) -> list[Happening]:
    entries = list(rows)
    names = _names([(action, data) for action, data, _, _ in entries])
    told: list[Happening] = []
    for (action, who), run in groupby(entries, key=lambda entry: (entry[0], entry[3])):
        several = list(run)
        name = who or ("The owner" if action in BY_OWNER else "The shop")
        if action in MANY and len(several) > 1:
            told.append(Happening(several[0][2], name, MANY[action].format(n=len(several))))
            continue
        told += [Happening(at, name, sentence(action, data, names)) for _, data, at, _ in several]
    return told


# which field of an entry holds the id of what
_IDS: dict[str, dict[str, tuple[str, ...]]] = {
    "people": {"job.assigned": ("to",)},
    "items": {"job.put_on_item": ("from", "to"), "item.job_taken_off": ("from", "to")},
    "jobs": {
        "item.job_taken_off": ("job",),
        "photo.moved": ("from",),
        "photo.moved_away": ("to",),
        "photo.also": ("from",),
    },
    "parties": {
        "job.party_changed": ("from", "to"),
        "item.owner_changed": ("from", "to"),
        "estimate.approved": ("party",),
        "estimate.declined": ("party",),
        "answer.withdrawn": ("party",),
        "ceiling.set": ("party",),
    },
    "corrected": {"item.corrected": ("correction",)},
}


def _names(entries: Iterable[tuple[str, dict[str, Any]]]) -> Names:
    ids: dict[str, set[Any]] = {sort: set() for sort in (*_IDS, "places")}
    for action, data in entries:
        ids["places"].add(data.get("location"))
        for sort, fields in _IDS.items():
            ids[sort].update(data.get(field) for field in fields.get(action, ()))
    of = {sort: found - {None} for sort, found in ids.items()}
    return Names(
        people={one.pk: one.short for one in Person.objects.filter(pk__in=of["people"])} if of["people"] else {},
        places=dict(Location.objects.filter(pk__in=of["places"]).values_list("pk", "name")) if of["places"] else {},
        items={one.pk: item_words(one) for one in Item.objects.filter(pk__in=of["items"])} if of["items"] else {},
        jobs=dict(Job.objects.filter(pk__in=of["jobs"]).values_list("pk", "number")) if of["jobs"] else {},
        parties={one.pk: one.tag_name or "a young player" for one in Party.objects.filter(pk__in=of["parties"])}
        if of["parties"]
        else {},
        corrected={
            pk: (was, now)
            for pk, was, now in Correction.objects.filter(pk__in=of["corrected"]).values_list("pk", "before", "after")
        }
        if of["corrected"]
        else {},
    )


def item_words(item: Item) -> str:
    """An item by its title and what tells it from another of the same: “Violin 4/4 (labelled …)”."""
    more = item.asset or item.marks or (f"labelled {item.labelled}" if item.labelled else "")
    return f"{item.title} ({more})" if more else item.title
