"""Price lists: dated, a copy to begin with, never edited once in force, every figure's change with both values."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from jobs.book.kinds import SIZES
from jobs.book.models import Entry, Item
from jobs.book.refusals import Again, Refused
from jobs.catalogue import price_reads, price_steps, steps
from jobs.catalogue.models import FixedPrice, PriceList, Rate
from jobs.catalogue.reads import rate_for
from jobs.history.names import Names
from jobs.history.sentences import sentence
from jobs.intake.lacking import LONGEST
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = NOW.date()
SOON = TODAY + timedelta(days=7)


@pytest.fixture
def head() -> Person:
    factory.shop()
    steps.load_operations(NOW)
    steps.load_prices(NOW)
    steps.load_fixed_prices(NOW)
    return factory.person(Role.HEAD)


def price(code: str, day: date) -> Decimal:
    return next(one.labour for one in price_reads.fixed_on(day) if one.code == code)


def test_the_sample_list_names_kinds_and_operations_of_the_book(head: Person) -> None:
    fixed = price_reads.fixed_on(TODAY)
    assert len(fixed) == len({one.code for one in fixed}) > 25
    for one in fixed:
        assert one.operation is not None, one.code
        assert set(one.kinds.split()) <= set(one.operation.kinds.split()), one.code
        assert (one.goods > 0) == bool(one.goods_words), one.code
        assert one.job_kind == ("rehair" if one.operation.code == "BW1" else "repair"), one.code


def test_every_size_offered_fits_the_book() -> None:
    longest = Item._meta.get_field("size").max_length
    assert longest is not None
    assert max(len(size) for sizes in SIZES.values() for size in sizes) <= min(longest, LONGEST["size"][0])


def test_an_existing_book_without_fixed_prices_gets_them_and_one_with_any_none() -> None:
    PriceList.objects.create(since=date(2026, 1, 1))
    later = PriceList.objects.create(since=date(2027, 1, 1))
    made = steps.load_fixed_prices(NOW)
    assert made == FixedPrice.objects.count() == 2 * later.fixed.count()
    FixedPrice.objects.exclude(code="RH-VN").delete()
    assert steps.load_fixed_prices(NOW) == 0


def test_a_new_list_begins_as_a_copy_and_counts_from_its_day_on(head: Person) -> None:
    draft = price_steps.begin_list(since=SOON, by=head, at=NOW)
    assert draft.fixed.count() == len(price_reads.fixed_on(TODAY))
    assert draft.rates.count() == 4
    price_steps.set_price(draft, "RH-VN", labour=D("37.005"), goods=D(14), ready_days=4, by=head, at=NOW)
    price_steps.set_rate(draft, 3, D(84), by=head, at=NOW)
    assert price("RH-VN", SOON) == D(33), "a draft counts for nothing"
    price_steps.put_in_force(draft, by=head, at=NOW)
    assert (price("RH-VN", SOON - timedelta(days=1)), price("RH-VN", SOON)) == (D(33), D("37.01"))
    assert (rate_for(3, TODAY), rate_for(3, SOON)) == (D(78), D(84))
    assert [one.state for one in price_reads.lists(TODAY)] == ["to come", "in force"]
    assert [one.state for one in price_reads.lists(SOON)] == ["in force", "past"]


def test_a_list_in_force_is_never_edited(head: Person) -> None:
    listed = price_reads.list_on(TODAY)
    assert listed is not None
    for change in (
        lambda: price_steps.set_price(listed, "RH-VN", labour=D(1), by=head, at=NOW),
        lambda: price_steps.set_rate(listed, 3, D(1), by=head, at=NOW),
        lambda: price_steps.set_minimum(listed, D(1), by=head, at=NOW),
        lambda: price_steps.set_since(listed, SOON, by=head, at=NOW),
        lambda: price_steps.put_in_force(listed, by=head, at=NOW),
        lambda: price_steps.withdraw(listed, by=head, at=NOW),
        lambda: price_steps.reopen(listed, by=head, at=NOW),
    ):
        with pytest.raises(Refused, match=r"in force"):
            change()
    assert not Entry.objects.filter(action__startswith="prices.").exists()


def test_every_change_keeps_the_value_before_and_after(head: Person) -> None:
    draft = price_steps.begin_list(since=SOON, by=head, at=NOW)
    price_steps.set_price(draft, "RH-VN", labour=D(37), active=False, by=head, at=NOW)
    price_steps.set_price(draft, "RH-VN", labour=D("37.00"), by=head, at=NOW)
    price_steps.set_rate(draft, 3, D(84), by=head, at=NOW)
    price_steps.set_minimum(draft, D(15), by=head, at=NOW)
    price_steps.set_since(draft, SOON + timedelta(days=1), by=head, at=NOW)
    said = [sentence(one.action, one.data, Names()) for one in Entry.objects.filter(action="prices.changed")]
    rehair = "Rehair, violin bow"
    assert said == [
        f"changed RH-VN in a price list from {rehair}, 33.00 + 12.00, 3 days to {rehair}, 37.00 + 12.00, 3 days, not offered",
        "changed rate 3 in a price list from 78.00 to 84.00",
        "changed minimum in a price list from 0.00 to 15.00",
        "changed since in a price list from 2026-12-02 to 2026-12-03",
    ]


def test_one_draft_at_a_time_and_a_second_press_makes_none(head: Person) -> None:
    draft = price_steps.begin_list(since=SOON, by=head, at=NOW, key="begin-prices")
    with pytest.raises(Again):
        price_steps.begin_list(since=SOON, by=head, at=NOW, key="begin-prices")
    again = price_steps.begin_list(since=TODAY, by=head, at=NOW, key="begin-others")
    assert (again.pk, again.since) == (draft.pk, TODAY)
    with pytest.raises(IntegrityError), transaction.atomic():
        PriceList.objects.create(since=TODAY, draft=True)
    price_steps.withdraw(draft, by=head, at=NOW)
    price_steps.withdraw(draft, by=head, at=NOW)
    assert price_reads.draft_list() is None
    assert PriceList.objects.count() == 1


def test_a_slip_is_put_right_on_its_own_day_and_a_list_to_come_is_taken_back(head: Person) -> None:
    for labour in (D(370), D(37)):
        draft = price_steps.begin_list(since=TODAY, by=head, at=NOW)
        price_steps.set_price(draft, "RH-VN", labour=labour, by=head, at=NOW)
        price_steps.put_in_force(draft, by=head, at=NOW)
        assert price("RH-VN", TODAY) == labour
    coming = price_steps.put_in_force(price_steps.begin_list(since=SOON, by=head, at=NOW), by=head, at=NOW)
    assert price_steps.reopen(coming, by=head, at=NOW).draft
    assert price_reads.draft_list() == coming
    # its day passed while it lay there
    with pytest.raises(Refused, match="is past"):
        price_steps.put_in_force(coming, by=head, at=NOW + timedelta(days=8))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"labour": D("-1")}, "not below zero"),
        ({"goods": D(10) ** 6}, "Look at the point"),
        ({"words": "  "}, "Write what the work is"),
        ({"words": "x" * 101}, "at most 100"),
        ({"goods": D(5), "goods_words": ""}, "what is sold with it"),
        ({"ready_days": -1}, "between 0 and"),
        ({"ready_days": 251}, "between 0 and"),
    ],
)
def test_nonsense_is_refused_in_words_and_changes_nothing(head: Person, fields: dict[str, object], words: str) -> None:
    draft = price_steps.begin_list(since=SOON, by=head, at=NOW)
    with pytest.raises(Refused, match=words):
        price_steps.set_price(draft, "RH-VN", by=head, at=NOW, **fields)  # type: ignore[arg-type]
    assert draft.fixed.get(code="RH-VN").labour == D(33)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"code": "rh vn"}, "capitals, digits and dashes"),
        ({"code": "RH-VN"}, "already"),
        ({"kinds": ""}, "Choose for what it is"),
        ({"kinds": "Vn Zz"}, "Choose for what it is"),
        ({"job_kind": "warranty"}, "a repair or a rehair"),
        ({"size": "x" * 25}, "more than 24"),
    ],
)
def test_a_price_of_ones_own_is_added_or_refused(head: Person, fields: dict[str, str], words: str) -> None:
    draft = price_steps.begin_list(since=SOON, by=head, at=NOW)
    own: dict[str, object] = {
        "code": "MUTE-1", "words": "Fit a tailpiece mute", "kinds": "Vn Va", "labour": D(6), "ready_days": 0,
    }  # fmt: skip
    with pytest.raises(Refused, match=words):
        price_steps.add_price(draft, by=head, at=NOW, **{**own, **fields})  # type: ignore[arg-type]
    made = price_steps.add_price(draft, by=head, at=NOW, **own)  # type: ignore[arg-type]
    assert price_reads.fixed_of(draft)[-1] == made


@pytest.mark.parametrize("since", [TODAY - timedelta(days=1), date(2099, 1, 1)])
def test_no_list_begins_in_the_past_or_in_another_age(head: Person, since: date) -> None:
    with pytest.raises(Refused, match=r"is past|too far"):
        price_steps.begin_list(since=since, by=head, at=NOW)


def test_prices_are_kept_in_the_coins_of_the_shop(head: Person) -> None:
    factory.shop(currency="JPY")
    draft = price_steps.begin_list(since=SOON, by=head, at=NOW)
    price_steps.set_price(draft, "RH-VN", labour=D("4500.4"), by=head, at=NOW)
    assert draft.fixed.get(code="RH-VN").labour == D(4500)


def test_what_the_counter_asks_costs_one_query(head: Person, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    with django_assert_num_queries(1):
        assert [one.operation for one in price_reads.fixed_on(timezone.now().date())]
    with django_assert_num_queries(1):
        price_reads.lists(TODAY)
    assert Rate.objects.count() == 4
