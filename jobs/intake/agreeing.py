"""What was signed on a note of price-list work becomes an agreement of each job, and the jobs go in line by themselves."""

from collections.abc import Sequence
from contextlib import suppress
from datetime import date, datetime

from jobs.book.models import Job
from jobs.book.parties import promise
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.estimates.models import Answer
from jobs.estimates.on_note import Work, agree_on_note
from jobs.intake.priced import charges, deposit_of, ready_of
from jobs.intake.reads import Sitting
from jobs.intake.signs import Signs
from jobs.moves.steps import move
from jobs.papers.models import Paper
from shop.clock import day_words, local
from shop.people.models import Person


def agree(
    sitting: Sitting, jobs: Sequence[Job], note: Paper, signs: Signs, *, by: Person, at: datetime
) -> tuple[Answer, ...]:
    """Version, answer and day of each job as the note states them. Call inside the transaction that seals it."""
    shop, depositor = sitting.shop, sitting.parties[sitting.draft.role("depositor") or 0]
    name = signs.depositor.name if signs.depositor else depositor.name
    today = local(at, shop.zone).date()
    made = []
    for piece, job in zip(sitting.draft.pieces, jobs, strict=True):
        ready = ready_of(piece)
        since = max(date.fromisoformat(one.since) for one in piece.priced)
        made.append(
            agree_on_note(
                job,
                [
                    Work(line.words, line.tax_class, line.operation, line.taxed)
                    for line in charges(piece.priced, shop.places)
                ],
                note=note,
                party=depositor,
                name=name,
                words=f"From our price list since {day_words(since, today=today)}.",
                title=piece.work,
                ready=ready,
                deposit=deposit_of(piece, shop.places, percent=shop.deposit_percent, above=shop.deposit_above),
                places=shop.places,
                by=by,
                at=at,
            )
        )
        if ready is not None:
            promise(job, ready, "likely", by=by, at=at)
    return tuple(made)


def queue(job: Job, *, by: Person, at: datetime) -> None:
    """A job that was agreed to goes from the door straight to the bench queue. The gate decides: a deposit is asked first."""
    move(job.pk, Stage.IN, by=by, at=at)
    with suppress(Refused):
        move(job.pk, Stage.QUE, by=by, at=at)
