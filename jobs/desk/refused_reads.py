"""The plain steps after an owner declined, as the job page shows them."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.billing.models import Invoice
from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.estimates.models import Answer, Refusal
from jobs.estimates.reads import declined, fee_with_tax
from jobs.estimates.refusals import SETTLE_AT
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step: done, the one to do now, or to come."""

    words: str
    state: str


@dataclass(frozen=True, slots=True)
class RefusedPart:
    """The refusal that stands, what was settled after it, and the steps that follow."""

    answer: Answer
    fee: Decimal  # as the estimate named it, with tax; 0 for none
    refusal: Refusal | None
    may_settle: bool
    may_bill: bool  # the fee's invoice is what comes next
    steps: tuple[StepLine, ...]


def refused_part(job: Job, shop: Profile) -> RefusedPart | None:
    """None unless the newest answer is “none of these”. One query, three after a refusal."""
    answer = declined(job)
    if answer is None:
        return None
    refusal = Refusal.objects.filter(estimate=answer.estimate_id).select_related("by").first()
    stage, fee = Stage(job.stage), fee_with_tax(answer.estimate, shop.places)
    owes = refusal is not None and bool(refusal.fee)
    billed = owes and Invoice.objects.filter(of_jobs__job=job, of_jobs__live=True).exists()
    return RefusedPart(
        answer=answer,
        fee=fee,
        refusal=refusal,
        may_settle=refusal is None and stage in SETTLE_AT and job.closed_at is None,
        may_bill=owes and not billed and (stage in SETTLE_AT or stage is Stage.CHK),
        steps=_steps(job, stage, refusal, owes=owes, billed=billed),
    )


def _steps(job: Job, stage: Stage, refusal: Refusal | None, *, owes: bool, billed: bool) -> tuple[StepLine, ...]:
    after_bench = stage in {Stage.RDY, Stage.HOME}
    lines = [("Say what follows", refusal is not None)]
    if refusal is not None and refusal.reassemble:
        lines.append(("Put together again at the bench", stage is Stage.CHK or after_bench))
        lines.append(("Second check", after_bench))
    if owes:
        lines.append(("Invoice for the fee", billed))
    lines += [("Ready to collect", after_bench), ("Handed back", job.closed_at is not None)]
    here = next((n for n, (_, done) in enumerate(lines) if not done), -1)
    return tuple(
        StepLine(words, "done" if done else "now" if n == here else "") for n, (words, done) in enumerate(lines)
    )
