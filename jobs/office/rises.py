"""Raising every price at once by per cent, rounded to a coin that is easily said. Pure."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from shop.money import exact

STEPS = (Decimal("0.50"), Decimal("1.00"), Decimal("0.01"))
LEAST, MOST = Decimal(-50), Decimal(100)


@dataclass(frozen=True, slots=True)
class Rise:
    """One figure before and after."""

    code: str
    words: str
    old: Decimal
    new: Decimal


def raised(amount: Decimal, percent: Decimal, step: Decimal) -> Decimal:
    """An amount plus `percent` per cent of it, to the nearest multiple of `step`, halves away from zero. Nothing stays nothing.

    What was above nothing does not fall to nothing by rounding: it is one step at least.
    """
    precise = exact(amount) * (1 + exact(percent) / 100)
    steps = (precise / step).quantize(Decimal(1), ROUND_HALF_UP)
    return max(steps, Decimal(1)) * step if precise > 0 else Decimal(0)
