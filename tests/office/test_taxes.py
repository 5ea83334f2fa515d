"""Tax rates by day."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from jobs.billing.reads import account
from jobs.book.models import Entry
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.estimates.steps import add_line, begin_draft
from jobs.office.tax_steps import percent_in, set_rate, withdraw
from shop.people.roles import Role
from shop.profile.models import TaxClass, TaxRate
from shop.profile.reads import rate_on, taxes_on
from tests import factory

pytestmark = pytest.mark.django_db
NOW, TODAY = factory.NOW, factory.NOW.date()
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.shop()


def begin(rate: str, since: date | None = TOMORROW, code: str = "goods", key: str = "tax-key-001") -> TaxRate:
    return set_rate(code, since, percent_in(rate), by=factory.person(Role.HEAD), at=NOW, key=key)


def test_a_new_rate_begins_on_its_day_and_the_past_one_stays_readable() -> None:
    begin("20 %")
    assert [rate_on("goods", day) for day in (TODAY, TOMORROW)] == [Decimal("8.25"), Decimal(20)]
    assert {one.code: one.rate for one in taxes_on(TOMORROW)} == {"goods": 20, "labour": 0}
    entry = Entry.objects.get(action="tax.set")
    assert entry.data == {"code": "goods", "since": TOMORROW.isoformat(), "from": "8.25", "to": "20"}


def test_a_line_takes_the_rate_of_the_day_it_is_written() -> None:
    begin("20")
    job = factory.job(Stage.EXA)
    by = factory.person(Role.LUTHIER)
    option = begin_draft(job, by=by, at=NOW).options.get()
    today = add_line(option, words="Strings", net=Decimal(100), tax_class="goods", by=by, at=NOW)
    later = add_line(option, words="Strings", net=Decimal(100), tax_class="goods", by=by, at=NOW + timedelta(days=1))
    assert [(line.tax_rate, line.tax) for line in (today, later)] == [(Decimal("8.25"), Decimal("8.25")), (20, 20)]


def test_work_agreed_before_keeps_the_rate_it_was_agreed_with() -> None:
    begin("10", code="labour")
    job = factory.job(Stage.CHK, agreed_words="rehair", agreed_net=Decimal(45), opened_at=NOW)
    shop = factory.shop()
    assert account(job, shop, on=TOMORROW).bill.tax == 0  # type: ignore[union-attr]
    late = factory.job(Stage.CHK, agreed_words="rehair", agreed_net=Decimal(45), opened_at=NOW + timedelta(days=1))
    assert account(late, shop, on=TOMORROW).bill.tax == Decimal("4.50")  # type: ignore[union-attr]


def test_a_rate_to_come_is_replaced_on_its_day_and_withdrawn_but_one_in_force_is_neither() -> None:
    rate = begin("20")
    begin("21", key="tax-key-002")
    assert rate_on("goods", TOMORROW) == 21
    assert TaxRate.objects.filter(tax_class__code="goods").count() == 2
    head = factory.person(Role.HEAD)
    with pytest.raises(Refused, match="in force since"):
        withdraw(rate, by=head, at=NOW + timedelta(days=1))
    withdraw(rate, by=head, at=NOW)
    withdraw(rate, by=head, at=NOW)
    assert rate_on("goods", TOMORROW) == Decimal("8.25")
    assert Entry.objects.filter(action="tax.withdrawn").count() == 1


def test_a_rate_that_began_today_is_not_replaced_today() -> None:
    begin("9", since=TODAY)
    with pytest.raises(Refused, match=r"A rate of 9 % has begun today"):
        begin("10", since=TODAY, key="tax-key-002")


def test_the_second_press_sets_nothing_twice() -> None:
    begin("20")
    with pytest.raises(Again):
        begin("20")


@pytest.mark.parametrize(
    ("since", "code", "words"),
    [
        (None, "goods", "Choose the day"),
        (TODAY - timedelta(days=1), "goods", "past is not changed"),
        (date(2926, 1, 1), "goods", "too far"),
        (TOMORROW, "gold", "what is taxed"),
    ],
)
def test_days_and_things_that_cannot_be(since: date | None, code: str, words: str) -> None:
    with pytest.raises(Refused, match=words):
        begin("20", since, code)
    with pytest.raises(Refused, match=r"8.25 % on that day already"):
        begin("8.25", key="tax-key-003")


@pytest.mark.parametrize("typed", ["", "20,5", "-1", "100", "8.2555", "NaN", "1e1"])
def test_what_is_no_rate(typed: str) -> None:
    with pytest.raises(Refused):
        percent_in(typed)


def test_the_database_keeps_one_rate_a_day_between_nothing_and_a_hundred() -> None:
    goods = TaxClass.objects.get(code="goods")
    for since, rate in ((TaxRate.objects.filter(tax_class=goods).get().since, 5), (TOMORROW, 100), (TOMORROW, -1)):
        with pytest.raises(IntegrityError), transaction.atomic():
            TaxRate.objects.create(tax_class=goods, since=since, rate=rate)
