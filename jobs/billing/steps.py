"""Issuing invoices and taking money. An issued invoice is frozen; numbers have no gaps.

Locks are taken in one order everywhere: the jobs by id, then the invoice.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from jobs.billing.amounts import Bill, bill
from jobs.billing.models import METHODS, Invoice, InvoiceJob, InvoiceLine, OnAccount, Payment
from jobs.billing.reads import Account, account, exempt, held_for, may_bill
from jobs.billing.texts import invoice_text, receipt_text
from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.steps import keep, next_in, press, record
from jobs.papers.models import Paper
from jobs.papers.money_texts import CreditText, InvoiceText, ReceiptText
from jobs.papers.steps import freeze
from shop.clock import local
from shop.money import ZERO, NotMoneyError, plain, rounded, written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile
from shop.typed import amount as typed_amount


def amount_in(text: str, places: int) -> Decimal:
    """An amount as typed: “284.24”, “1,234.50”. Raises Refused in words."""
    try:
        amount = typed_amount(text)
    except NotMoneyError as fault:
        raise Refused(f"“{text}” is not an amount. Write it like {written(Decimal('1234.5'), places)}.") from fault
    if amount <= 0:
        raise Refused("Write an amount above zero.")
    if amount >= Decimal(10) ** 9:
        raise Refused("That amount is too large. Look at it again.")
    if amount != rounded(amount, places):
        raise Refused(f"The currency has {places} digits after the point. Write the amount that way.")
    return amount


def locked_jobs(jobs: Iterable[Job]) -> list[Job]:
    """Jobs that wait for nobody else until the transaction ends, by id.

    Their keys stay free: entries of the other jobs of an invoice name them while somebody else holds them.
    """
    wanted = Job.objects.filter(pk__in=[job.pk for job in jobs])
    return list(wanted.select_for_update(of=("self",), no_key=True).select_related("item").order_by("pk"))


def take_payment(
    job: Job,
    amount: Decimal,
    method: str,
    *,
    by: Person,
    at: datetime,
    key: str,
    given: Decimal | None = None,
    reference: str = "",
) -> Payment:
    """Write down money received: a deposit before the invoice, else a payment of the invoice. Never more than is owed.

    An invoice over several jobs is paid through any of them. `given` is the cash handed over, `reference` the number of
    the terminal's slip or of the transfer.
    """
    if method not in METHODS:
        raise Refused("Choose how it was paid.")
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "payment", at=at)
        locked = locked_jobs([job])[0]
        now = account(locked, shop, on=day_of(at, shop))
        if now.invoice is not None:
            Invoice.objects.select_for_update(no_key=True).get(pk=now.invoice.pk)
            now = account(locked, shop, on=day_of(at, shop))
        amount = rounded(amount, shop.places)
        most = now.due if now.invoice else (now.bill.balance if now.bill else ZERO)
        _fits(amount, most, given, method, shop.places)
        payment = Payment(
            job=None if now.invoice else locked,
            invoice=now.invoice,
            party=now.invoice.payer if now.invoice else now.payer,
            kind="payment" if now.invoice else "deposit",
            method=method,
            amount=amount,
            given=given,
            reference=reference.strip()[:60],
            at=at,
            by=by,
        )
        write_row(payment, jobs=now.jobs or (locked,), left=most - amount, shop=shop)
        keep(pressed, payment=payment.pk)
    return payment


def _fits(amount: Decimal, most: Decimal, given: Decimal | None, method: str, places: int) -> None:
    if amount <= 0:
        raise Refused("Write an amount above zero.")
    if amount > most:
        owed = written(max(most, ZERO), places)
        raise Refused(
            f"Only {owed} is owed. Write down what is owed; for cash, write what was handed over beside it, "
            "and the change is worked out."
        )
    if given is not None and method != "cash":
        raise Refused("Only cash gives change. Leave “handed over” empty.")
    if given is not None and given < amount:
        raise Refused(
            f"{written(given, places)} was handed over, which is less than {written(amount, places)}. "
            "Write as amount what is paid now; the rest stays owed."
        )


def write_row(payment: Payment, *, jobs: Sequence[Job], left: Decimal, shop: Profile) -> None:
    """Keep a row of money with its receipt and an entry on each of its jobs, inside the caller's transaction."""
    at, by, back = payment.at, payment.by, payment.amount < 0
    text = receipt_text(
        payment, payer=payment.party, invoice=payment.invoice, jobs=jobs, shop=shop, at=at, left=left, by=by
    )
    payment.paper = freeze_for(jobs, text, by=by, at=at)
    payment.save(force_insert=True)
    data = {
        "payment": payment.pk,
        "kind": payment.kind,
        "method": payment.method,
        "amount": plain(abs(payment.amount), shop.places),
        "reason": payment.reason,
    }
    for job in jobs:
        if back:
            record("payment.refunded", by=by, at=at, job=job, data=data)
        else:
            record("payment.taken", by=by, at=at, job=job, data=data)


def freeze_for(
    jobs: Sequence[Job], text: InvoiceText | CreditText | ReceiptText, *, by: Person, at: datetime, number: str = ""
) -> Paper:
    """Freeze a paper about one job, or one about several."""
    if len(jobs) == 1:
        return freeze(text, number=number, job=jobs[0], by=by, at=at)
    return freeze(text, number=number, also=jobs, by=by, at=at)


