"""A price list as its page and its print show it: with and without tax."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.catalogue.models import FixedPrice, PriceList, Rate
from jobs.catalogue.price_reads import fixed_of, rates_of
from shop.money import ZERO, rounded, tax_on
from shop.profile.models import Profile
from shop.profile.reads import taxes_on


@dataclass(frozen=True, slots=True)
class Fixed:
    """A fixed price with its sum before and with tax."""

    price: FixedPrice
    net: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True)
class Hour:
    """An hour's price before and with tax."""

    rate: Rate
    gross: Decimal


@dataclass(frozen=True, slots=True)
class Table:
    """A whole list, taxed as on a day."""

    prices: PriceList
    hours: list[Hour]
    fixed: list[Fixed]
    day: date
    taxes: Mapping[str, Decimal]

    @property
    def taxed(self) -> bool:
        """Whether any tax is added at all."""
        return any(self.taxes.values())


def table(prices: PriceList, shop: Profile, *, today: date) -> Table:
    """A list with its figures, taxed as on its first day or today, whichever is later. Three queries."""
    day = max(today, prices.since)
    taxes = {one.code: one.rate for one in taxes_on(day)}
    labour, goods = taxes.get("labour", ZERO), taxes.get("goods", ZERO)

    def gross(on_labour: Decimal, on_goods: Decimal = ZERO) -> Decimal:
        return tax_on(on_labour, labour, shop.places).gross + tax_on(on_goods, goods, shop.places).gross

    return Table(
        prices,
        [Hour(one, gross(one.per_hour)) for one in rates_of(prices)],
        [
            Fixed(one, rounded(one.labour + one.goods, shop.places), gross(one.labour, one.goods))
            for one in fixed_of(prices)
        ],
        day,
        taxes,
    )
