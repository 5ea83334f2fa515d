"""Rests by the clock: what an operation's words offer, how much is left, when hands may be laid on again."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.bench.rests import RESTS, after, choices, hands_on, left_of, likely_what, rest_of, stretches
from shop.clock import Opening, stretch_words

LONDON = ZoneInfo("Europe/London")
WEEK = Opening({day: ["09:00", "17:00"] for day in ("mon", "tue", "wed", "thu", "fri")}, LONDON)
OPERATIONS = json.loads((Path(__file__).resolve().parents[2] / "fixtures" / "operations.json").read_text())
FIRST, LAST = (datetime(2026, 1, 1), datetime(2027, 12, 31))  # noqa: DTZ001 the strategy adds the zone
moments = st.datetimes(FIRST, LAST, timezones=st.just(UTC))


def at(day: int, hour: int, minute: int = 0, month: int = 11) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=LONDON)


# The shop's own rule, worked by hand in its trade brief (no outside source): waits run on while the shop is closed.
@pytest.mark.parametrize(
    ("clamped", "hands"),
    [
        (at(27, 16), at(30, 9)),  # Friday 16:00 and 48 h: over on Sunday, hands on Monday at opening
        (at(24, 16), at(26, 16)),  # Tuesday 16:00 and 48 h: Thursday 16:00
    ],
)
def test_hands_are_laid_on_again_when_the_wait_is_over_and_the_shop_open(clamped: datetime, hands: datetime) -> None:
    assert hands_on(after(clamped, 48), WEEK) == hands


def test_a_wait_counts_elapsed_hours_across_summer_time() -> None:
    # Europe/London leaves summer time on 25 October 2026 at 02:00 (IANA time zone database)
    assert after(at(24, 16, month=10), 24).astimezone(LONDON) == at(25, 15, month=10)
    assert hands_on(after(at(23, 16, month=10), 72), WEEK) == at(26, 15, month=10)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("glue 24 h, clamped", [("glue", 24)]),
        ("glue 48 h, clamped, then settle 7 d", [("glue", 48), ("settling", 168)]),
        ("varnish 1–3 d per coat, 7–21 d end", [("varnish", 72), ("varnish", 504)]),
        ("1 h drying", [("other", 1)]),
        ("wood 3–10 d in form", [("settling", 240)]),
        ("", []),
        ("as long as it takes", []),
    ],
)
def test_an_operations_words_are_read(words: str, found: list[tuple[str, int]]) -> None:
    assert [(one.what, one.hours) for one in stretches(words)] == found


def test_every_operation_that_rests_offers_its_own_hours() -> None:
    resting = [row["rest_words"] for row in OPERATIONS if row.get("rest_words")]
    assert len(resting) > 40
    for words in resting:
        assert stretches(words), words
        offered = choices([words], at=at(25, 10), opening=WEEK)
        ends = {choice.until for choice in offered}
        assert {after(at(25, 10), one.hours) for one in stretches(words)} <= ends, words


def test_choices_are_shortest_first_and_end_overnight() -> None:
    offered = choices(["glue 24 h, clamped", "settle 7 d"], at=at(27, 16), opening=WEEK)
    assert [choice.words for choice in offered] == ["12 h", "24 h", "48 h", "7 d", "overnight"]
    assert offered[-1].until == at(30, 9)  # Friday evening: the next morning the shop is open
    assert likely_what(["settle 7 d", "glue 24 h"]) == "settling"


def test_without_hours_of_the_shop_nothing_is_offered_overnight() -> None:
    offered = choices([], at=at(27, 16), opening=Opening({}, LONDON))
    assert [choice.code for choice in offered] == ["h12", "h24", "h48"]
    assert hands_on(at(29, 16), Opening({}, LONDON)) == at(29, 16)


@given(moments, st.integers(1, 10**6), st.integers(-(10**6), 10**6))
def test_what_is_left_empties_and_never_looks_over_too_early(begun: datetime, whole: int, later: int) -> None:
    until, now = begun + timedelta(seconds=whole), begun + timedelta(seconds=later)
    left = left_of(begun, until, now)
    assert 0 <= left <= 100
    assert (left == 0) == (now >= until)
    assert left_of(begun, until, now + timedelta(seconds=60)) <= left


@given(st.sampled_from(sorted(RESTS)), moments, st.integers(-5000, 5000))
def test_a_rest_holds_back_exactly_until_its_end(what: str, until: datetime, minutes: int) -> None:
    now = until + timedelta(minutes=minutes)
    rest = rest_of(what, until - timedelta(days=2), until, at=now, zone=LONDON)
    assert rest.over == (now >= until) == (rest.blocks == "") == (rest.left == 0)
    assert ("check" in rest.words) == rest.over


def test_the_words_of_a_rest() -> None:
    today = rest_of("glue", at(24, 15), at(25, 15), at=at(25, 10), zone=LONDON)
    assert (today.words, today.short, today.left) == ("off at 15:00", "15:00", 21)
    assert today.blocks == "the clamps are off, 15:00"
    later = rest_of("varnish", at(25, 9), at(27, 9), at=at(25, 10), zone=LONDON)
    assert (later.words, later.short) == ("dry Fri 27 Nov 09:00", "27 Nov")
    over = rest_of("glue", at(24, 15), at(25, 15), at=at(25, 15), zone=LONDON)
    assert (over.words, over.left) == ("may come off, check", 0)
    unsaid = rest_of("glue", at(24, 15), None, at=at(25, 15), zone=LONDON)
    assert (unsaid.words, unsaid.blocks, unsaid.over) == ("no end said yet", "", False)


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "0 min"),
        (59, "1 min"),
        (3600, "1 h"),
        (19080, "5 h 18 min"),
        (86400, "24 h"),
        (6 * 86400 + 14400, "6 d 4 h"),
    ],
)
def test_a_stretch_in_words(seconds: int, said: str) -> None:
    assert stretch_words(seconds) == said
