"""Whether a move may still be taken back."""

from datetime import datetime

from jobs.book.models import Entry, Job
from jobs.book.stages import PLACE, Stage
from jobs.moves.steps import MOVED, UNDO_WITHIN
from shop.people.models import Person


def may_undo(job: Job, person: Person, *, at: datetime) -> str:
    """Where a person's own last move would go back to ("" when it may not). The step looks again.

    No query unless it came to its stage within the last five minutes, then one.
    """
    if job.closed_at is not None or at - job.stage_since > UNDO_WITHIN:
        return ""
    last = Entry.objects.filter(job=job).order_by("-pk").first()
    if last is None or last.action != MOVED or last.by_id != person.pk:
        return ""
    return PLACE[Stage(last.data["from"])].name
