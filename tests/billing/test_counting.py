"""The drawer: what is expected, what is counted, and who closes it."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from jobs.billing.counting import count_drawer
from jobs.billing.drawer_reads import day_takings, drawer
from jobs.billing.models import DrawerCount, Payment
from jobs.billing.takings import Coins, age_words, day_ends
from jobs.book.models import Entry, Job
from jobs.book.refusals import Refused, Stale
from shop.people.roles import Role
from tests import factory
from tests.billing.till import bow, count_it, give_back, invoice, key, pay, take_back
from tests.factory import NOW
from tests.side_by_side import Opener, on_a_file, together

D = Decimal


@pytest.fixture
def jobs(db: None) -> list[Job]:
    factory.shop()
    made = [bow(), bow(), bow()]
    for job in made:
        invoice(job)
    return made


def test_the_drawer_holds_the_opening_and_the_cash(jobs: list[Job]) -> None:
    pay(jobs[0], "55.80", "cash")
    pay(jobs[1], "20.00", "card")
    first = count_it("155.80", opening=D("100.00"), removed=D("50.00"))
    assert (first.expected, first.difference, first.kept) == (D("155.80"), D(0), D("105.80"))
    pay(jobs[1], "35.80", "cash")
    assert drawer().expected == D("141.60")
    second = count_it("141.60", opening=D("999.00"))
    assert (second.opening, second.cash, second.after) == (D("105.80"), D("35.80"), first)
    assert list(first.payments.values_list("amount", flat=True)) == [D("55.80"), D("20.00")]


def test_a_difference_needs_a_reason_and_is_kept(jobs: list[Job]) -> None:
    pay(jobs[0], "55.80")
    with pytest.raises(Refused, match=r"0\.30 short"):
        count_it("55.50")
    with pytest.raises(Refused, match=r"1\.00 over"):
        count_it("56.80")
    made = count_it("55.50", reason="change given wrongly")
    assert (made.difference, made.reason) == (D("-0.30"), "change given wrongly")
    assert made.number == 1, "a refused count leaves no gap"
    assert Entry.objects.get(action="drawer.counted").data["difference"] == "-0.30"


def test_coins_and_notes_make_the_total(jobs: list[Job]) -> None:
    pay(jobs[0], "55.80")
    coins = [Coins(D("50.00"), 1), Coins(D("5.00"), 1), Coins(D("0.20"), 4)]
    desk = factory.person(Role.DESK)
    ask = partial(count_drawer, coins=coins, seen=drawer().seen, by=desk, at=NOW)
    with pytest.raises(Refused, match=r"come to 55\.80, and the total says 55\.90"):
        ask(total=D("55.90"), key=key())
    made = ask(total=None, key=key())
    assert (made.counted, made.sheet) == (D("55.80"), [["50.00", 1], ["5.00", 1], ["0.20", 4]])
    with pytest.raises(Refused, match="Write what lies"):
        count_drawer(total=None, seen=drawer().seen, by=desk, at=NOW, key=key())


def test_a_payment_taken_while_counting_makes_the_page_old(jobs: list[Job]) -> None:
    pay(jobs[0], "55.80")
    seen = drawer().seen
    pay(jobs[1], "10.00")
    with pytest.raises(Stale, match="while you counted"):
        count_it("55.80", seen=seen)


def test_a_payment_after_the_count_belongs_to_the_next(jobs: list[Job]) -> None:
    row = pay(jobs[0], "55.80")
    count_it("55.80")
    late = pay(jobs[1], "10.00")
    mirror = take_back(row)
    now = drawer()
    assert now.rows == [late, mirror]
    assert (now.takings.all.reversals, now.takings.all.payments) == (D("-55.80"), D("10.00"))
    assert now.expected == D("10.00")
    assert now.rows[1].reversal_of is not None
    assert now.rows[1].reversal_of.count is not None, "and says that it takes back what was counted"


def test_a_wrong_count_is_corrected_by_a_new_one_that_says_so(jobs: list[Job]) -> None:
    pay(jobs[0], "55.80")
    wrong = count_it("58.50", reason="over, nobody knows why")
    with pytest.raises(Refused, match="what was wrong with count 1"):
        count_it("58.50", corrects=1)
    right = count_it("55.80", corrects=1, reason="58.50 typed for 55.80")
    assert (right.corrects, right.difference) == (wrong, D("-2.70"))
    assert wrong.difference + right.difference == 0
    assert right.paper is not None
    assert '"corrects":"count 1"' in right.paper.text
    with pytest.raises(Refused, match="no count 7"):
        count_it("55.80", corrects=7, reason="x")


def test_no_more_is_taken_out_than_lies_there(jobs: list[Job]) -> None:
    pay(jobs[0], "55.80")
    with pytest.raises(Refused, match=r"Only 55\.80 lies"):
        count_it("55.80", removed=D("55.81"))


def test_the_sheet_is_frozen_and_names_no_payer(jobs: list[Job]) -> None:
    pay(jobs[0], "55.80")
    made = count_it("55.80")
    assert made.paper is not None
    assert made.paper.kind == "takings"
    assert jobs[0].number in made.paper.text
    assert "Imelda" not in made.paper.text
    assert "Maris Quillby" in made.paper.text


def test_the_database_refuses_a_count_that_does_not_add_up(jobs: list[Job]) -> None:
    made = count_it("0.00")
    for wrong in ({"counted": D("5.00")}, {"kept": D("1.00")}, {"expected": D("1.00")}):
        with pytest.raises(IntegrityError), transaction.atomic():
            DrawerCount.objects.filter(pk=made.pk).update(**wrong)


@pytest.fixture
def on_disk(tmp_path: Path, transactional_db: None) -> Iterator[Opener]:
    factory.shop()
    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        yield open_file


@pytest.mark.django_db(transaction=True)
def test_of_two_who_close_at_once_one_wins_and_the_other_is_told(on_disk: Opener) -> None:
    job = bow()
    invoice(job)
    pay(job, "55.80")
    desk, books, seen = factory.person(Role.DESK), factory.person(Role.BOOKS), drawer().seen
    tries = [partial(count_drawer, total=D("55.80"), seen=seen, by=by, at=NOW, key=key()) for by in (desk, books, desk)]
    results = together(on_disk, *tries, told=(Stale,))
    won = [one for one in results if isinstance(one, DrawerCount)]
    told = [one for one in results if isinstance(one, Stale)]
    assert (len(won), len(told)) == (1, 2), results
    assert all("closed the count already" in one.words for one in told)
    assert [one.number for one in DrawerCount.objects.all()] == [1]
    assert Payment.objects.get().count == won[0]


def _at(job: Job, amount: str, moment: datetime) -> Payment:
    return pay(job, amount, at=moment)


def test_a_day_ends_at_the_shops_own_midnight(jobs: list[Job]) -> None:
    shop = factory.shop(time_zone="Europe/Berlin")
    berlin = ZoneInfo("Europe/Berlin")
    _at(jobs[0], "1.00", datetime(2026, 11, 24, 23, 59, 59, tzinfo=berlin))
    _at(jobs[0], "2.00", datetime(2026, 11, 25, 0, 0, 0, tzinfo=berlin))
    _at(jobs[0], "4.00", datetime(2026, 11, 25, 23, 59, 59, tzinfo=berlin))
    _at(jobs[0], "8.00", datetime(2026, 11, 26, 0, 0, 0, tzinfo=berlin))
    assert day_takings(date(2026, 11, 24), shop).takings.cash == D("1.00")
    assert day_takings(date(2026, 11, 25), shop).takings.cash == D("6.00")
    assert day_takings(date(2026, 11, 26), shop).takings.cash == D("8.00")


@pytest.mark.parametrize(
    ("zone", "day", "begins", "hours"),
    [
        # the zone database's own rules; begins in UTC
        ("Europe/Berlin", date(2026, 3, 29), datetime(2026, 3, 28, 23, tzinfo=UTC), 23),
        ("Europe/Berlin", date(2026, 10, 25), datetime(2026, 10, 24, 22, tzinfo=UTC), 25),
        ("America/New_York", date(2026, 3, 8), datetime(2026, 3, 8, 5, tzinfo=UTC), 23),
        ("America/Santiago", date(2026, 9, 6), datetime(2026, 9, 6, 4, tzinfo=UTC), 23),  # midnight is left out
        ("America/Havana", date(2026, 11, 1), datetime(2026, 11, 1, 4, tzinfo=UTC), 25),  # midnight comes twice
        ("Asia/Kathmandu", date(2026, 11, 25), datetime(2026, 11, 24, 18, 15, tzinfo=UTC), 24),
    ],
)
def test_days_of_23_and_25_hours(zone: str, day: date, begins: datetime, hours: int) -> None:
    noon = datetime.combine(day, datetime.min.time(), tzinfo=ZoneInfo(zone)) + timedelta(hours=12)
    start, end = (one.astimezone(UTC) for one in day_ends(noon, ZoneInfo(zone)))
    assert start == begins
    assert end - start == timedelta(hours=hours)


@given(st.timedeltas(timedelta(0), timedelta(days=15 * 365)))
def test_days_follow_each_other_without_a_gap(since: timedelta) -> None:
    moment = datetime(2020, 1, 1, tzinfo=UTC) + since
    for name in ("Europe/Berlin", "America/Santiago", "America/Havana", "Africa/Cairo", "Australia/Lord_Howe"):
        zone = ZoneInfo(name)
        start, end = (one.astimezone(UTC) for one in day_ends(moment, zone))
        assert start <= moment < end
        assert day_ends(end, zone)[0].astimezone(UTC) == end


@pytest.mark.parametrize(
    ("days", "words"), [(0, "0–30 days"), (30, "0–30 days"), (31, "31–60 days"), (60, "31–60 days"),
                        (61, "61–90 days"), (90, "61–90 days"), (91, "over 90 days")],
)  # fmt: skip
def test_ages_of_open_invoices(days: int, words: str) -> None:
    assert age_words(days) == words


def test_a_refund_leaves_the_drawer(jobs: list[Job]) -> None:
    made = bow()
    pay(made, "20.00")
    give_back(made, "5.00")
    now = drawer()
    assert (now.takings.all.deposits, now.takings.all.refunds, now.expected) == (D("20.00"), D("-5.00"), D("15.00"))
