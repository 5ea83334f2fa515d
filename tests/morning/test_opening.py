"""When the shop is open: its week, closed days, midday, summer time."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.morning.hours import Knot, open_words, string
from shop.clock import Opening

ZONE = ZoneInfo("Europe/London")
HOURS = {
    "mon": ["09:00", "12:30", "13:15", "17:00"],
    "tue": ["09:00", "17:00"],
    "wed": ["09:00", "17:00"],
    "thu": ["09:00", "17:00"],
    "fri": ["09:00", "17:00"],
    "sat": ["10:00", "13:00"],
}
SHUT = Opening(HOURS, ZONE, ((date(2026, 12, 25), date(2026, 12, 28), "holiday"),))
FIRST, LAST = (datetime(2026, 1, 1), datetime(2027, 6, 30))  # noqa: DTZ001 the strategy adds the zone
moments = st.datetimes(FIRST, LAST, timezones=st.just(UTC))


def at(day: int, hour: int, minute: int = 0, month: int = 11) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=ZONE)


@pytest.mark.parametrize(
    ("now", "again"),
    [
        (at(25, 10), at(25, 10)),  # open now
        (at(25, 8), at(25, 9)),
        (at(25, 17), at(26, 9)),  # the closing minute is closed
        (at(28, 14), at(30, 9)),  # Saturday afternoon to Monday
        (at(30, 12, 45), at(30, 13, 15)),  # midday
        (at(24, 18, month=12), at(29, 9, month=12)),  # over the closed days
    ],
)
def test_the_next_open_moment(now: datetime, again: datetime) -> None:
    assert SHUT.next_open(now) == again


@given(moments)
def test_the_next_open_moment_is_open_and_nothing_before_it_is(now: datetime) -> None:
    again = SHUT.next_open(now)
    assert again is not None
    assert again >= now
    assert any(opens <= again < closes for opens, closes in SHUT.open_on(again.astimezone(ZONE).date()))
    between = [now + (again - now) * part / 7 for part in range(7)] if again > now else []
    for moment in between:
        assert not any(opens <= moment < closes for opens, closes in SHUT.open_on(moment.astimezone(ZONE).date()))


def test_a_shop_that_never_opens_never_opens() -> None:
    assert Opening({}, ZONE).next_open(at(25, 10)) is None
    assert not Opening({"mon": []}, ZONE).known


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (at(25, 10), "The shop is open until 17:00."),
        (at(25, 8), "The shop opens at 09:00."),
        (at(25, 18), "The shop has closed for today. Open again Thu 26 Nov 09:00."),
        (at(29, 10), "The shop is closed on Sundays. Open again Mon 30 Nov 09:00."),
        (at(26, 10, month=12), "The shop is closed today: holiday. Open again Tue 29 Dec 09:00."),
    ],
)
def test_whether_the_shop_is_open_in_words(now: datetime, said: str) -> None:
    assert open_words(SHUT, now) == said


kinds = st.sampled_from(["over", "visit", "clock", "rest"])
knots = st.lists(
    st.builds(
        Knot,
        st.integers(0, 24 * 60 - 1).map(lambda m: at(25, 0) + timedelta(minutes=m)),
        kinds,
        st.text("ab", max_size=3),
    ),
    max_size=12,
)


@given(knots, st.integers(0, 24 * 60 - 1))
def test_everything_hangs_once_and_in_order_of_time(given_knots: list[Knot], minute: int) -> None:
    now = at(25, 0) + timedelta(minutes=minute)
    hung = string(given_knots, day=SHUT.open_on(date(2026, 11, 25)), now=now)
    assert [one.at for one in hung] == sorted(one.at for one in hung)
    assert sorted(map(id, given_knots)) == sorted(
        id(one) for one in hung if one.kind not in {"hour", "open", "close", "now"}
    )
    place = next(n for n, one in enumerate(hung) if one.kind == "now")
    assert all(one.at <= now for one in hung[:place])
    assert all(one.at >= now for one in hung[place + 1 :])
    assert [one.kind for one in hung].count("open") == [one.kind for one in hung].count("close") == 1


def test_a_day_in_two_stretches_has_both_on_the_string() -> None:
    hung = string([], day=SHUT.open_on(date(2026, 11, 30)), now=at(30, 8))
    edges = [one.clock for one in hung if one.kind in {"open", "close"}]
    assert edges == ["09:00", "12:30", "13:15", "17:00"]
