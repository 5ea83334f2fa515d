"""Taking money and issuing invoices. An issued invoice is frozen; numbers have no gaps."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from jobs.billing.amounts import Bill
from jobs.billing.models import Invoice, InvoiceLine, OnAccount, Payment
from jobs.billing.reads import Account, account, exempt
from jobs.billing.texts import invoice_text, receipt_text
from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.book.steps import keep, next_in, press, record
from jobs.papers.steps import freeze
from shop.clock import local
from shop.money import NotMoneyError, plain, rounded, written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile
from shop.typed import amount as typed_amount

METHODS = {"cash": "cash", "card": "card", "transfer": "transfer", "cheque": "cheque"}
INVOICE_AT = frozenset({Stage.CHK, Stage.RDY})


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


def take_payment(job: Job, amount: Decimal, method: str, *, by: Person, at: datetime, key: str) -> Payment:
    """Write down money received: a deposit before the invoice, a payment after. Never more than is owed."""
    if method not in METHODS:
        raise Refused("Choose how it was paid.")
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "payment", at=at)
        locked = Job.objects.select_for_update(of=("self",)).select_related("item").get(pk=job.pk)
        now = account(locked, shop, on=_day(at, shop))
        amount = rounded(amount, shop.places)
        kind = "payment" if now.invoice else "deposit"
        most = now.due if now.invoice else (now.bill.balance if now.bill else Decimal(0))
        if amount > most:
            owed = written(max(most, Decimal(0)), shop.places)
            raise Refused(f"Only {owed} is owed. Write down what is owed; change is given at the till.")
        payment = Payment.objects.create(
            job=locked, invoice=now.invoice, party=now.payer, kind=kind, method=method, amount=amount, at=at, by=by
        )
        freeze(receipt_text(payment, now, shop=shop, at=at, left=most - amount, by=by), job=locked, by=by, at=at)
        data = {"payment": payment.pk, "kind": kind, "method": method, "amount": plain(amount, shop.places)}
        record("payment.taken", by=by, at=at, job=locked, data=data)
        keep(pressed, payment=payment.pk)
    return payment


def issue(job: Job, *, by: Person, at: datetime, key: str) -> Invoice:
    """Issue the final invoice of what was agreed, with the deposit taken off."""
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "invoice", at=at)
        locked = Job.objects.select_for_update(of=("self",)).select_related("item").get(pk=job.pk)
        now = account(locked, shop, on=_day(at, shop))
        if now.invoice is not None:
            raise Refused(f"Invoice {now.invoice.number} is issued already. A correction is a new document.")
        if now.bill is None:
            raise Refused("Nothing was agreed with the owner, so there is nothing to invoice.")
        if now.payer is None:
            raise Refused("Nobody is named who pays. Name the payer first.")
        if Stage(locked.stage) not in INVOICE_AT:
            raise Refused("The work is not in Second check yet. The final invoice is issued there.")
        invoice = _write(locked, now.bill, now.payer, now, by=by, at=at, shop=shop)
        record(
            "invoice.issued",
            by=by,
            at=at,
            job=locked,
            data={"invoice": invoice.pk, "number": invoice.number, "gross": plain(invoice.gross, shop.places)},
        )
        keep(pressed, invoice=invoice.pk)
    return invoice


def _write(job: Job, bill: Bill, payer: Party, now: Account, *, by: Person, at: datetime, shop: Profile) -> Invoice:
    year = local(at, shop.zone).year
    invoice = Invoice.objects.create(
        number=f"{year}-{next_in(f'invoice-{year}'):04}",
        job=job,
        payer=payer,
        issued_at=at,
        issued_by=by,
        net=bill.net,
        tax=bill.tax,
        gross=bill.gross,
        deposit=bill.deposit,
        balance=bill.balance,
    )
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            position=position,
            words=line.charge.words,
            hours=line.charge.hours,
            rate=line.charge.rate,
            tax_class=line.charge.tax_class,
            tax_rate=line.tax_rate,
            net=line.net,
            tax=line.tax,
        )
        for position, line in enumerate(bill.lines, 1)
    )
    is_exempt = exempt(payer, _day(at, shop))
    text = invoice_text(invoice, bill, now, shop=shop, at=at, item=job.item, exempt=is_exempt)
    invoice.paper = freeze(text, number=invoice.number, job=job, by=by, at=at)
    invoice.save(update_fields=["paper"])
    return invoice


def go_on_account(job: Job, reason: str, *, by: Person, at: datetime, key: str) -> OnAccount:
    """Let it go home unpaid, with a reason and a name."""
    if not reason.strip():
        raise Refused("Write why it goes home unpaid.")
    if len(reason.strip()) > 160:
        raise Refused("The reason has more than 160 letters. Shorten it.")
    with transaction.atomic():
        pressed = press(key, "on-account", at=at)
        locked = Job.objects.select_for_update().get(pk=job.pk)
        if not Invoice.objects.filter(job=locked).exists():
            raise Refused("Issue the final invoice first.")
        leave, first = OnAccount.objects.get_or_create(
            job=locked, defaults={"reason": reason.strip(), "at": at, "by": by}
        )
        if first:
            record("account.opened", by=by, at=at, job=locked, data={"reason": leave.reason})
        keep(pressed, on_account=leave.pk)
    return leave


def _day(at: datetime, shop: Profile) -> date:
    return local(at, shop.zone).date()
