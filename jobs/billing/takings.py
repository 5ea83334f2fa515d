"""The takings: rows of money summed by method and by person, and the drawer they should have left. Pure.

Deposits, payments, money given back and reversals stand apart; a reversal counts with its own sign, on the day it was
made. Every sum over methods is the sum of the rows (tests/billing/test_properties.py).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from shop.clock import local
from shop.money import ZERO

METHODS = ("cash", "card", "transfer", "cheque")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of money: `amount` above zero came in. `mirror` takes another row back."""

    method: str
    kind: str
    mirror: bool
    amount: Decimal
    who: str


@dataclass(frozen=True, slots=True)
class Sums:
    """What one method, or all of them, brought in and gave out."""

    deposits: Decimal = ZERO
    payments: Decimal = ZERO
    refunds: Decimal = ZERO
    reversals: Decimal = ZERO

    @property
    def together(self) -> Decimal:
        """Everything, each with its sign."""
        return self.deposits + self.payments + self.refunds + self.reversals

    def with_row(self, row: Row) -> "Sums":
        """These sums and one row more."""
        add = dict.fromkeys(("deposits", "payments", "refunds", "reversals"), ZERO)
        add["reversals" if row.mirror else f"{row.kind}s"] = row.amount
        return Sums(
            self.deposits + add["deposits"],
            self.payments + add["payments"],
            self.refunds + add["refunds"],
            self.reversals + add["reversals"],
        )


@dataclass(frozen=True, slots=True)
class Takings:
    """Sums by method (those used, in the house's order), by person, and over all."""

    methods: tuple[tuple[str, Sums], ...]
    people: tuple[tuple[str, tuple[tuple[str, Decimal], ...], Decimal], ...]  # name, by method, together
    all: Sums

    @property
    def cash(self) -> Decimal:
        """What the drawer should have gained."""
        return dict(self.methods).get("cash", Sums()).together


def takings_of(rows: Iterable[Row]) -> Takings:
    """Sum rows. People by name, as they come."""
    methods: dict[str, Sums] = {}
    people: dict[str, dict[str, Decimal]] = {}
    over_all = Sums()
    for row in rows:
        methods[row.method] = methods.get(row.method, Sums()).with_row(row)
        over_all = over_all.with_row(row)
        of = people.setdefault(row.who, {})
        of[row.method] = of.get(row.method, ZERO) + row.amount
    return Takings(
        tuple((method, methods[method]) for method in METHODS if method in methods),
        tuple(
            (who, tuple((method, of[method]) for method in METHODS if method in of), sum(of.values(), ZERO))
            for who, of in sorted(people.items())
        ),
        over_all,
    )


@dataclass(frozen=True, slots=True)
class Coins:
    """Coins or notes of one worth, and how many."""

    worth: Decimal
    many: int


def counted(sheet: Sequence[Coins]) -> Decimal:
    """What coins and notes come to."""
    return sum((one.worth * one.many for one in sheet), ZERO)


def day_ends(day: datetime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Start of the shop's day a moment lies in, and start of the next.

    By the wall clock: a day of 23 or 25 hours is a whole day. Where midnight is left out when the clocks go forward, the day
    begins at the moment that takes its place; where it comes twice, at the first.
    """
    here = local(day, zone).date()
    start = datetime.combine(here, time.min, tzinfo=zone)
    return start, datetime.combine(here + timedelta(days=1), time.min, tzinfo=zone)


def age_words(days: int) -> str:
    """In which part of an ageing list an invoice stands: 0–30, 31–60, 61–90, over 90 days (common practice, no source)."""
    if days <= 30:
        return "0–30 days"
    if days <= 60:
        return "31–60 days"
    return "61–90 days" if days <= 90 else "over 90 days"


AGES = ("0–30 days", "31–60 days", "61–90 days", "over 90 days")
