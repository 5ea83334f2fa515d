"""What the counter offers: the price list in force on a day, with the taxes of that day and the day it would be ready."""

from datetime import date, datetime

from jobs.book.models import Party
from jobs.catalogue.models import FixedPrice
from jobs.catalogue.price_reads import fixed_on
from jobs.estimates.reads import exempt
from jobs.intake.drafts import Draft, Priced
from jobs.intake.priced import Offered, ready_day
from shop.clock import Opening, local
from shop.money import plain
from shop.profile.models import Profile
from shop.profile.reads import opening, profile, taxes_on


def offered(draft: Draft, *, at: datetime, shop: Profile | None = None) -> tuple[Offered, ...]:
    """Every price for every kind it fits, in the shop's order. Untaxed where the payer has shown an exempt paper.

    Three queries; one more where a payer is named, one more without `shop`.
    """
    shop = shop or profile()
    today = local(at, shop.zone).date()
    payer = draft.role("payer")
    untaxed = payer is not None and exempt(Party.objects.filter(pk=payer).first(), on=today)
    rates = {one.code: "0" if untaxed else f"{one.rate.normalize():f}" for one in taxes_on(today)}
    hours = opening(shop, since=today)
    return tuple(
        Offered(kind, price.size, _priced(price, rates, shop.places, today, hours))
        for price in fixed_on(today)
        for kind in price.kinds.split()
    )


def _priced(price: FixedPrice, rates: dict[str, str], places: int, today: date, hours: Opening) -> Priced:
    return Priced(
        code=price.code,
        words=price.words,
        job_kind=price.job_kind,
        operation=price.operation_id,
        labour=plain(price.labour, places),
        goods=plain(price.goods, places),
        goods_words=price.goods_words,
        labour_tax=rates.get("labour", "0"),
        goods_tax=rates.get("goods", "0"),
        since=price.price_list.since.isoformat(),
        ready=ready_day(today, price.ready_days, hours).isoformat(),
    )


def by_code(found: tuple[Offered, ...]) -> dict[str, Priced]:
    """The prices of the list by code."""
    return {one.price.code: one.price for one in found}
