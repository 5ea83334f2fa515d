"""What a credit note says, from the rows."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from jobs.billing.amounts import Part, rate_sums
from jobs.billing.models import CreditNote, Invoice, InvoiceLine
from jobs.billing.texts import named, rate_words, tax_lines, thing
from jobs.book.models import Job
from jobs.papers.heads import shop_head
from jobs.papers.money_texts import CreditText, MoneyLine
from jobs.papers.texts import day, moment
from shop.clock import local
from shop.money import plain
from shop.profile.models import Profile


def credit_text(
    credit: CreditNote,
    invoice: Invoice,
    chosen: Sequence[tuple[InvoiceLine, Part]],
    *,
    jobs: Sequence[Job],
    due: Decimal,
    shop: Profile,
    at: datetime,
) -> CreditText:
    """The credit note's words. `due` is what is then owed on the invoice, below zero to be given back."""
    places, numbers = shop.places, {job.pk: job.number for job in jobs}
    lines = tuple(
        MoneyLine(
            words=line.words,
            net=plain(part.net, places),
            tax=plain(part.tax, places),
            total=plain(part.gross, places),
            tax_rate=rate_words(line.tax_rate),
            job=numbers.get(line.job_id, "") if len(jobs) > 1 else "",
        )
        for line, part in chosen
    )
    by_rate = rate_sums((line.tax_rate, part.net, part.tax) for line, part in chosen)
    return CreditText(
        shop=shop_head(shop),
        fixed=moment(at, shop.zone),
        to=named(invoice.payer, "payer"),
        number=credit.number,
        issued=day(local(at, shop.zone).date()),
        invoice=invoice.number,
        invoice_issued=day(local(invoice.issued_at, shop.zone).date()),
        reason=credit.reason,
        lines=lines,
        net=plain(credit.net, places),
        tax=plain(credit.tax, places),
        total=plain(credit.gross, places),
        left="" if credit.anew else plain(due, places),
        anew=credit.anew,
        items=tuple(thing(job.item) for job in jobs),
        jobs=tuple(job.number for job in jobs),
        taxes=tax_lines(by_rate, places),
    )
