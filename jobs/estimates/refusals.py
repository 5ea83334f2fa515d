"""After “none of these”: whether it is put together again, and whether the fee for examining is taken."""

from datetime import datetime

from django.db import transaction

from jobs.book.models import Job
from jobs.book.refusals import Refused, Stale
from jobs.book.stages import Stage
from jobs.book.steps import keep, press, record
from jobs.estimates.models import Estimate, Refusal
from jobs.estimates.reads import declined, fee_with_tax
from shop.money import ZERO, plain
from shop.people.models import Person
from shop.profile.reads import profile

REASSEMBLY = "Put it together again as it came"
SETTLE_AT = frozenset({Stage.IN, Stage.EXA, Stage.ANS})


def settle(
    job: Job, *, reassemble: bool, take_fee: bool, reason: str = "", by: Person, at: datetime, key: str = ""
) -> Refusal:
    """Say what follows the refusal that stands. A fee that the estimate named is taken, or let go with a reason.

    Raises Refused when nothing was declined, Stale when somebody settled it already, Again for a second press.
    """
    reason = " ".join(reason.split())
    with transaction.atomic():
        pressed = press(key, "refusal.settle", at=at) if key else None
        locked = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=job.pk)
        answer = declined(locked)
        if answer is None:
            raise Stale("No refusal stands on this job. Look at it again.")
        if locked.closed_at is not None or Stage(locked.stage) not in SETTLE_AT:
            raise Stale("This is not waiting for the owner’s answer any more. Look at it again.")
        estimate: Estimate = answer.estimate
        if Refusal.objects.filter(estimate=estimate).exists():
            raise Stale("Somebody has said already what follows. Look at it again.")
        if take_fee and not estimate.fee:
            raise Refused("The estimate named no fee, so none can be taken.")
        waives = bool(estimate.fee) and not take_fee
        if waives and not reason:
            raise Refused("Write why the fee is not taken.")
        if len(reason) > 200:
            raise Refused("The reason has more than 200 letters. Shorten it.")
        places = profile().places
        made = Refusal.objects.create(
            estimate=estimate,
            reassemble=reassemble,
            fee=estimate.fee if take_fee else ZERO,
            fee_tax_rate=estimate.fee_tax_rate if take_fee else ZERO,
            waived=reason if waives else "",
            at=at,
            by=by,
        )
        named = plain(fee_with_tax(estimate, places), places)
        if waives:
            record("fee.waived", by=by, at=at, job=locked, data={"refusal": made.pk, "fee": named, "reason": reason})
        data = {
            "estimate": estimate.pk,
            "version": estimate.version,
            "refusal": made.pk,
            "reassemble": reassemble,
            "fee": named if take_fee else "",
        }
        record("refusal.settled", by=by, at=at, job=locked, data=data)
        if pressed is not None:
            keep(pressed, refusal=made.pk)
    return made
