"""Whether a move may still be taken back, and the gate's reasons put together."""

from collections.abc import Iterable
from datetime import datetime

from jobs.book.gate import Offer
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


def by_reason(offers: Iterable[Offer]) -> tuple[tuple[str, tuple[Offer, ...]], ...]:
    """Refused offers under their reason, in rail order: one sentence for all that it holds back. No query."""
    held: dict[str, list[Offer]] = {}
    for offer in offers:
        if not offer.open:
            held.setdefault(offer.reason, []).append(offer)
    return tuple((reason, tuple(of)) for reason, of in held.items())
