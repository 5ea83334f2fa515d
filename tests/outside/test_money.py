"""Money against worked numbers. Each value was computed by hand apart from this code; rules of money are common practice,
no source, unless one is named."""

from decimal import Decimal
from fractions import Fraction
from math import floor
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from jobs.billing.amounts import Charge, bill
from jobs.estimates import amounts
from shop.money import (
    NotMoneyError,
    Taxed,
    minor_units,
    rounded,
    shared,
    tax_on,
    tax_within,
    totals,
    totals_taxed_once,
)

D = Decimal
GOODS = D("8.25")


# D1 to D6: computed; the two rules are "half away from zero" and "half to even" of IEEE 754 section 4.3 (from memory)
@pytest.mark.parametrize(
    ("amount", "half_up", "half_even"),
    [
        ("2.345", "2.35", "2.34"),
        ("2.355", "2.36", "2.36"),
        ("2.675", "2.68", "2.68"),
        ("0.125", "0.13", "0.12"),
        ("1.005", "1.01", "1.00"),
        ("-2.345", "-2.35", "-2.34"),
    ],
)
def test_halves_round_away_from_zero_or_to_even(amount: str, half_up: str, half_even: str) -> None:
    assert rounded(D(amount)) == D(half_up)
    assert rounded(D(amount), half_even=True) == D(half_even)


def test_a_binary_fraction_is_refused_because_it_rounds_wrongly() -> None:
    assert round(2.675, 2) == 2.67, "what binary floating point makes of D3"
    binary: Any = 2.675
    for refuse in (lambda: rounded(binary), lambda: tax_on(binary, GOODS), lambda: shared(binary, [1])):
        with pytest.raises(NotMoneyError):
            refuse()


@given(cents=some.integers(-(10**9), 10**9), denominator=some.sampled_from([1000, 10_000, 100_000]))
def test_rounding_agrees_with_exact_fractions(cents: int, denominator: int) -> None:
    exact = Fraction(cents, denominator)
    away = floor(abs(exact) * 100 + Fraction(1, 2)) * (1 if exact >= 0 else -1)
    assert rounded(D(cents) / denominator) == D(away) / 100


# ISO 4217 minor units (from memory)
@pytest.mark.parametrize(
    ("currency", "places"),
    [("EUR", 2), ("USD", 2), ("GBP", 2), ("JPY", 0), ("KRW", 0), ("BHD", 3), ("KWD", 3), ("TND", 3), ("eur", 2)],
)
def test_minor_units_of_currencies(currency: str, places: int) -> None:
    assert minor_units(currency) == places


def test_an_amount_is_rounded_to_its_own_currency() -> None:
    assert rounded(D("1234.5"), minor_units("JPY")) == D(1235)
    assert rounded(D("1.2345"), minor_units("KWD")) == D("1.235")


def test_hours_materials_and_discount() -> None:
    assert amounts.labour(D("6.5"), D("78.00")) == D("507.00")  # D7
    assert amounts.material(D("42.60"), D(35)) == D("57.51")  # D8
    assert amounts.discount([D("507.00")], D(10)) == D("-50.70")  # D9


def test_tax_line_by_line_and_on_the_sum_may_agree() -> None:
    # D10
    lines = [tax_on(D("57.51"), GOODS), tax_on(D("96.00"), GOODS)]
    assert [line.tax for line in lines] == [D("4.74"), D("7.92")]
    assert totals(lines).tax == totals_taxed_once(lines).tax == D("12.66")


def test_the_invoice_of_the_worked_example() -> None:
    # D11: 456.30 + 57.51 + 96.00 + 12.66; D12: half of it, half away from zero, and what is left
    charges = [
        Charge("labour", D("507.00")),
        Charge("player’s discount", D("-50.70")),
        Charge("materials", D("57.51"), "goods", GOODS),
        Charge("strings", D("96.00"), "goods", GOODS),
    ]
    deposit = amounts.deposit(D("622.47"), percent=D(50), above=D(400))
    assert deposit == D("311.24")
    made = bill(charges, deposit=deposit)
    assert (made.net, made.tax, made.gross) == (D("609.81"), D("12.66"), D("622.47"))
    assert made.balance == amounts.balance(D("622.47"), deposit) == D("311.23")


def test_tax_line_by_line_and_on_the_sum_may_differ_by_a_cent() -> None:
    # D13
    lines = [tax_on(D("3.35"), GOODS)] * 3
    assert totals(lines).tax == D("0.84")
    assert totals_taxed_once(lines).tax == D("0.83")
    assert bill([Charge("strings", D("3.35"), "goods", GOODS)] * 3).tax == D("0.84"), "invoices tax by line"


def test_the_tax_inside_a_price() -> None:
    # D14
    inside = tax_within(D("119.99"), D(20))
    assert (inside.net, inside.tax, inside.gross) == (D("99.99"), D("20.00"), D("119.99"))


def test_twelve_rehairs_at_the_batch_price() -> None:
    # D15
    assert bill([Charge("rehair", D("45.00"))] * 12).gross == D("540.00")


def test_a_hundred_shared_in_three_loses_no_cent() -> None:
    # D16: largest remainder
    assert shared(D(100), [1, 1, 1]) == [D("33.34"), D("33.33"), D("33.33")]
    assert shared(D(-100), [1, 1, 1]) == [D("-33.34"), D("-33.33"), D("-33.33")]


def test_labour_untaxed_beside_strings_taxed() -> None:
    # D17
    labour = amounts.labour(D("3.2"), D(78))
    made = bill([Charge("set-up", labour), Charge("strings", D("32.00"), "goods", GOODS)])
    assert (labour, made.tax, made.gross) == (D("249.60"), D("2.64"), D("284.24"))


@given(cents=some.integers(-(10**7), 10**7), weights=some.lists(some.integers(0, 1000), min_size=1, max_size=9))
def test_shares_add_up_and_none_is_a_cent_off(cents: int, weights: list[int]) -> None:
    amount = D(cents) / 100
    if not sum(weights):
        with pytest.raises(NotMoneyError):
            shared(amount, weights)
        return
    parts = shared(amount, weights)
    assert sum(parts) == amount
    for part, weight in zip(parts, weights, strict=True):
        assert abs(Fraction(part) - Fraction(amount) * weight / sum(weights)) < Fraction(1, 100)


@given(cents=some.integers(-(10**9), 10**9), rate=some.decimals(0, 30, places=3))
def test_net_and_tax_are_gross_both_ways(cents: int, rate: Decimal) -> None:
    amount = D(cents) / 100
    assert tax_on(amount, rate).net == amount
    assert tax_within(amount, rate).gross == amount


def test_a_line_that_does_not_add_up_cannot_be_made() -> None:
    with pytest.raises(NotMoneyError):
        Taxed(D("1.00"), GOODS, D("0.08"), D("1.09"))
