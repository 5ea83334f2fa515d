"""What hangs where: the last sighting of each item says it."""

from collections import Counter
from dataclasses import dataclass

from django.db.models import OuterRef, Subquery

from jobs.book.models import Item
from jobs.custody.models import Location, Sighting


@dataclass(frozen=True, slots=True)
class Hanging:
    """One thing at a place, with the number of its newest open job, if any."""

    title: str
    number: str


_LAST = Sighting.objects.filter(item=OuterRef("pk")).order_by("-at", "-pk").values("location")[:1]


def hanging(location_id: int) -> list[Hanging]:
    """What was last seen at a place, by title. Two queries."""
    items = list(
        Item.objects.annotate(here=Subquery(_LAST))
        .filter(here=location_id)
        .order_by("title", "pk")
        .prefetch_related("jobs")
    )
    found = []
    for item in items:
        open_jobs = sorted((job for job in item.jobs.all() if job.closed_at is None), key=lambda job: -job.pk)
        found.append(Hanging(item.title, open_jobs[0].number if open_jobs else ""))
    return found


def how_many() -> Counter[int]:
    """How many things were last seen at each place, by its id. One query."""
    seen = Item.objects.annotate(here=Subquery(_LAST)).filter(here__isnull=False).values_list("here", flat=True)
    return Counter(seen)


def every_place() -> list[Location]:
    """Every place, closed ones too, in the shop's order. One query."""
    return list(Location.objects.order_by("position", "name"))
