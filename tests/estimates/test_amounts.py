"""Sums of estimates hold for every amount, in every currency's minor unit."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.estimates import amounts
from shop.money import NotMoneyError, Taxed, rounded

places = st.sampled_from((0, 2, 3))
sums = st.decimals(0, 1_000_000, places=3, allow_nan=False, allow_infinity=False)
hours = st.decimals(0, 999, places=2, allow_nan=False, allow_infinity=False)
rates = st.decimals(0, 30, places=3, allow_nan=False, allow_infinity=False)
percents = st.decimals(0, 100, places=2, allow_nan=False, allow_infinity=False)


def _unit(digits: int) -> Decimal:
    return Decimal(1).scaleb(-digits)


@given(hours, sums, places)
def test_labour_is_within_half_a_unit_of_the_exact_product(time: Decimal, rate: Decimal, digits: int) -> None:
    net = amounts.labour(time, rate, digits)
    assert abs(net - time * rate) <= _unit(digits) / 2
    assert net == rounded(net, digits)


@given(sums, percents, places)
def test_a_material_never_costs_the_owner_less_than_the_shop(cost: Decimal, markup: Decimal, digits: int) -> None:
    assert amounts.material(cost, markup, digits) >= rounded(cost, digits)


@given(st.lists(sums, max_size=6), percents, places)
def test_a_discount_never_makes_labour_less_than_nothing(nets: list[Decimal], percent: Decimal, digits: int) -> None:
    whole = [rounded(net, digits) for net in nets]
    off = amounts.discount(whole, percent, digits)
    assert off <= 0
    assert sum(whole, Decimal(0)) + off >= 0


@given(st.lists(st.tuples(sums, rates), max_size=8), percents, sums, places)
def test_an_option_adds_up_to_the_last_unit(
    lines: list[tuple[Decimal, Decimal]], percent: Decimal, above: Decimal, digits: int
) -> None:
    taxed = [amounts.taxed(net, rate, digits) for net, rate in lines]
    whole = amounts.sums(taxed, percent=percent, above=above, places=digits)
    assert whole.net + whole.tax == whole.total
    assert whole.net == sum((line.net for line in taxed), Decimal(0))
    assert 0 <= whole.deposit <= whole.total
    assert (whole.deposit == 0) or whole.total > above
    assert whole.deposit + amounts.balance(whole.total, whole.deposit) == whole.total


def test_a_total_just_at_the_limit_asks_no_deposit() -> None:
    half, limit = Decimal(50), Decimal(400)
    assert amounts.deposit(Decimal("400.00"), percent=half, above=limit) == 0
    assert amounts.deposit(Decimal("400.01"), percent=half, above=limit) == Decimal("200.01")


@pytest.mark.parametrize("bad", [Decimal("NaN"), Decimal("Infinity"), Decimal(-1)])
def test_nonsense_is_refused(bad: Decimal) -> None:
    with pytest.raises(NotMoneyError):
        amounts.labour(bad, Decimal(78))
    with pytest.raises(NotMoneyError):
        amounts.material(Decimal(10), bad)
    with pytest.raises(NotMoneyError):
        amounts.discount([Decimal(10)], bad)


def test_a_binary_fraction_is_refused() -> None:
    with pytest.raises(NotMoneyError):
        amounts.labour(6.5, Decimal(78))  # type: ignore[arg-type]


def test_tax_is_taken_on_the_rounded_line() -> None:
    assert amounts.taxed(Decimal("3.35"), Decimal("8.25")) == Taxed(
        Decimal("3.35"), Decimal("8.25"), Decimal("0.28"), Decimal("3.63")
    )
