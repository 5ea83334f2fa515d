"""Bills add up, whatever the lines."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobs.billing.amounts import Charge, bill

D = Decimal


def test_the_worked_example_of_the_money_rules() -> None:
    charges = [
        Charge("neck and set-up", D("456.30")),
        Charge("materials", D("57.51"), "goods", D("8.25")),
        Charge("strings", D("96.00"), "goods", D("8.25")),
    ]
    made = bill(charges, deposit=D("311.24"))
    assert (made.net, made.tax, made.gross, made.balance) == (D("609.81"), D("12.66"), D("622.47"), D("311.23"))


def test_an_exempt_buyer_pays_no_tax() -> None:
    made = bill([Charge("strings", D("96.00"), "goods", D("8.25"))], exempt=True)
    assert made.tax == 0
    assert made.gross == D("96.00")


def test_tax_is_rounded_line_by_line() -> None:
    made = bill([Charge("pin", D("3.35"), "goods", D("8.25"))] * 3)
    assert made.tax == D("0.84")


nets = st.decimals(min_value=D("-9999"), max_value=D("99999"), places=2)
rates = st.sampled_from([D(0), D("8.25"), D(20), D("5.5")])
lines = st.lists(st.builds(Charge, words=st.just("x"), net=nets, tax_rate=rates), max_size=12)


@given(lines, st.decimals(min_value=0, max_value=D("9999"), places=2))
def test_every_bill_adds_up(charges: list[Charge], deposit: Decimal) -> None:
    made = bill(charges, deposit=deposit)
    assert made.gross == made.net + made.tax == sum((line.gross for line in made.lines), D(0))
    assert made.balance == made.gross - deposit
    assert sum((one.tax for one in made.by_rate), D(0)) == made.tax
    assert sum((one.net for one in made.by_rate), D(0)) == made.net
