"""What an invoice adds up to, and what is owed on it. Pure; money rules of shop.money.

Worked example (common practice, no source; recomputed in tests/outside/test_money.py): lines 456.30, 57.51 and 96.00, the
last two taxed 8.25 % by line = 4.74 + 7.92, together 622.47; a deposit of 311.24 leaves 311.23.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shop.money import ZERO, rounded, tax_on, totals


@dataclass(frozen=True, slots=True)
class Charge:
    """One line before tax. `job` is the id of the job it is for."""

    words: str
    net: Decimal
    tax_class: str = "labour"
    tax_rate: Decimal = ZERO
    hours: Decimal | None = None
    rate: Decimal | None = None
    job: int = 0


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line with its tax, rounded."""

    charge: Charge
    net: Decimal
    tax: Decimal
    gross: Decimal
    tax_rate: Decimal


@dataclass(frozen=True, slots=True)
class RateSum:
    """Net and tax at one rate over the whole bill."""

    rate: Decimal
    net: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True)
class Bill:
    """Lines, sums, the deposit taken off, and what is left. A negative balance is owed to the payer."""

    lines: tuple[BillLine, ...]
    net: Decimal
    tax: Decimal
    gross: Decimal
    deposit: Decimal
    balance: Decimal
    by_rate: tuple[RateSum, ...]


def bill(charges: Sequence[Charge], *, deposit: Decimal = ZERO, exempt: bool = False, places: int = 2) -> Bill:
    """Tax each charge by its own rate (none for an exempt buyer), add up, and take the deposit off the total."""
    lines = []
    for charge in charges:
        rate = ZERO if exempt else charge.tax_rate
        taxed = tax_on(charge.net, rate, places)
        lines.append(BillLine(charge, taxed.net, taxed.tax, taxed.gross, rate))
    sums = totals(tax_on(line.net, line.tax_rate, places) for line in lines)
    deposit = rounded(deposit, places)
    by_rate = rate_sums((line.tax_rate, line.net, line.tax) for line in lines)
    return Bill(tuple(lines), sums.net, sums.tax, sums.gross, deposit, sums.gross - deposit, by_rate)


def rate_sums(lines: Iterable[tuple[Decimal, Decimal, Decimal]]) -> tuple[RateSum, ...]:
    """Lines as (rate, net, tax), summed by rate, the lowest first."""
    found: dict[Decimal, RateSum] = {}
    for rate, net, tax in lines:
        before = found.get(rate, RateSum(rate, ZERO, ZERO))
        found[rate] = RateSum(rate, before.net + net, before.tax + tax)
    return tuple(found[rate] for rate in sorted(found))


def still_owed(gross: Decimal, *, credited: Decimal, received: Decimal) -> Decimal:
    """What is owed on an invoice: its total less what was taken back and what came in; below zero it is owed to the payer."""
    return rounded(gross - credited - received, 3)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a line that is taken back."""

    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        """With tax."""
        return self.net + self.tax


def part_of(gross: Decimal, rate: Decimal, left: Part, places: int = 2) -> Part:
    """Split an amount with tax at a line's rate, the net rounded half away from zero and the tax what remains.

    Never more of either than is left of the line, so that parts which make up the whole leave nothing behind.
    `gross` lies above zero and not above what is left. Worked: 119.99 at 20 % is 99.99 and 20.00 (computed).
    """
    net = rounded(gross / (1 + rate / 100), places)
    net = min(max(net, gross - left.tax), left.net)
    return Part(net, gross - net)
