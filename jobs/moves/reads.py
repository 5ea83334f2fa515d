"""Whether a move may still be taken back, without asking once more."""

from datetime import datetime

from django.db.models import OuterRef, QuerySet, Subquery
from django.db.models.fields.json import KT

from jobs.book.models import Entry, Job
from jobs.book.stages import PLACE, Stage
from jobs.moves.steps import MOVED, UNDO_WITHIN
from shop.people.models import Person


def with_last_entry(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Annotate jobs with what `may_undo` reads. No query of its own."""
    last = Entry.objects.filter(job=OuterRef("pk")).order_by("-pk")
    return jobs.annotate(
        last_action=Subquery(last.values("action")[:1]),
        last_by=Subquery(last.values("by")[:1]),
        last_entry_at=Subquery(last.values("at")[:1]),
        last_from=Subquery(last.values_list(KT("data__from"))[:1]),
    )


def may_undo(job: Job, person: Person, *, at: datetime) -> str:
    """Where a person's own last move would go back to ("" when it may not). The step looks again."""
    found = vars(job)
    if job.closed_at is not None or found["last_action"] != MOVED or found["last_by"] != person.pk:
        return ""
    if at - found["last_entry_at"] > UNDO_WITHIN:
        return ""
    return PLACE[Stage(found["last_from"])].name
