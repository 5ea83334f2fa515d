"""Loading what comes with the project, and asking for it."""

from datetime import date, timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from pytest_django import DjangoAssertNumQueries

from jobs.book.models import Entry
from jobs.book.refusals import Refused
from jobs.catalogue import reads, steps
from jobs.catalogue.models import Operation, PriceList, Rate, Word
from jobs.custody.models import Location
from shop.profile.models import TaxRate, Terms
from shop.profile.reads import rate_on, taxes_on
from tests.factory import NOW

pytestmark = pytest.mark.django_db


def prepare() -> str:
    out = StringIO()
    call_command("prepare", stdout=out)
    return out.getvalue()


def test_loading_twice_is_the_same_as_once() -> None:
    assert (steps.load_words(NOW), steps.load_operations(NOW), steps.load_prices(NOW)) == (188, 75, 4)
    assert (steps.load_words(NOW), steps.load_operations(NOW), steps.load_prices(NOW)) == (0, 0, 0)
    assert (Word.objects.count(), Operation.objects.count(), Rate.objects.count()) == (188, 75, 4)
    added = Entry.objects.filter(action="catalogue.added").order_by("pk")
    assert [entry.data for entry in added] == [{"words": 188}, {"operations": 75}, {"rates": 4}]


def test_what_a_shop_changed_stays_and_what_it_added_too() -> None:
    prepare()
    Word.objects.filter(sort="term", code="seam").update(words="open joint", needed_for="", kinds="Vn")
    Operation.objects.filter(code="BW1").update(likely=Decimal("1.1"))
    Rate.objects.filter(skill=3).update(per_hour=Decimal("81.00"))
    TaxRate.objects.filter(tax_class__code="goods").update(rate=20)
    Word.objects.create(sort="term", code="own", words="our own word", kinds="Vn")
    Terms.objects.create(version=2, text="Ours.", since=NOW)
    Location.objects.filter(name="Q").delete()
    Word.objects.filter(sort="part", code="chin").delete()
    prepare()
    assert Word.objects.get(sort="term", code="seam").words == "open joint"
    assert Operation.objects.get(code="BW1").likely == Decimal("1.1")
    assert Rate.objects.get(skill=3).per_hour == Decimal(81)
    assert rate_on("goods", NOW.date()) == 20
    assert Terms.objects.count() == 2
    assert not Location.objects.filter(name="Q").exists()
    assert Word.objects.filter(sort="part", code="chin").exists(), "what is wanting is filled in"
    assert Word.objects.filter(code="own").exists()


def test_a_shop_with_prices_of_its_own_gets_none_of_ours() -> None:
    PriceList.objects.create(since=date(2026, 1, 1))
    assert steps.load_prices(NOW) == 0
    assert not Rate.objects.exists()


def test_prepare_puts_up_the_hooks_terms_and_taxes() -> None:
    said = prepare()
    names = set(Location.objects.values_list("name", flat=True))
    assert {f"R{rack}-{hook}" for rack in range(1, 5) for hook in range(1, 9)} <= names
    assert {"B-1", "B-3", "V-1", "V-6", "Q", "S", "Front desk", "Unknown tray"} <= names
    assert len(names) == 32 + 3 + 6 + 4
    assert {tax.code: tax.rate for tax in taxes_on(NOW.date())} == {
        "labour": 0,
        "goods": Decimal("8.25"),
        "outside": 0,
    }
    assert Terms.objects.get().version == 1
    assert "Follow local law" in said
    assert prepare() == "", "said once"


def test_words_come_by_kind_in_the_shops_order(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    steps.load_words(NOW)
    with django_assert_num_queries(1):
        views = [view.code for view in reads.views_for("Vn")]
    assert views == [
        "front-full", "back-full", "bass-side", "treble-side", "scroll-front", "scroll-bass", "button-heel", "ff-bass",
        "ff-treble", "bridge-front", "label", "case-open",
    ]  # fmt: skip
    assert "finet" not in {word.code for word in reads.words_for("part", "Db")}
    assert reads.words_for("term", "Zz") == []


def test_a_view_is_missing_until_it_is_taken_or_has_a_reason() -> None:
    steps.load_words(NOW)
    assert len(reads.missing_views("Bw", (), {})) == 6
    taken = {"bow-full", "frog-player", "frog-far", "head-both"}
    missing = reads.missing_views("Bw", taken, {"button": "  ", "camber-sight": "hair too loose"})
    assert [view.code for view in missing] == ["button"], "a blank is no reason"
    assert reads.missing_views("Cs", (), {}) == []


def test_operations_come_by_kind() -> None:
    steps.load_operations(NOW)
    assert [operation.code for operation in reads.operations_for("Bw")] == [
        "EX1", "CL1", "BW1", "BW2", "BW3", "BW4", "BW5", "BW6", "BW7",
    ]  # fmt: skip


def test_a_price_is_that_of_its_day() -> None:
    steps.load_prices(NOW)
    new = PriceList.objects.create(since=date(2026, 12, 1), minimum=Decimal(15))
    Rate.objects.create(price_list=new, skill=3, words="luthier", per_hour=Decimal(84))
    assert reads.rate_for(3, date(2026, 11, 30)) == Decimal(78)
    assert reads.rate_for(3, date(2026, 12, 1)) == Decimal(84)
    assert reads.minimum_on(date(2026, 11, 30)) == 0
    assert reads.minimum_on(date(2026, 12, 1)) == 15
    first = PriceList.objects.order_by("since")[0].since
    with pytest.raises(Refused, match="Ask the head luthier"):
        reads.rate_for(3, first - timedelta(days=1))
    with pytest.raises(Refused, match="Ask the head luthier"):
        reads.rate_for(9, date(2026, 12, 1))
