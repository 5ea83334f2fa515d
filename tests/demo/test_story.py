"""The sample shop before it is told: days, free hours, the line of events, strokes, painted pictures. No database."""

from collections.abc import Hashable
from datetime import UTC, datetime, timedelta
from io import BytesIO
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from jobs.management.demo.days import Days, Hands
from jobs.management.demo.orders import moments, orders_for
from jobs.management.demo.pictures import Order, PaintingError, painted
from jobs.management.demo.sample import sample, weekdays
from jobs.management.demo.strokes import signature
from jobs.management.demo.timeline import line_up
from jobs.papers.signatures import read_strokes
from jobs.papers.texts import PAD_HEIGHT, PAD_WIDTH
from jobs.photos.looking import look

ZONE = ZoneInfo("Europe/London")
WEDNESDAY = datetime(2026, 11, 25, 10, 12, tzinfo=UTC)


def hands(now: datetime = WEDNESDAY) -> Hands:
    return Hands(Days.around(now, ZONE), {"S1": weekdays("Mon to Fri"), "S6": weekdays("Mon, Wed, Fri")})


def test_working_days_are_read_from_words() -> None:
    assert weekdays("Tue to Thu") == {1, 2, 3}
    assert weekdays("Mon, Wed, Fri") == {0, 2, 4}


def test_work_is_cut_by_the_midday_rest_and_put_beside_what_is_there() -> None:
    free = hands()
    first = free.take("S1", -1, 4.0)
    assert [(f"{start:%H:%M}", f"{stop:%H:%M}") for start, stop in first] == [("09:00", "12:35"), ("13:15", "13:40")]
    second = free.take("S1", -1, 1.0)
    assert [(f"{start:%H:%M}", f"{stop:%H:%M}") for start, stop in second] == [("13:40", "14:40")]


def test_work_on_a_day_off_or_beyond_the_day_is_refused() -> None:
    with pytest.raises(ValueError, match="does not work on day -1"):
        hands().take("S6", -1, 0.5)
    with pytest.raises(ValueError, match=r"has no .* h free"):
        hands().take("S1", -1, 9.0)


@pytest.mark.parametrize(
    ("now", "at_work"),
    [
        (datetime(2026, 11, 25, 10, 12, tzinfo=UTC), True),
        (datetime(2026, 11, 25, 9, 10, tzinfo=UTC), False),  # not yet 18 minutes
        (datetime(2026, 11, 25, 12, 50, tzinfo=UTC), False),  # midday
        (datetime(2026, 11, 25, 21, 0, tzinfo=UTC), False),
        (datetime(2026, 11, 27, 10, 12, tzinfo=UTC), False),  # D was on Wednesday
    ],
)
def test_a_clock_runs_only_where_somebody_would_be_working(now: datetime, at_work: bool) -> None:
    days = Days.around(now, ZONE)
    assert hands(now).at_work("S1", now, 18) is at_work
    running = [event for event in line_up(sample(), days) if event.at == now - timedelta(minutes=18)]
    assert bool(running) is at_work


@given(st.integers(0, 6 * 366 * 24 * 60))
def test_the_days_fit_together_around_any_moment_and_nothing_is_yet_to_come(minutes: int) -> None:
    now = datetime(2024, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    days = Days.around(now, ZONE)
    events = line_up(sample(), days)
    assert days.day.weekday() == 2
    assert all(before.at <= after.at for before, after in pairwise(events))
    assert events[-1].at < now


@given(st.text(min_size=1, max_size=40), st.integers(0, 50))
def test_a_signature_is_one_wherever_the_name_comes_from(name: str, seed: int) -> None:
    strokes = signature(name, seed)
    if not strokes:
        assert not [word for word in name.split() if word.strip(".,")]
        return
    points = [point for stroke in strokes for point in stroke]
    assert all(0 <= x <= PAD_WIDTH and 0 <= y <= PAD_HEIGHT for x, y, _ in points)
    times = [clock for _, _, clock in points]
    assert times == sorted(times)
    assert signature(name, seed) == strokes


@pytest.mark.parametrize("name", [row["name"] for row in (*sample().people, *sample().owners)])
def test_everybody_of_the_sample_signs_so_that_a_note_takes_it(name: str) -> None:
    assert read_strokes(signature(name, 1))


def test_the_owner_of_the_long_restoration_sees_eleven_pictures() -> None:
    rows = [row for row in sample().days if row.job == 1]
    views = {view for row in rows if row.what == "show" for view in row.more if view != "bench"}
    piece = next(piece for visit in sample().visits for piece in visit.pieces if piece.job == 1)
    assert views <= set(piece.views)
    assert len(views) + sum(row.what == "picture" for row in rows) == 11


def test_each_photograph_is_ordered_once_with_its_time() -> None:
    days = Days.around(WEDNESDAY, ZONE)
    events = line_up(sample(), days)
    whole = orders_for(events, sample(), ZONE, how_many="all")
    assert 150 <= len(whole) <= 200
    assert len(orders_for(events, sample(), ZONE, how_many="few")) == 37
    assert orders_for(events, sample(), ZONE, how_many="none") == {}
    visit = next(one for one in sample().visits if one.pieces[0].job == 2)
    taken = moments(visit, days.at(visit.day, visit.at), 16)
    assert f"{taken[visit.pieces[0].views.index('treble-side')].astimezone(ZONE):%H:%M}" == "10:42"


def test_painters_paint_what_was_ordered_and_the_camera_s_time_is_in_it() -> None:
    taken = "2026-11-06T10:42:00+00:00"
    names: tuple[Hashable, ...] = ("front-full", "treble-side")
    orders = {name: Order(str(name), "Vn", 7, taken, width=320, height=240) for name in names}
    with painted(orders) as pictures:
        assert "front-full" in pictures
        for name in ("treble-side", "front-full"):
            data = pictures.take(name)
            seen = look(data, "photo.jpg", max_pixels=10**6, zone=ZONE)
            assert seen.taken_at == datetime.fromisoformat(taken)
            with Image.open(BytesIO(data)) as picture:
                assert picture.size == (320, 240)


def test_a_painter_that_cannot_paint_is_told_of() -> None:
    with (
        painted({"one": Order("no-such-view", "Vn", 7, "2026-11-06T10:42:00+00:00", width=64, height=48)}) as pictures,
        pytest.raises(PaintingError, match="before picture 0 was painted"),
    ):
        pictures.take("one")
