"""The history of a job, newest first."""

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from django.db.models import Q

from jobs.book.models import Entry, Job
from jobs.custody.models import Location
from jobs.history.sentences import BY_OWNER, MANY, Names, sentence
from shop.people.models import Person

LIMIT = 200


@dataclass(frozen=True, slots=True)
class Happening:
    """One line of history: who, when, and a sentence that follows the name."""

    at: datetime
    who: str
    words: str


def history_of(job: Job) -> list[Happening]:
    """The newest entries of a job and of the visit it came with, in words. At most three queries."""
    about = Q(job=job) | Q(visit=job.visit_id, job=None) if job.visit_id else Q(job=job)
    entries = list(
        Entry.objects.filter(about).order_by("-at", "-pk").values_list("action", "data", "at", "by__name")[:LIMIT]
    )
    people = {data.get("to") for action, data, _, _ in entries if action == "job.assigned"} - {None}
    places = {data.get("location") for _, data, _, _ in entries if data.get("location")}
    names = Names(
        people={one.pk: one.short for one in Person.objects.filter(pk__in=people)} if people else {},
        places=dict(Location.objects.filter(pk__in=places).values_list("pk", "name")) if places else {},
    )
    told: list[Happening] = []
    for (action, who), run in groupby(entries, key=lambda entry: (entry[0], entry[3])):
        several = list(run)
        name = who.split()[0] if who else ("The owner" if action in BY_OWNER else "The shop")
        if action in MANY and len(several) > 1:
            told.append(Happening(several[0][2], name, MANY[action].format(n=len(several))))
            continue
        told += [Happening(at, name, sentence(action, data, names)) for _, data, at, _ in several]
    return told
