"""Credit notes: an issued invoice is taken back, whole or in part, by a document of its own with gap-free numbers."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.billing.amounts import Part, part_of
from jobs.billing.credit_text import credit_text
from jobs.billing.giving_back import because
from jobs.billing.models import CreditLine, CreditNote, Invoice, InvoiceJob, InvoiceLine
from jobs.billing.reads import credited_on, due_on
from jobs.billing.steps import freeze_for, locked_jobs
from jobs.book.refusals import Refused
from jobs.book.steps import keep, next_in, press, record
from shop.clock import local
from shop.money import ZERO, plain, rounded, written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile

WHOLE = None  # instead of an amount: all that is left of the line


@dataclass(frozen=True, slots=True)
class LineLeft:
    """A line of an invoice and what no credit note has taken back of it yet."""

    line: InvoiceLine
    left: Part


def lines_left(invoice: Invoice) -> list[LineLeft]:
    """Every line in order with what is left of it. Two queries."""
    taken: dict[int, Part] = {}
    for one in CreditLine.objects.filter(credit__invoice=invoice):
        before = taken.get(one.line_id, Part(ZERO, ZERO))
        taken[one.line_id] = Part(before.net + one.net, before.tax + one.tax)
    lines = invoice.lines.select_related("job")
    none = Part(ZERO, ZERO)
    return [
        LineLeft(line, Part(line.net - taken.get(line.pk, none).net, line.tax - taken.get(line.pk, none).tax))
        for line in lines
    ]


def credit(
    invoice: Invoice,
    parts: Mapping[int, Decimal | None],
    *,
    reason: str,
    anew: bool = False,
    by: Person,
    at: datetime,
    key: str,
) -> CreditNote:
    """Take back lines of an invoice: `parts` holds amounts with tax by the line's id, or WHOLE. Tax at the line's own rate.

    `anew`: the whole is taken back and its jobs get a new invoice. Raises Refused in words.
    """
    shop, said = profile(), because(reason, lacking="Write what was wrong with the invoice.")
    with transaction.atomic():
        pressed = press(key, "credit", at=at)
        jobs = locked_jobs(invoice.jobs.all())
        held = Invoice.objects.select_for_update(of=("self",), no_key=True).select_related("payer").get(pk=invoice.pk)
        left = lines_left(held)
        chosen = _chosen(left, parts, shop.places)
        gross_left = held.gross - credited_on(held)
        net, tax = (sum((getattr(part, which) for _, part in chosen), ZERO) for which in ("net", "tax"))
        _fits(net + tax, gross_left, shop.places)
        taken = {line.pk: part for line, part in chosen}
        whole = all(taken.get(one.line.pk, Part(ZERO, ZERO)) == one.left for one in left)
        if anew and not whole:
            raise Refused("A new invoice can follow only when the whole is credited. Choose every line, whole.")
        due = due_on(held)
        made = _write(held, chosen, Part(net, tax), said, anew=anew, by=by, at=at, shop=shop)
        text = credit_text(made, held, chosen, jobs=jobs, due=due - made.gross, shop=shop, at=at)
        made.paper = freeze_for(jobs, text, number=made.number, by=by, at=at)
        made.save(update_fields=["paper"])
        data = {
            "credit": made.pk,
            "number": made.number,
            "invoice": held.number,
            "gross": plain(made.gross, shop.places),
            "was": plain(due, shop.places),
            "now": plain(due - made.gross, shop.places),
            "anew": anew,
            "reason": said,
        }
        for job in jobs:
            record("invoice.credited", by=by, at=at, job=job, data=data)
        keep(pressed, credit=made.pk)
    return made


def _chosen(
    left: Iterable[LineLeft], parts: Mapping[int, Decimal | None], places: int
) -> list[tuple[InvoiceLine, Part]]:
    chosen = []
    for one in left:
        if one.line.pk not in parts:
            continue
        asked = parts[one.line.pk]
        if not one.left.net and not one.left.tax:
            raise Refused(f"“{one.line.words}” is credited already.")
        if asked is WHOLE or asked == one.left.gross:
            chosen.append((one.line, one.left))
            continue
        if one.left.gross < 0:
            raise Refused(f"“{one.line.words}” takes something off. It can only be credited whole.")
        asked = rounded(asked, places)
        if not 0 < asked <= one.left.gross:
            most = written(one.left.gross, places)
            raise Refused(f"Of “{one.line.words}” {most} is left with tax. Write that or less.")
        chosen.append((one.line, part_of(asked, one.line.tax_rate, one.left, places)))
    if len(chosen) != len(parts):
        raise Refused("This page is out of date. Open it again and repeat the last step.")
    if not chosen:
        raise Refused("Choose what is credited: a line, or all of them.")
    return chosen


def _fits(gross: Decimal, left: Decimal, places: int) -> None:
    if gross <= 0:
        raise Refused("Together this takes nothing back. Look at the lines again.")
    if gross > left:
        raise Refused(
            f"That would credit {written(gross, places)}, and only {written(left, places)} is left of the invoice. "
            "Take the discount back with its line."
        )


def _write(
    invoice: Invoice,
    chosen: Sequence[tuple[InvoiceLine, Part]],
    sums: Part,
    reason: str,
    *,
    anew: bool,
    by: Person,
    at: datetime,
    shop: Profile,
) -> CreditNote:
    year = local(at, shop.zone).year
    made = CreditNote.objects.create(
        number=f"C{year}-{next_in(f'credit-{year}'):04}",
        invoice=invoice,
        net=sums.net,
        tax=sums.tax,
        gross=sums.gross,
        reason=reason,
        anew=anew,
        at=at,
        by=by,
    )
    CreditLine.objects.bulk_create(
        CreditLine(credit=made, line=line, net=part.net, tax=part.tax) for line, part in chosen
    )
    if anew:
        InvoiceJob.objects.filter(invoice=invoice).update(live=False)
    return made
