"""One payer's account: what was invoiced, taken back, paid and given back, and what is owed by age."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from jobs.billing.drawer_reads import rows_shown
from jobs.billing.models import CreditNote, Invoice, Payment
from jobs.billing.reads import OpenInvoice, open_invoices
from jobs.billing.takings import AGES, age_words
from jobs.billing.texts import named
from jobs.book.models import Party
from jobs.papers.heads import shop_head
from jobs.papers.lettering import printable
from jobs.papers.texts import Json, day, moment, to_text
from jobs.papers.typeset import set_in_type
from shop.clock import local
from shop.money import ZERO, plain
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class PayerAccount:
    """Everything of one payer, newest first; `owed` and `back` are what is open now."""

    open: list[OpenInvoice]
    owed: Decimal
    back: Decimal
    ages: tuple[tuple[str, Decimal], ...]
    invoices: list[Invoice]
    credits: list[CreditNote]
    rows: list[Payment]


def payer_account(party: Party, shop: Profile, *, at: datetime) -> PayerAccount:
    """At most ten queries."""
    found = open_invoices(party)
    ages = dict.fromkeys(AGES, ZERO)
    for one in found:
        if one.due > 0:
            ages[age_words(_days(one.invoice, shop, at))] += one.due
    invoices = Invoice.objects.filter(payer=party).select_related("paper").prefetch_related("jobs")
    notes = CreditNote.objects.filter(invoice__payer=party).select_related("paper", "invoice")
    return PayerAccount(
        open=found,
        owed=sum((one.due for one in found if one.due > 0), ZERO),
        back=-sum((one.due for one in found if one.due < 0), ZERO),
        ages=tuple(ages.items()),
        invoices=list(invoices.order_by("-issued_at", "-pk")),
        credits=list(notes.order_by("-pk")),
        rows=rows_shown(Payment.objects.filter(party=party))[::-1],
    )


def _days(invoice: Invoice, shop: Profile, at: datetime) -> int:
    return (local(at, shop.zone).date() - local(invoice.issued_at, shop.zone).date()).days


def statement_pdf(party: Party, shop: Profile, *, at: datetime) -> bytes:
    """The statement as a PDF in the shop's page size: open invoices with their age, and the sums by age. Not sealed."""
    account, places = payer_account(party, shop, at=at), shop.places
    words: dict[str, Json] = {
        "shop": to_text(shop_head(shop)),
        "fixed": moment(at, shop.zone),
        "to": to_text(named(party, "to")),
        "open": [
            {
                "number": one.invoice.number,
                "issued": day(local(one.invoice.issued_at, shop.zone).date()),
                "age": age_words(_days(one.invoice, shop, at)),
                "jobs": ", ".join(job.number for job in one.jobs),
                "total": plain(one.invoice.gross, places),
                "since": plain(one.invoice.gross - one.due, places),
                "due": plain(one.due, places),
            }
            for one in account.open
        ],
        "ages": [[age, plain(amount, places)] for age, amount in account.ages],
        "owed": plain(account.owed - account.back, places),
    }
    return set_in_type("statement", {"paper": {"words": printable(words)}}, at=at)
