"""Who works here, and how each of them stands."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Count, Exists, OuterRef, Q

from jobs.bench.models import WorkSpell
from jobs.book.models import Job
from jobs.office.lines import Standing
from shop.people.models import Person


@dataclass(frozen=True, slots=True)
class Somebody:
    """One row of the list."""

    person: Person
    jobs: int
    works_now: bool
    signed_in: int

    @property
    def waits(self) -> bool:
        """Whether they never chose a password."""
        return self.person.is_active and not self.person.has_usable_password()


def everybody(*, at: datetime) -> tuple[list[Somebody], list[Somebody]]:
    """Those who work here by name, and those who are gone, the latest first. One query."""
    since = at - timedelta(seconds=settings.SESSION_COOKIE_AGE)
    running = WorkSpell.objects.filter(person=OuterRef("pk"), stopped_at=None)
    people = Person.objects.annotate(
        open_jobs=Count("jobs", filter=Q(jobs__closed_at=None), distinct=True),
        works=Exists(running),
        sign_ins=Count("signed_in", filter=Q(signed_in__ended_at=None, signed_in__seen_at__gte=since), distinct=True),
    ).order_by("name", "pk")
    rows = [Somebody(one, vars(one)["open_jobs"], vars(one)["works"], vars(one)["sign_ins"]) for one in people]
    gone = [row for row in rows if not row.person.is_active]
    gone.sort(key=lambda row: row.person.left_at or row.person.joined_at, reverse=True)
    return [row for row in rows if row.person.is_active], gone


def jobs_of(person: Person) -> list[Job]:
    """A person's open jobs. One query."""
    return list(Job.objects.filter(assigned=person, closed_at=None).select_related("item").order_by("number"))


def clock_of(person: Person) -> WorkSpell | None:
    """The clock that runs for a person, None when there is none. One query."""
    return WorkSpell.objects.select_related("job").filter(person=person, stopped_at=None).first()


def staff_line(here: Standing) -> str:
    """“6 people; Jorin has not chosen a password yet”. One query."""
    people = list(Person.objects.filter(is_active=True).order_by("name").only("called", "password"))
    waiting = [person.called for person in people if not person.has_usable_password()]
    words = f"{len(people)} {'person' if len(people) == 1 else 'people'}"
    if waiting:
        has = "has" if len(waiting) == 1 else "have"
        words += f"; {', '.join(waiting)} {has} not chosen a password yet"
    return words
