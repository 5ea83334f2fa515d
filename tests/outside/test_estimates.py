"""Sums of an estimate against worked numbers: computed by hand for this trade; the rules are common practice, no source."""

from decimal import Decimal

from jobs.estimates import amounts
from shop.money import tax_on, totals

HALF, ABOVE = Decimal(50), Decimal(400)


def test_hours_at_a_rate() -> None:
    # computed; common practice: hours × rate of the skill
    assert amounts.labour(Decimal("6.5"), Decimal("78.00")) == Decimal("507.00")


def test_a_material_with_its_markup() -> None:
    # computed; common practice: cost × (1 + markup)
    assert amounts.material(Decimal("42.60"), Decimal(35)) == Decimal("57.51")


def test_ten_per_cent_off_labour() -> None:
    # computed; common practice: discount before tax, on labour alone
    assert amounts.discount([Decimal("507.00")], Decimal(10)) == Decimal("-50.70")


def test_goods_tax_line_by_line_and_on_the_sum() -> None:
    # computed; both rules agree here
    goods = [tax_on(Decimal("57.51"), Decimal("8.25")), tax_on(Decimal("96.00"), Decimal("8.25"))]
    assert [line.tax for line in goods] == [Decimal("4.74"), Decimal("7.92")]
    assert totals(goods).tax == Decimal("12.66")
    assert tax_on(Decimal("57.51") + Decimal("96.00"), Decimal("8.25")).tax == Decimal("12.66")


def _worked_example() -> amounts.Sums:
    lines = [
        amounts.taxed(amounts.labour(Decimal("6.5"), Decimal(78)), Decimal(0)),
        amounts.taxed(amounts.discount([Decimal("507.00")], Decimal(10)), Decimal(0)),
        amounts.taxed(amounts.material(Decimal("42.60"), Decimal(35)), Decimal("8.25")),
        amounts.taxed(Decimal("96.00"), Decimal("8.25")),
    ]
    return amounts.sums(lines, percent=HALF, above=ABOVE)


def test_the_worked_example_adds_up() -> None:
    # computed by hand: labour less discount 456.30, strings and pegs 57.51 and 96.00, tax 12.66
    example = _worked_example()
    assert (example.net, example.tax, example.total) == (Decimal("609.81"), Decimal("12.66"), Decimal("622.47"))


def test_half_down_and_the_rest_later() -> None:
    # computed: half of 622.47 is 311.235, rounded half away from zero; the balance is total less deposit
    example = _worked_example()
    assert example.deposit == Decimal("311.24")
    assert amounts.balance(example.total, example.deposit) == Decimal("311.23")


def test_labour_strings_and_tax_on_the_strings() -> None:
    # computed: 3.2 h × 78.00 + 32.00 + 8.25 % of 32.00
    lines = [
        amounts.taxed(amounts.labour(Decimal("3.2"), Decimal(78)), Decimal(0)),
        amounts.taxed(Decimal("32.00"), Decimal("8.25")),
    ]
    assert amounts.sums(lines, percent=HALF, above=ABOVE).total == Decimal("284.24")
