"""What an invoice adds up to. Pure; money rules of shop.money.

Worked example (common practice, no source; recomputed in tests/outside/test_money.py): lines 456.30, 57.51 and 96.00, the
last two taxed 8.25 % by line = 4.74 + 7.92, together 622.47; a deposit of 311.24 leaves 311.23.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shop.money import ZERO, rounded, tax_on, totals


@dataclass(frozen=True, slots=True)
class Charge:
    """One line before tax."""

    words: str
    net: Decimal
    tax_class: str = "labour"
    tax_rate: Decimal = ZERO
    hours: Decimal | None = None
    rate: Decimal | None = None


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
    return Bill(tuple(lines), sums.net, sums.tax, sums.gross, deposit, sums.gross - deposit, _by_rate(lines))


def _by_rate(lines: Iterable[BillLine]) -> tuple[RateSum, ...]:
    found: dict[Decimal, RateSum] = {}
    for line in lines:
        before = found.get(line.tax_rate, RateSum(line.tax_rate, ZERO, ZERO))
        found[line.tax_rate] = RateSum(line.tax_rate, before.net + line.net, before.tax + line.tax)
    return tuple(found[rate] for rate in sorted(found))
