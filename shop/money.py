"""Money: Decimal amounts in one currency, rounded to its minor unit. Pure.

Rules (trade practice, worked numbers in tests/outside/test_money.py):
round each line, discount before tax, tax per line by that line's class, balance = total − deposit, never recomputed.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

# ISO 4217 minor units that are not 2 (from memory of the standard's table A.1).
_MINOR_UNITS = {
    **dict.fromkeys(
        [
            "BIF",
            "CLP",
            "DJF",
            "GNF",
            "ISK",
            "JPY",
            "KMF",
            "KRW",
            "PYG",
            "RWF",
            "UGX",
            "UYI",
            "VND",
            "VUV",
            "XAF",
            "XOF",
            "XPF",
        ],
        0,
    ),
    **dict.fromkeys(["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"], 3),
}

ZERO = Decimal(0)


class NotMoneyError(ValueError):
    """An amount that is not a finite decimal number."""


def minor_units(currency: str) -> int:
    """Digits after the point of an ISO 4217 currency code: 2 unless the standard says otherwise."""
    return _MINOR_UNITS.get(currency.upper(), 2)


def exact(value: Decimal | int | str) -> Decimal:
    """Return `value` as a finite Decimal. A float is refused: 2.675 is not 2.675 in binary."""
    if isinstance(value, float | bool):
        raise NotMoneyError("An amount must be written as a decimal number, not a binary fraction.")
    try:
        amount = Decimal(value)
    except (ArithmeticError, ValueError, TypeError) as fault:
        raise NotMoneyError(f"“{value}” is not an amount.") from fault
    if not amount.is_finite():
        raise NotMoneyError(f"“{value}” is not an amount.")
    return amount


def rounded(amount: Decimal, places: int = 2, *, half_even: bool = False) -> Decimal:
    """Round to `places` digits: half away from zero (trade default), or half to even."""
    return exact(amount).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN if half_even else ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Taxed:
    """A line's amounts. Refuses nonsense: net + tax must equal gross."""

    net: Decimal
    rate: Decimal
    tax: Decimal
    gross: Decimal

    def __post_init__(self) -> None:
        if self.net + self.tax != self.gross:
            raise NotMoneyError("Net and tax do not add up to gross.")


def tax_on(net: Decimal, rate: Decimal, places: int = 2) -> Taxed:
    """Add tax at `rate` per cent to a net amount, rounding the line half away from zero."""
    net = rounded(net, places)
    tax = rounded(net * exact(rate) / 100, places)
    return Taxed(net, exact(rate), tax, net + tax)


def tax_within(gross: Decimal, rate: Decimal, places: int = 2) -> Taxed:
    """Take the tax out of an amount that includes it: net is rounded, tax is the rest."""
    gross = rounded(gross, places)
    net = rounded(gross / (1 + exact(rate) / 100), places)
    return Taxed(net, exact(rate), gross - net, gross)


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over lines, all in one currency."""

    net: Decimal
    tax: Decimal
    gross: Decimal


def totals(lines: Iterable[Taxed]) -> Totals:
    """Sum of lines as they were rounded (the per-line rule)."""
    net = tax = ZERO
    for line in lines:
        net += line.net
        tax += line.tax
    return Totals(net, tax, net + tax)


def totals_taxed_once(lines: Sequence[Taxed], places: int = 2) -> Totals:
    """Sum of nets per rate, taxed once on each sum (the on-total rule of some countries)."""
    by_rate: dict[Decimal, Decimal] = {}
    for line in lines:
        by_rate[line.rate] = by_rate.get(line.rate, ZERO) + line.net
    return totals(tax_on(net, rate, places) for rate, net in by_rate.items())


def shared(amount: Decimal, weights: Sequence[int | Decimal], places: int = 2) -> list[Decimal]:
    """Share an amount by largest remainder, so the parts add up to it exactly."""
    amount = rounded(amount, places)
    whole = sum((exact(weight) for weight in weights), ZERO)
    if not weights or whole <= 0:
        raise NotMoneyError("Nothing to share by.")
    unit = Decimal(1).scaleb(-places)
    precise = [amount * exact(weight) / whole for weight in weights]
    parts = [part.quantize(unit, ROUND_DOWN) for part in precise]
    left = int((amount - sum(parts, ZERO)) / unit)
    step = unit if left >= 0 else -unit
    order = sorted(range(len(parts)), key=lambda index: (-abs(precise[index] - parts[index]), index))
    for index in order[: abs(left)]:
        parts[index] += step
    return parts


def written(amount: Decimal, places: int = 2) -> str:
    """An amount for screens and papers: thousands by comma, point before the minor unit, no sign of currency."""
    return f"{rounded(amount, places):,}"


def plain(amount: Decimal, places: int = 2) -> str:
    """An amount for canonical JSON: digits, point, no thousands separator."""
    return str(rounded(amount, places))
