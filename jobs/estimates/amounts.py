"""Sums of an estimate: hours × rate, marked-up materials, a discount on labour, tax by line, deposit. Pure.

Rules (trade practice, worked numbers in tests/outside/test_estimates.py): every line is rounded to the currency's minor
unit, half away from zero; a discount comes before tax; tax is taken line by line at that line's own rate; a deposit is a
share of the total, tax included, once the total is above a sum the shop has set.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from shop.money import ZERO, NotMoneyError, Taxed, exact, rounded, tax_on, totals


@dataclass(frozen=True, slots=True)
class Sums:
    """What an option costs, and what is asked before work begins."""

    net: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal


def labour(hours: Decimal, rate: Decimal, places: int = 2) -> Decimal:
    """Hours at a rate per hour. Raises NotMoneyError below zero."""
    if exact(hours) < 0 or exact(rate) < 0:
        raise NotMoneyError("Hours and rate are not below zero.")
    return rounded(hours * rate, places)


def material(cost: Decimal, markup: Decimal, places: int = 2) -> Decimal:
    """What a material is charged at: its cost and `markup` per cent. Raises NotMoneyError below zero."""
    if exact(cost) < 0 or exact(markup) < 0:
        raise NotMoneyError("Cost and markup are not below zero.")
    return rounded(cost * (1 + markup / 100), places)


def discount(labour_nets: Iterable[Decimal], percent: Decimal, places: int = 2) -> Decimal:
    """`percent` off the labour, as a sum below zero. Raises NotMoneyError outside 0 to 100."""
    if not 0 <= exact(percent) <= 100:
        raise NotMoneyError("A discount is between 0 and 100 per cent.")
    return -rounded(sum(labour_nets, ZERO) * percent / 100, places)


def deposit(total: Decimal, *, percent: Decimal, above: Decimal, places: int = 2) -> Decimal:
    """`percent` of a total that is above `above`, else nothing."""
    return rounded(total * percent / 100, places) if total > above else ZERO


def balance(total: Decimal, paid_before: Decimal) -> Decimal:
    """What is left after a deposit: total less deposit, never computed anew."""
    return total - paid_before


def sums(lines: Iterable[Taxed], *, percent: Decimal, above: Decimal, places: int = 2) -> Sums:
    """Add up lines as they were rounded, and the deposit asked on their total."""
    whole = totals(lines)
    return Sums(whole.net, whole.tax, whole.gross, deposit(whole.gross, percent=percent, above=above, places=places))


def taxed(net: Decimal, rate: Decimal, places: int = 2) -> Taxed:
    """A line with its tax at `rate` per cent."""
    return tax_on(net, rate, places)