def issue(job: Job, *, by: Person, at: datetime, key: str) -> Invoice:
    """Issue the final invoice of what was agreed, with the deposit taken off."""
    return issue_together([job], by=by, at=at, key=key)


def issue_together(jobs: Sequence[Job], *, by: Person, at: datetime, key: str) -> Invoice:
    """Issue one final invoice over jobs of one payer, with every deposit taken off. All of them or none."""
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "invoice", at=at)
        locked = locked_jobs(jobs)
        accounts = [account(one, shop, on=day_of(at, shop)) for one in locked]
        if not locked:
            raise Refused("Choose at least one job.")
        payer = _payer_of_all(list(zip(locked, accounts, strict=True)))
        invoice = _write(locked, accounts, payer, by=by, at=at, shop=shop)
        data = {"invoice": invoice.pk, "number": invoice.number, "gross": plain(invoice.gross, shop.places)}
        for one in locked:
            record("invoice.issued", by=by, at=at, job=one, data={**data, "jobs": len(locked)})
        keep(pressed, invoice=invoice.pk)
    return invoice


def _payer_of_all(each: Sequence[tuple[Job, Account]]) -> Party:
    payers: dict[int, Party] = {}
    for job, now in each:
        of = f"Job {job.number}: " if len(each) > 1 else ""
        if now.invoice is not None:
            raise Refused(f"{of}Invoice {now.invoice.number} is issued already. A correction is a new document.")
        if now.bill is None:
            raise Refused(f"{of}Nothing was agreed with the owner, so there is nothing to invoice.")
        if now.payer is None:
            raise Refused(f"{of}Nobody is named who pays. Name the payer first.")
        if not may_bill(job):
            raise Refused(f"{of}The work is not in Second check yet. The final invoice is issued there.")
        payers[now.payer.pk] = now.payer
    if len(payers) > 1:
        raise Refused("These jobs are paid by different people. Each payer has an invoice of their own.")
    return next(iter(payers.values()))


def _write(
    jobs: Sequence[Job], accounts: Sequence[Account], payer: Party, *, by: Person, at: datetime, shop: Profile
) -> Invoice:
    is_exempt = exempt(payer, day_of(at, shop))
    taken = list(held_for(jobs, payer).select_for_update(no_key=True).order_by("at", "pk"))
    deposit = sum((one.amount for one in taken), ZERO)
    charges = [line.charge for now in accounts if now.bill for line in now.bill.lines]
    made = bill(charges, deposit=deposit, exempt=is_exempt, places=shop.places)
    year = local(at, shop.zone).year
    invoice = Invoice.objects.create(
        number=f"{year}-{next_in(f'invoice-{year}'):04}",
        payer=payer,
        issued_at=at,
        issued_by=by,
        net=made.net,
        tax=made.tax,
        gross=made.gross,
        deposit=made.deposit,
        balance=made.balance,
    )
    InvoiceJob.objects.bulk_create(InvoiceJob(invoice=invoice, job=job) for job in jobs)
    InvoiceLine.objects.bulk_create(_lines(invoice, made))
    Payment.objects.filter(pk__in=[one.pk for one in taken]).update(invoice=invoice)
    text = invoice_text(invoice, made, taken, jobs=jobs, payer=payer, shop=shop, at=at, exempt=is_exempt)
    invoice.paper = freeze_for(jobs, text, number=invoice.number, by=by, at=at)
    invoice.save(update_fields=["paper"])
    return invoice


def _lines(invoice: Invoice, made: Bill) -> list[InvoiceLine]:
    return [
        InvoiceLine(
            invoice=invoice,
            job_id=line.charge.job,
            position=position,
            words=line.charge.words,
            hours=line.charge.hours,
            rate=line.charge.rate,
            tax_class=line.charge.tax_class,
            tax_rate=line.tax_rate,
            net=line.net,
            tax=line.tax,
        )
        for position, line in enumerate(made.lines, 1)
    ]


def go_on_account(job: Job, reason: str, *, by: Person, at: datetime, key: str) -> OnAccount:
    """Let it go home unpaid, with a reason and a name; every job of its invoice with it."""
    if not reason.strip():
        raise Refused("Write why it goes home unpaid.")
    if len(reason.strip()) > 160:
        raise Refused("The reason has more than 160 letters. Shorten it.")
    with transaction.atomic():
        pressed = press(key, "on-account", at=at)
        invoice = Invoice.objects.filter(of_jobs__job=job, of_jobs__live=True).first()
        if invoice is None:
            raise Refused("Issue the final invoice first.")
        leave: OnAccount | None = None
        for one in locked_jobs(invoice.jobs.all()):
            fresh = {"reason": reason.strip(), "at": at, "by": by}
            made, first = OnAccount.objects.get_or_create(job=one, defaults=fresh)
            if first:
                record("account.opened", by=by, at=at, job=one, data={"reason": made.reason})
            if one.pk == job.pk:
                leave = made
        if leave is None:
            raise Job.DoesNotExist
        keep(pressed, on_account=leave.pk)
    return leave


def day_of(at: datetime, shop: Profile) -> date:
    """The shop's day of a moment."""
    return local(at, shop.zone).date()
