"""What the telling of the sample shop keeps at hand: its days, people, parties, items and jobs by their short ids."""

import io
from collections.abc import Hashable
from dataclasses import dataclass, field
from datetime import datetime

from django.core.files.base import File

from jobs.book.models import Item, Job, Party
from jobs.custody.models import Location
from jobs.management.demo.days import Days
from jobs.management.demo.pictures import Pictures
from jobs.management.demo.sample import JobRow, Sample
from jobs.management.demo.strokes import signature
from jobs.papers.texts import Signed, moment
from shop.people.models import Person


@dataclass(slots=True)
class Told:
    """The book as far as it is told."""

    sample: Sample
    days: Days
    people: dict[str, Person]
    parties: dict[str, Party]
    places: dict[str, Location]
    pictures: Pictures
    how_many: str  # photographs: none, few, all
    items: dict[str, Item] = field(default_factory=dict)
    jobs: dict[int, int] = field(default_factory=dict)  # number in the sample → id in the book
    pressed: int = 0

    def row(self, n: int) -> JobRow:
        """What the sample says of a job."""
        return self.sample.jobs[n]

    def number(self, n: int) -> str:
        """“26-0401”."""
        return f"{self.days.day:%y}-{400 + n:04}"

    def job(self, n: int) -> Job:
        """A job as the book has it now."""
        return Job.objects.select_related("item", "assigned").get(pk=self.jobs[n])

    def owner_of(self, n: int) -> Party:
        """Whose item a job is about."""
        row = self.row(n)
        return self.parties[row.owner or self.sample.items[row.item]["owner"]]

    def key(self) -> str:
        """A press key of its own for each press."""
        self.pressed += 1
        return f"sample-press-{self.pressed:05}"

    def signed(self, role: str, name: str, at: datetime) -> Signed:
        """Somebody's drawn signature."""
        return Signed.drawn(role=role, name=name, at=moment(at, self.days.zone), strokes=signature(name, self.pressed))

    def photo(self, key: Hashable) -> "File[bytes]":
        """A painted photograph as a camera would send it."""
        return File(io.BytesIO(self.pictures.take(key)), name="photo.jpg")
