"""Work agreed at the counter by signing the note that states it: a version answered at once, whose paper is that note.

So billing, the owner's page and the history read it like any other agreement: which version, who, how, on which paper.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.estimates.models import Answer, Estimate, Line, Option
from jobs.estimates.reads import who_answers
from jobs.papers.models import Paper
from shop.money import Taxed, plain, totals
from shop.people.models import Person


@dataclass(frozen=True, slots=True)
class Work:
    """One line as it stands on the note."""

    words: str
    tax_class: str
    operation: int | None
    taxed: Taxed


def agree_on_note(
    job: Job,
    work: Iterable[Work],
    *,
    note: Paper,
    party: Party,
    name: str,
    words: str,
    title: str,
    ready: date | None,
    deposit: Decimal,
    places: int,
    by: Person,
    at: datetime,
) -> Answer:
    """Write down what the signed `note` states of one job as its next version, agreed to. Call inside its transaction.

    `name` as signed; `deposit` is asked before work begins. Raises Refused where the party may not agree for the owner, or
    another estimate is being written.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("An agreement on a note is written in the transaction that seals it.")
    if party not in who_answers(job):
        raise Refused("Only the owner, or whoever may agree for the owner, can agree to this.")
    if job.estimates.filter(state="draft").exists():
        raise Refused(f"An estimate for {job.number} is being written. Send that one, or take it in fully.")
    lines = list(work)
    sums = totals(line.taxed for line in lines)
    job.estimates.filter(state="sent").update(state="replaced")
    last = job.estimates.aggregate(last=Max("version"))["last"] or 0
    estimate = Estimate.objects.create(
        job=job, version=last + 1, state="answered", words=words, made_at=at, made_by=by, sent_at=at
    )
    option = Option.objects.create(
        estimate=estimate, letter="A", title=title[:80], ready_from=ready, ready_to=None, deposit=deposit
    )
    Line.objects.bulk_create(
        Line(
            option=option,
            position=position,
            operation_id=line.operation,
            words=line.words[:160],
            tax_class=line.tax_class,
            tax_rate=line.taxed.rate,
            net=line.taxed.net,
            tax=line.taxed.tax,
        )
        for position, line in enumerate(lines, 1)
    )
    made = Answer.objects.create(
        estimate=estimate,
        option=option,
        approved=True,
        how="desk",
        name=name,
        party=party,
        person=by,
        at=at,
        ceiling=sums.gross,
        paper=note,
    )
    data = {
        "estimate": estimate.pk,
        "version": estimate.version,
        "answer": made.pk,
        "how": made.how,
        "party": party.pk,
        "option": option.letter,
        "total": plain(sums.gross, places),
        "ceiling": plain(sums.gross, places),
        "deposit": plain(deposit, places),
        "begin_now": False,
        "paper": note.pk,
    }
    record("estimate.approved", by=by, at=at, job=job, data=data)
    return made
