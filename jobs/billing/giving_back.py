"""Money put right: a payment that was written down wrongly gets a mirror, and money that is not owed is given back.

Nothing is erased. Below nothing no sum can fall: never more is given back than was received.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.billing.models import METHODS, Invoice, Payment
from jobs.billing.reads import due_on, total
from jobs.billing.steps import locked_jobs, write_row
from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from shop.clock import moment_words
from shop.money import ZERO, plain, rounded, written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile


def because(reason: str, *, lacking: str) -> str:
    """A reason in its kept form. Raises Refused when it is empty or has more than 160 letters."""
    said = " ".join(reason.split())
    if not said:
        raise Refused(lacking)
    if len(said) > 160:
        raise Refused("The reason has more than 160 letters. Shorten it.")
    return said


def reverse(payment: Payment, *, reason: str, by: Person, at: datetime, key: str) -> Payment:
    """Answer a row that was written down wrongly with its mirror; both are kept. It belongs to the next count.

    Raises Refused for a mirror, a row that has one, and where a part of the money was given back already.
    """
    shop, said = profile(), because(reason, lacking="Write what was wrong with it.")
    with transaction.atomic():
        pressed = press(key, "reverse", at=at)
        row, jobs = _locked(payment)
        if row.reversal_of_id is not None:
            raise Refused("This takes another row back. Write the payment down anew instead.")
        mirrored = Payment.objects.filter(reversal_of=row).select_related("by").first()
        if mirrored is not None:
            when = moment_words(mirrored.at, shop.zone, now=at)
            raise Refused(f"{mirrored.by.short} reversed it already, {when}.")
        if _received_with(row) - row.amount < 0:
            raise Refused("A part of it was refunded since. Reverse the refund first, if that was wrong too.")
        mirror = Payment.objects.create(
            job=row.job,
            invoice=row.invoice,
            party=row.party,
            kind=row.kind,
            method=row.method,
            amount=-row.amount,
            reference=row.reference,
            reason=said,
            reversal_of=row,
            at=at,
            by=by,
        )
        data = {
            "payment": row.pk,
            "mirror": mirror.pk,
            "kind": row.kind,
            "method": row.method,
            "amount": plain(abs(row.amount), shop.places),
            "counted": row.count_id,
            "reason": said,
        }
        for job in jobs:
            record("payment.reversed", by=by, at=at, job=job, data=data)
        keep(pressed, payment=mirror.pk)
    return mirror


def _received_with(row: Payment) -> Decimal:
    """What was received where a row belongs: on its invoice, or for its job before any. One query."""
    if row.invoice_id is not None:
        return total(Payment.objects.filter(invoice=row.invoice_id))
    return total(Payment.objects.filter(job=row.job_id, invoice=None))


def _locked(payment: Payment) -> tuple[Payment, list[Job]]:
    """A row with its jobs and its invoice held. Looked at again once held: an invoice may just have taken a deposit."""
    jobs = locked_jobs(_jobs_of(payment))
    row = (
        Payment.objects.select_for_update(of=("self",), no_key=True)
        .select_related("invoice", "party")
        .get(pk=payment.pk)
    )
    if row.invoice_id is not None:
        Invoice.objects.select_for_update(no_key=True).get(pk=row.invoice_id)
        jobs = list(_jobs_of(row))
    return row, jobs


def _jobs_of(row: Payment) -> Sequence[Job]:
    if row.invoice is not None:
        return list(row.invoice.jobs.order_by("pk"))
    return [row.job] if row.job is not None else []


def refund_deposit(
    job: Job, amount: Decimal, method: str, *, reason: str, by: Person, at: datetime, key: str, reference: str = ""
) -> Payment:
    """Give back a deposit, or a part of it, that no invoice has taken. Never more than is held."""
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "refund", at=at)
        held_job = locked_jobs([job])[0]
        taken = Invoice.objects.filter(of_jobs__job=held_job, of_jobs__live=True).first()
        if taken is not None:
            raise Refused(f"Invoice {taken.number} has taken the deposit. Give back there what is overpaid.")
        rows = Payment.objects.filter(job=held_job, invoice=None)
        held = total(rows)
        newest = rows.filter(kind="deposit").select_related("party").order_by("-pk").first()
        made = Payment(job=held_job, party=newest.party if newest else None)
        nothing = "No deposit is held for this job, so there is nothing to refund."
        _give_back(made, amount, held, method, reason, reference, by=by, at=at, shop=shop, nothing=nothing)
        write_row(made, jobs=[held_job], left=ZERO, shop=shop)
        keep(pressed, payment=made.pk)
    return made


def refund_on(
    invoice: Invoice,
    amount: Decimal,
    method: str,
    *,
    reason: str,
    by: Person,
    at: datetime,
    key: str,
    reference: str = "",
) -> Payment:
    """Give back what is overpaid on an invoice. Where nothing is, a credit note comes first."""
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "refund", at=at)
        jobs = locked_jobs(invoice.jobs.all())
        held = Invoice.objects.select_for_update(of=("self",), no_key=True).select_related("payer").get(pk=invoice.pk)
        made = Payment(invoice=held, party=held.payer)
        nothing = f"Nothing is overpaid on invoice {held.number}. A credit note comes first, if it was too high."
        _give_back(made, amount, -due_on(held), method, reason, reference, by=by, at=at, shop=shop, nothing=nothing)
        write_row(made, jobs=jobs, left=ZERO, shop=shop)
        keep(pressed, payment=made.pk)
    return made


def _give_back(
    made: Payment,
    amount: Decimal,
    most: Decimal,
    method: str,
    reason: str,
    reference: str,
    *,
    by: Person,
    at: datetime,
    shop: Profile,
    nothing: str,
) -> None:
    if method not in METHODS:
        raise Refused("Choose how it is refunded.")
    if most <= 0:
        raise Refused(nothing)
    amount = rounded(amount, shop.places)
    if amount <= 0:
        raise Refused("Write an amount above zero.")
    if amount > most:
        raise Refused(f"Only {written(most, shop.places)} was paid and can be refunded. Write that or less.")
    made.kind, made.method, made.amount = "refund", method, -amount
    made.reason = because(reason, lacking="Write why it is refunded.")
    made.reference = " ".join(reference.split())[:60]
    made.at, made.by = at, by
