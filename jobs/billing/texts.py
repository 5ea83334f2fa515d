"""What the invoice and the receipt say, from the rows."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal

from jobs.billing.amounts import Bill, RateSum
from jobs.billing.models import Invoice, Payment
from jobs.book.models import Item, Job, Party
from jobs.estimates.reads import standing_words
from jobs.papers.heads import shop_head
from jobs.papers.money_texts import InvoiceText, MoneyLine, PaymentText, ReceiptText, TaxLine
from jobs.papers.texts import Named, Thing, day, moment
from shop.clock import local
from shop.money import plain, written
from shop.people.models import Person
from shop.profile.models import Profile


def named(party: Party | None, role: str) -> Named:
    """A party with its address, as papers about money name it."""
    if party is None:
        return Named(name="", role=role)
    return Named(name=party.name, role=role, address=tuple(party.address.splitlines()))


def thing(item: Item) -> Thing:
    """An item as a paper names it."""
    details = tuple(words for words in (f"labelled {item.labelled}" if item.labelled else "", item.marks) if words)
    return Thing(name=item.title, kind=item.kind, details=details)


def rate_words(rate: Decimal) -> str:
    """“8.25”, “0”: per cent without trailing zeros."""
    return format(rate.normalize(), "f")


def tax_lines(by_rate: Iterable[RateSum], places: int) -> tuple[TaxLine, ...]:
    """Tax by rate, as a paper lists it."""
    return tuple(
        TaxLine(words="tax", rate=rate_words(one.rate), net=plain(one.net, places), tax=plain(one.tax, places))
        for one in by_rate
    )


def standing(rows: Sequence[Payment]) -> list[Payment]:
    """Rows that still count: neither reversed nor a reversal. No query when `reversed_by` is loaded."""
    mirrored = {one.reversal_of_id for one in rows if one.reversal_of_id}
    return [one for one in rows if one.reversal_of_id is None and one.pk not in mirrored]


def invoice_text(
    invoice: Invoice,
    bill: Bill,
    received: Sequence[Payment],
    *,
    jobs: Sequence[Job],
    payer: Party,
    shop: Profile,
    at: datetime,
    exempt: bool,
) -> InvoiceText:
    """The invoice's words. What was received before is listed; the balance is what is left."""
    places, numbers = shop.places, {job.pk: job.number for job in jobs}
    lines = tuple(
        MoneyLine(
            words=line.charge.words,
            quantity=rate_words(line.charge.hours) if line.charge.hours is not None else "",
            unit="h" if line.charge.hours is not None else "",
            price=plain(line.charge.rate, places) if line.charge.rate is not None else "",
            net=plain(line.net, places),
            tax=plain(line.tax, places),
            total=plain(line.gross, places),
            tax_rate=rate_words(line.tax_rate),
            job=numbers[line.charge.job] if len(jobs) > 1 else "",
        )
        for line in bill.lines
    )
    payments = tuple(
        PaymentText(
            on=day(local(one.at, shop.zone).date()),
            how=f"{'refunded' if one.kind == 'refund' else one.get_kind_display()}, {one.get_method_display()}",
            amount=plain(one.amount, places),
        )
        for one in standing(received)
    )
    return InvoiceText(
        shop=shop_head(shop),
        fixed=moment(at, shop.zone),
        to=named(payer, "payer"),
        number=invoice.number,
        issued=day(local(at, shop.zone).date()),
        lines=lines,
        net=plain(bill.net, places),
        tax=plain(bill.tax, places),
        total=plain(bill.gross, places),
        balance=plain(bill.balance, places),
        items=tuple(thing(job.item) for job in jobs),
        jobs=tuple(job.number for job in jobs),
        taxes=tax_lines(bill.by_rate, places),
        payments=payments,
        exempt=f"Tax-exempt, paper {payer.tax_exempt_paper}" if exempt else "",
        words=_agreed(jobs, shop),
    )


def _agreed(jobs: Sequence[Job], shop: Profile) -> tuple[str, ...]:
    """How each job was agreed to, or declined where only the fee is asked."""
    said = [(job.number, standing_words(job, shop.zone)) for job in jobs]
    return tuple(f"Job {number}: {words}." if len(jobs) > 1 else f"{words}." for number, words in said if words)


def how_words(payment: Payment, places: int) -> str:
    """“card, slip 4711”, “cash; given 50.00, back 12.40”."""
    words = payment.get_method_display()
    if payment.reference:
        words += f", {payment.reference}"
    if payment.given is not None and payment.given > payment.amount:
        words += f"; given {written(payment.given, places)}, back {written(payment.given - payment.amount, places)}"
    return words


def receipt_text(
    payment: Payment,
    *,
    payer: Party | None,
    invoice: Invoice | None,
    jobs: Sequence[Job],
    shop: Profile,
    at: datetime,
    left: Decimal,
    by: Person,
) -> ReceiptText:
    """The receipt's words, for money received or given back."""
    numbers = tuple(job.number for job in jobs)
    towards = f"invoice {invoice.number}" if invoice else f"deposit for job {', '.join(numbers)}"
    back = payment.amount < 0
    return ReceiptText(
        shop=shop_head(shop),
        fixed=moment(at, shop.zone),
        payer=named(payer, "payer"),
        on=day(local(at, shop.zone).date()),
        amount=plain(abs(payment.amount), shop.places),
        how=how_words(payment, shop.places),
        towards=towards,
        jobs=numbers,
        balance="" if back else plain(left, shop.places),
        received_by=by.name,
        title="Refund" if back else "Receipt",
        reason=payment.reason,
    )
