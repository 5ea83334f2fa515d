"""The week, the closed days, and what follows from both."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.clock import Opening
from shop.hours import (
    DAYS,
    NotHoursError,
    closed_soon,
    kept,
    next_open_day,
    open_day,
    open_days_after,
    spans_of,
    time_of,
    week_of,
    week_words,
    why_closed,
)  # fmt: skip

HOURS = {**{day: ["09:00", "17:00"] for day in DAYS[:5]}, "sat": ["10:00", "13:00"]}
CHRISTMAS = (date(2026, 12, 24), date(2026, 12, 26), "Christmas")
SHOP = Opening(HOURS, ZoneInfo("UTC"), (CHRISTMAS,))

days = st.dates(min_value=date(2000, 1, 1), max_value=date(2100, 1, 1))
times = st.times().map(lambda moment: moment.replace(second=0, microsecond=0))
spans = st.lists(times, unique=True, max_size=4).map(sorted).map(lambda found: found[: len(found) // 2 * 2])
weeks = st.lists(spans, min_size=7, max_size=7).map(
    lambda week: kept(tuple(zip(found[::2], found[1::2], strict=True)) for found in week)
)
closings = st.lists(
    st.builds(lambda first, days: (first, first + timedelta(days), "away"), days, st.integers(0, 60)), max_size=6
).map(tuple)
openings = st.builds(Opening, weeks, st.just(ZoneInfo("UTC")), closings)


def test_christmas_is_closed_and_the_next_open_day_is_monday() -> None:
    # 24 December 2026 is a Thursday, so 27 December is a Sunday (ISO 8601 calendar)
    assert not open_day(SHOP, date(2026, 12, 24))
    assert why_closed(SHOP, date(2026, 12, 24)) == "Thu 24 December is closed: Christmas"
    assert next_open_day(SHOP, date(2026, 12, 24)) == date(2026, 12, 28)
    assert why_closed(SHOP, date(2026, 12, 27)) == "Sun 27 December: closed on Sundays"
    assert why_closed(SHOP, date(2026, 12, 28)) == ""


def test_open_days_are_counted_without_the_closed_ones() -> None:
    wednesday = date(2026, 12, 23)
    assert [open_days_after(SHOP, wednesday, n).day for n in range(4)] == [23, 28, 29, 30]


def test_hours_are_said_in_as_few_words_as_there_are_kinds_of_day() -> None:
    assert week_words(HOURS) == "Mon to Fri 9 to 17, Sat 10 to 13"
    assert week_words({"tue": ["9:00", "12:30", "13.30", "1700"], "thu": ["9", "17"]}) == (
        "Tue 9 to 12:30 and 13:30 to 17, Thu 9 to 17"
    )
    assert week_words({}) == ""


def test_closed_days_soon_are_said_from_today_on() -> None:
    assert closed_soon(SHOP, date(2026, 12, 1)) == ""
    assert closed_soon(SHOP, date(2026, 12, 12)) == "closed Thu 24 to Sat 26 December"
    assert closed_soon(SHOP, date(2026, 12, 25)) == "closed Fri 25 to Sat 26 December"
    assert closed_soon(SHOP, date(2026, 12, 27)) == ""


@pytest.mark.parametrize("typed", ["", "24", "9:60", "nine", "9-17", "٩", "9:5", "-1"])
def test_what_is_no_time_is_refused_in_words(typed: str) -> None:
    with pytest.raises(NotHoursError, match="not a time"):
        time_of(typed)


def test_times_as_hands_type_them() -> None:
    assert [time_of(typed) for typed in ("9", "9:30", "09.30", "0930", "930", " 17:00 ")] == [
        time(9), time(9, 30), time(9, 30), time(9, 30), time(9, 30), time(17),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["17:00", "9:00"], "9 is not after 17"),
        (["9:00", "9:00"], "9 is not after 9"),
        (["9:00", "13:00", "12:00", "17:00"], "12 is not after 13"),
        (["9:00"], "two times, or four"),
    ],
)
def test_closing_before_opening_is_refused(typed: list[str], words: str) -> None:
    with pytest.raises(NotHoursError, match=words):
        spans_of(typed)


@given(weeks)
def test_a_week_survives_being_kept(hours: dict[str, list[str]]) -> None:
    assert kept(week_of(hours)) == hours


@given(openings, days)
def test_the_next_open_day_is_open_and_no_earlier_one_is(shop: Opening, day: date) -> None:
    found = next_open_day(shop, day)
    assert found is None or (found >= day and open_day(shop, found))
    end = found or day + timedelta(days=400)
    assert not any(open_day(shop, day + timedelta(days=n)) for n in range((end - day).days))


@given(openings, days)
def test_a_day_is_open_or_says_why_not(shop: Opening, day: date) -> None:
    assert open_day(shop, day) is (why_closed(shop, day) == "")
    assert not shop.open_on(day) or open_day(shop, day)


@given(openings, days)
def test_the_next_open_moment_falls_on_the_next_open_day(shop: Opening, day: date) -> None:
    moment = shop.next_open(datetime.combine(day, time(), ZoneInfo("UTC")))
    if shop.known:
        assert (moment.date() if moment else None) == next_open_day(shop, day)


def test_a_shop_that_never_said_its_hours_is_open_but_for_its_closed_days() -> None:
    shop = Opening({}, ZoneInfo("UTC"), (CHRISTMAS,))
    assert open_day(shop, date(2026, 12, 27))
    assert next_open_day(shop, date(2026, 12, 24)) == date(2026, 12, 27)


def test_the_end_of_the_calendar_has_no_next_day() -> None:
    gone = Opening({}, ZoneInfo("UTC"), ((date(9999, 12, 30), date.max, "gone"),))
    assert next_open_day(gone, date(9999, 12, 30)) is None
