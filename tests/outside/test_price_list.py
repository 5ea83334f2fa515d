"""Price-list sums against worked examples computed apart from the program."""

from decimal import Decimal

from jobs.billing.amounts import Charge, bill
from jobs.estimates.amounts import labour
from jobs.intake.drafts import Priced
from jobs.intake.priced import charges, price_of
from shop.money import totals

D = Decimal


def test_twelve_rehairs_at_45() -> None:
    """12 × 45.00 = 540.00 (computed by hand, common practice, no source): net, however it is parted into labour and hair."""
    for labour_net, hair in (("45.00", "0"), ("33.00", "12.00")):
        rehair = Priced(code="RH", words="Rehair", labour=labour_net, goods=hair, goods_words="hair", goods_tax="8.25")
        assert totals(line.taxed for _ in range(12) for line in charges((rehair,), 2)).net == D("540.00")


def test_labour_and_strings_with_tax_on_the_strings_only() -> None:
    """3.2 h × 78 + 32.00 + 8.25 % of 32.00 = 284.24 (computed by hand, common practice, no source)."""
    work = labour(D("3.2"), D(78))
    assert work == D("249.60")
    priced = Priced(
        code="X",
        words="Set up",
        labour=str(work),
        goods="32.00",
        goods_words="strings",
        labour_tax="0",
        goods_tax="8.25",
    )
    assert [(one.words, one.taxed.net, one.taxed.tax) for one in charges((priced,), 2)] == [
        ("Set up", D("249.60"), D("0.00")),
        ("Strings", D("32.00"), D("2.64")),
    ]
    assert price_of((priced,), 2).gross == D("284.24")
    # the invoice of the same lines comes to the same
    lines = [Charge("Set up", work, "labour", D(0)), Charge("Strings", D(32), "goods", D("8.25"))]
    assert bill(lines).gross == D("284.24")
