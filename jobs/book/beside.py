"""Two jobs, one instrument: the open jobs of an item stand beside each other wherever one of them is shown."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from jobs.book.kinds import ITEM_KINDS, JOB_KINDS
from jobs.book.models import Item, Job
from jobs.book.stages import PLACE, Stage
from shop.prepared import Blank, Prepared


@dataclass(frozen=True, slots=True)
class Beside:
    """Another open job on the same item."""

    number: str
    what: str  # “new bridge”, else its kind
    stage: str  # “On the bench”
    promised: date | None

    @property
    def short(self) -> str:
        """“0421”."""
        return self.number.partition("-")[2] or self.number


def beside(job: Job) -> tuple[Beside, ...]:
    """The other open jobs on a job's item, oldest first. One query."""
    return tuple(_shown(row) for row in _open_on(job.item_id) if row[1] != job.number)


@Prepared
def _open_on(item: Blank) -> QuerySet[Job, tuple[int, str, str, str, str, date | None]]:
    return _rows(Job.objects.filter(item=item))


def open_on(items: Iterable[int]) -> dict[int, tuple[Beside, ...]]:
    """The open jobs of several items, by item id, oldest first. One query."""
    found: dict[int, list[Beside]] = {}
    for row in _rows(Job.objects.filter(item__in=set(items))):
        found.setdefault(row[0], []).append(_shown(row))
    return {item: tuple(jobs) for item, jobs in found.items()}


def _rows(jobs: QuerySet[Job]) -> QuerySet[Job, tuple[int, str, str, str, str, date | None]]:
    still = jobs.filter(closed_at__isnull=True).order_by("opened_at", "pk")
    return still.values_list("item_id", "number", "work", "kind", "stage", "promised")


def _shown(row: tuple[int, str, str, str, str, date | None]) -> Beside:
    _, number, work, kind, stage, promised = row
    return Beside(number, work or JOB_KINDS[kind], PLACE[Stage(stage)].name, promised)


def still_open(one: Beside, item: Item) -> str:
    """“0421 is still open on this violin: new bridge, On the bench.”"""
    thing = ITEM_KINDS[item.kind] if item.kind != "Ot" else "item"
    return f"{one.short} is still open on this {thing}: {one.what}, {one.stage}."
