"""An answer that was written down wrongly is taken back, as long as nothing rests on it."""

from datetime import datetime

from django.db import transaction

from jobs.bench.models import WorkSpell
from jobs.billing.models import Invoice
from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press
from jobs.estimates.models import Answer, WithdrawnAnswer
from jobs.estimates.withdrawing import take_back
from shop.people.models import Person


def why_it_stays(job: Job, answer: Answer) -> str:
    """What rests on an answer, so that it cannot be taken back; "" when nothing does. Two queries."""
    if answer.how == "link":
        return "The owner gave this answer by link. Send a new version instead."
    if job.closed_at is not None:
        return "This job is closed."
    if WorkSpell.objects.filter(job=job, started_at__gte=answer.at).exists():
        return "Bench time has been written down since. A new version sets it right."
    if Invoice.objects.filter(of_jobs__job=job, of_jobs__live=True, issued_at__gte=answer.at).exists():
        return "An invoice has been issued since. It is set right by a credit note first."
    return ""


def withdraw(job: Job, answer_id: int, *, reason: str, by: Person, at: datetime, key: str = "") -> WithdrawnAnswer:
    """Take an answer back: kept with the reason, its estimate waits again, and the gate closes.

    Raises Refused with what rests on it, Stale when somebody took it back already, Again for a second press.
    """
    with transaction.atomic():
        pressed = press(key, "answer.withdraw", at=at) if key else None
        locked = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=job.pk)
        held = Answer.objects.filter(pk=answer_id, estimate__job=locked).first()
        no = why_it_stays(locked, held) if held is not None else ""
        if no:
            raise Refused(no)
        kept = take_back(locked, answer_id, reason=reason, by=by, at=at)
        if pressed is not None:
            keep(pressed, withdrawn=kept.pk)
    return kept
