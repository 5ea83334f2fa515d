"""Which copies stay, when the daily one is due, and how ages and sizes are said."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.packing.keeping import Copy, Kept, to_go
from shop.packing.when import day_due
from shop.packing.words import age_words, size_words

ZONE = ZoneInfo("Europe/Lisbon")
NOW = datetime(2026, 11, 25, 3, 0, tzinfo=UTC)


def daily(days: int) -> list[Copy]:
    return [Copy(days - n, NOW - timedelta(days=n), good=True) for n in range(days)]


USUAL = Kept()


def left(copies: list[Copy], keep: Kept = USUAL) -> set[int]:
    return {copy.pk for copy in copies} - set(to_go(copies, keep, ZONE))


def test_after_a_year_seven_days_four_weeks_and_twelve_months_stay() -> None:
    copies = daily(400)
    stay = left(copies)
    days = {copy.at.date() for copy in copies if copy.pk in stay}
    assert {(NOW - timedelta(days=n)).date() for n in range(7)} <= days
    assert len({f"{day:%G-%V}" for day in days}) >= 4
    assert len({f"{day:%Y-%m}" for day in days}) == 12
    assert len(stay) <= 7 + 4 + 12


def test_doing_it_daily_leaves_as_much_as_doing_it_once() -> None:
    kept: list[Copy] = []
    for copy in reversed(daily(400)):
        kept.append(copy)
        stay = left(kept)
        kept = [each for each in kept if each.pk in stay]
    assert len({f"{copy.at:%Y-%m}" for copy in kept}) == 12
    assert len(kept) <= 7 + 4 + 12


made = st.lists(st.tuples(st.integers(0, 900 * 24), st.booleans()), max_size=60).map(
    lambda rows: [Copy(n, NOW - timedelta(hours=hours), good) for n, (hours, good) in enumerate(rows)]
)


@given(made, st.integers(0, 9), st.integers(0, 6), st.integers(0, 14))
def test_the_last_good_copy_always_stays(copies: list[Copy], days: int, weeks: int, months: int) -> None:
    stay = left(copies, Kept(days, weeks, months))
    good = [copy for copy in copies if copy.good]
    assert not good or max(copy.at for copy in good) in {copy.at for copy in good if copy.pk in stay}
    fresh = [copy for copy in copies if max(each.at for each in copies) - copy.at < timedelta(hours=24)]
    assert len(set(stay) - {copy.pk for copy in fresh}) <= 2 + days + weeks + months
    assert not copies or stay


def test_a_good_copy_stays_rather_than_a_later_one_of_the_day_that_is_not() -> None:
    good, broken = Copy(1, NOW - timedelta(days=3, hours=2), good=True), Copy(2, NOW - timedelta(days=3), good=False)
    assert to_go([good, broken, Copy(3, NOW, good=True)], Kept(9, 0, 0), ZoneInfo("UTC")) == [2]


def test_the_one_just_made_stays_where_the_clock_was_set_back() -> None:
    wrong = [Copy(n, NOW + timedelta(days=300 + n), good=True) for n in range(5)]
    assert 9 not in to_go([*wrong, Copy(9, NOW, good=True)], Kept(1, 1, 1), ZoneInfo("UTC"))


def test_copies_of_the_last_day_all_stay() -> None:
    copies = [Copy(9 - n, NOW - timedelta(hours=5 * n), good=True) for n in range(6)]
    assert to_go(copies, Kept(1, 0, 0), ZoneInfo("UTC")) == [4]


@pytest.mark.parametrize(
    ("at", "day"),
    [
        ("2026-11-25T02:29:59+00:00", "2026-11-24"),
        ("2026-11-25T02:30:00+00:00", "2026-11-25"),
        ("2026-07-01T01:29:00+00:00", "2026-06-30"),  # summer: 02:29 on the shop's clock
        ("2026-07-01T01:30:00+00:00", "2026-07-01"),
        ("2026-03-29T03:00:00+00:00", "2026-03-29"),  # the night the clock goes forward
        ("2026-11-25T23:59:00+00:00", "2026-11-25"),
    ],
)
def test_the_daily_copy_is_due_by_the_shops_own_clock(at: str, day: str) -> None:
    assert day_due(datetime.fromisoformat(at), time(2, 30), ZONE).isoformat() == day


@pytest.mark.parametrize(
    ("age", "words"),
    [
        (timedelta(seconds=-5), "just now"),
        (timedelta(seconds=90), "just now"),
        (timedelta(minutes=40), "40 minutes"),
        (timedelta(minutes=119), "119 minutes"),
        (timedelta(hours=5, minutes=50), "5 hours"),
        (timedelta(hours=47), "47 hours"),
        (timedelta(days=3, hours=4), "3 days"),
    ],
)
def test_ages_in_words(age: timedelta, words: str) -> None:
    assert age_words(age) == words


@pytest.mark.parametrize(
    ("size", "words"),
    [(820, "820 bytes"), (4_200_000, "4.2 MB"), (61_000_000_000, "61 GB"), (999_960, "1.0 MB"), (0, "0 bytes")],
)
def test_sizes_in_words(size: int, words: str) -> None:
    assert size_words(size) == words
