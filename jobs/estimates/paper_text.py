"""The words of an estimate's paper, from a draft and its sums. Pure but for the rows it is handed."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from jobs.book.models import Job, Party
from jobs.estimates.models import Estimate, Line
from jobs.estimates.reads import OptionView, fee_with_tax, said
from jobs.papers.heads import shop_head
from jobs.papers.money_texts import EstimateText, MoneyLine, OptionText
from jobs.papers.texts import Named, Thing, day, moment
from shop.clock import days_words
from shop.money import plain, written
from shop.profile.models import Profile


def contingency_words(contingency: Decimal, places: int) -> str:
    """What may come on top without asking again, "" for nothing."""
    if not contingency:
        return ""
    return f"If more is found inside, up to {written(contingency, places)} more. Beyond that we ask you first."


def ready_words(start: date | None, end: date | None, *, today: date) -> str:
    """“Wed 9 to Wed 23 September”, "" when no day is named."""
    return days_words(start, end, today=today) if start else ""


def estimate_text(
    estimate: Estimate, options: Sequence[OptionView], *, job: Job, to: Party, shop: Profile, at: datetime, until: date
) -> EstimateText:
    """Everything the paper says, in the order of its sheet."""
    head = shop_head(shop)
    recommended = next((view.option.letter for view in options if view.option.recommended), "")
    not_included = said(estimate.not_included)
    return EstimateText(
        shop=head,
        fixed=moment(at, shop.zone),
        to=Named(
            name=to.name,
            address=said(to.address),
            telephone=to.phone,
            email=to.email,
        ),
        job=job.number,
        item=Thing(name=job.item.title, kind=job.item.kind),
        version=estimate.version,
        options=tuple(option_text(view, shop, today=at.astimezone(shop.zone).date()) for view in options),
        written_by=estimate.made_by.name,
        valid_until=day(until),
        recommended=recommended,
        because=estimate.because,
        words=(*said(estimate.words), *(f"Not included: {words}" for words in not_included)),
        fee=plain(fee_with_tax(estimate, shop.places), shop.places) if estimate.fee else "",
    )


def option_text(view: OptionView, shop: Profile, *, today: date) -> OptionText:
    """One option as papers show it."""
    option, places = view.option, shop.places
    return OptionText(
        letter=option.letter,
        name=option.title,
        summary=option.summary,
        lines=tuple(_line(line, places) for line in view.lines),
        net=plain(view.net, places),
        tax=plain(view.tax, places),
        total=plain(view.total, places),
        deposit=plain(view.deposit, places) if view.deposit else "",
        ready=ready_words(option.ready_from, option.ready_to, today=today),
        gets=view.gets if option.gets.strip() else (),
        left=view.left,
        contingency=contingency_words(option.contingency, places),
    )


def _line(line: Line, places: int) -> MoneyLine:
    hours = line.hours is not None and line.rate is not None
    return MoneyLine(
        words=line.words,
        net=plain(line.net, places),
        tax=plain(line.tax, places),
        total=plain(line.net + line.tax, places),
        tax_rate=f"{line.tax_rate.normalize():f}",
        quantity=f"{line.hours.normalize():f}" if hours and line.hours is not None else "",
        unit="h" if hours else "",
        price=plain(line.rate, places) if hours and line.rate is not None else "",
    )
