"""What pages ask of the dated price lists. The list in force on a day is the one that began last, later made first.

`list_on(day)` the list in force · `fixed_on(day)` its fixed prices offered at the counter · `lists(today)` every list with
its state, for the page of prices · `draft_list()` the one being written · `fixed_of(list)` and `rates_of(list)` its figures.
"""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from jobs.catalogue.models import FixedPrice, PriceList, Rate


@dataclass(frozen=True, slots=True)
class Listed:
    """A price list as the page of prices shows it. `state` is one of “draft”, “to come”, “in force”, “past”."""

    prices: PriceList
    state: str


def in_force(day: date) -> QuerySet[PriceList]:
    """Lists that have begun by a day, the one that counts first."""
    return PriceList.objects.filter(draft=False, since__lte=day).order_by("-since", "-pk")


def list_on(day: date) -> PriceList | None:
    """The list in force on a day, None before the first. One query."""
    return in_force(day).first()


def fixed_on(day: date) -> list[FixedPrice]:
    """Fixed prices offered at the counter on a day, in the shop's order, with their operation. One query."""
    return list(
        FixedPrice.objects.filter(price_list__in=in_force(day)[:1], active=True)
        .select_related("operation", "price_list")
        .order_by("position", "pk")
    )


def draft_list() -> PriceList | None:
    """The list that is being written, None when there is none. One query."""
    return PriceList.objects.filter(draft=True).first()


def lists(today: date) -> list[Listed]:
    """Every list, the draft first, then newest first. One query."""
    shown: list[Listed] = []
    found = False
    for one in PriceList.objects.order_by("-draft", "-since", "-pk"):
        if one.draft:
            state = "draft"
        elif one.since > today:
            state = "to come"
        else:
            state, found = ("past" if found else "in force"), True
        shown.append(Listed(one, state))
    return shown


def fixed_of(prices: PriceList) -> list[FixedPrice]:
    """Every fixed price of a list, offered or not, in the shop's order. One query."""
    return list(prices.fixed.select_related("operation").order_by("position", "pk"))


def rates_of(prices: PriceList) -> list[Rate]:
    """Prices per hour of a list, by skill. One query."""
    return list(prices.rates.order_by("skill"))
