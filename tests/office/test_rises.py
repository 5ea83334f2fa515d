"""Raising prices by per cent."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobs.office.rises import STEPS, raised

prices = st.decimals(0, 9999, places=2)
percents = st.decimals(-50, 100, places=2)
steps = st.sampled_from(STEPS)


def test_worked_examples() -> None:
    # 78.00 + 4 % = 81.12; 33.00 + 4 % = 34.32; 33.00 + 6 % = 34.98 (worked by hand)
    assert raised(Decimal(78), Decimal(4), Decimal("0.50")) == Decimal("81.00")
    assert raised(Decimal(78), Decimal(4), Decimal("1.00")) == Decimal(81)
    assert raised(Decimal(33), Decimal(4), Decimal("0.50")) == Decimal("34.50")
    assert raised(Decimal(33), Decimal(6), Decimal("0.01")) == Decimal("34.98")
    assert raised(Decimal("0.25"), Decimal(-50), Decimal("0.50")) == Decimal("0.50"), "a price does not fall to nothing"
    assert raised(Decimal(0), Decimal(50), Decimal("1.00")) == 0


@given(prices, percents, steps)
def test_a_raised_price_is_a_multiple_of_the_step_and_no_further_than_half_of_it(
    price: Decimal, percent: Decimal, step: Decimal
) -> None:
    new = raised(price, percent, step)
    exact = price * (1 + percent / 100)
    assert new % step == 0
    assert abs(new - exact) <= max(step / 2, step - exact)


@given(prices, prices, percents, steps)
def test_a_dearer_price_stays_at_least_as_dear(one: Decimal, other: Decimal, percent: Decimal, step: Decimal) -> None:
    low, high = sorted((one, other))
    assert raised(low, percent, step) <= raised(high, percent, step)
