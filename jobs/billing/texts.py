"""What the invoice and the receipt say, from the rows."""

from datetime import datetime
from decimal import Decimal

from jobs.billing.amounts import Bill
from jobs.billing.models import Invoice, Payment
from jobs.billing.reads import Account
from jobs.book.models import Item, Party
from jobs.papers.heads import shop_head
from jobs.papers.money_texts import InvoiceText, MoneyLine, PaymentText, ReceiptText, TaxLine
from jobs.papers.texts import Named, Thing, day, moment
from shop.clock import local
from shop.money import plain
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


def invoice_text(
    invoice: Invoice, bill: Bill, account: Account, *, shop: Profile, at: datetime, item: Item, exempt: bool
) -> InvoiceText:
    """The invoice's words. Deposits are listed as payments; the balance is what is left."""
    places = shop.places
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
        )
        for line in bill.lines
    )
    deposits = tuple(
        PaymentText(
            on=day(local(one.at, shop.zone).date()),
            how=f"deposit, {one.get_method_display()}",
            amount=plain(one.amount, places),
        )
        for one in account.payments
        if one.kind == "deposit"
    )
    return InvoiceText(
        shop=shop_head(shop),
        fixed=moment(at, shop.zone),
        to=named(account.payer, "payer"),
        number=invoice.number,
        issued=day(local(at, shop.zone).date()),
        lines=lines,
        net=plain(bill.net, places),
        tax=plain(bill.tax, places),
        total=plain(bill.gross, places),
        balance=plain(bill.balance, places),
        items=(thing(item),),
        jobs=(invoice.job.number,),
        taxes=tuple(
            TaxLine(
                words="tax",
                rate=rate_words(one.rate),
                net=plain(one.net, places),
                tax=plain(one.tax, places),
            )
            for one in bill.by_rate
        ),
        payments=deposits,
        exempt=f"Tax-exempt, paper {account.payer.tax_exempt_paper}" if exempt and account.payer else "",
    )


def receipt_text(
    payment: Payment, account: Account, *, shop: Profile, at: datetime, left: Decimal, by: Person
) -> ReceiptText:
    """The receipt's words."""
    towards = f"invoice {account.invoice.number}" if account.invoice else f"deposit for job {payment.job.number}"
    return ReceiptText(
        shop=shop_head(shop),
        fixed=moment(at, shop.zone),
        payer=named(account.payer, "payer"),
        on=day(local(at, shop.zone).date()),
        amount=plain(payment.amount, shop.places),
        how=payment.get_method_display(),
        towards=towards,
        jobs=(payment.job.number,),
        balance=plain(left, shop.places),
        received_by=by.name,
    )
