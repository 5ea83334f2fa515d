"""Order on a cord, crowding, folding, and the few words beside it. No database."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.board.columns import (
    HOOKS,
    LINES,
    Column,
    Hung,
    crowd,
    hang_all,
    hang_key,
    landing_key,
    spans,
    tag_of,
    the_day,
)
from jobs.book.stages import OPEN_STAGES, PLACES, Stage

TODAY = date(2026, 11, 25)
days = st.integers(-80, 200).map(lambda n: TODAY + timedelta(days=n))
_number = st.integers(1, 9999).map(lambda n: f"26-{n:04}")
hung_jobs = st.lists(
    st.builds(
        Hung,
        number=_number,
        stage=st.sampled_from(OPEN_STAGES),
        item=st.just("Violin 4/4"),
        silhouette=st.just("violin"),
        since=st.integers(0, 90).map(lambda n: TODAY - timedelta(days=n)),
        promised=st.none() | days,
        holds=st.sampled_from([(), (("parts", ""),)]),
    ),
    max_size=60,
    unique_by=lambda one: one.number,
)


def hung(number: str, stage: Stage = Stage.BEN, *, promised: int | None = None, since: int = 1, **more: object) -> Hung:
    day = None if promised is None else TODAY + timedelta(days=promised)
    known = {"item": "Violin 4/4", "silhouette": "violin", "promised": day, **more}
    return Hung(number=f"26-{number}", stage=stage, since=TODAY - timedelta(days=since), **known)  # type: ignore[arg-type]


def cord(jobs: list[Hung], stage: Stage = Stage.BEN, **how: object) -> Column:
    columns = hang_all(jobs, today=TODAY, **how)  # type: ignore[arg-type]
    return next(column for column in columns if column.place.code is stage)


def order(jobs: list[Hung], stage: Stage = Stage.BEN) -> list[str]:
    return [tag.short for tag in cord(jobs, stage).tags]


def test_past_its_day_hangs_first_then_the_soonest_then_what_has_no_day() -> None:
    jobs = [hung("1", promised=6), hung("2"), hung("3", promised=-1), hung("4", promised=1), hung("5", since=9)]
    assert order(jobs) == ["3", "4", "1", "5", "2"]


def test_in_ready_the_longest_ready_hangs_first_and_a_day_agreed_comes_after() -> None:
    jobs = [
        hung("1", Stage.RDY, promised=-1, since=1),
        hung("2", Stage.RDY, promised=1, since=60),
        hung("3", Stage.RDY, promised=-52, since=52),
    ]
    assert order(jobs, Stage.RDY) == ["3", "1", "2"]


@given(hung_jobs)
def test_every_job_hangs_once_or_is_counted_and_no_one_is_lost(jobs: list[Hung]) -> None:
    columns = hang_all(jobs, today=TODAY)
    assert [column.place for column in columns] == list(PLACES)
    assert sum(column.count for column in columns) == len(jobs)
    for column in columns:
        assert len(column.tags) + column.more == column.count
        assert [tag.key for tag in column.tags] == sorted(tag.key for tag in column.tags)


@given(hung_jobs, st.sampled_from(OPEN_STAGES))
def test_one_cord_opened_alone_shows_all_its_tags_in_full(jobs: list[Hung], alone: Stage) -> None:
    column = cord(jobs, alone, alone=alone)
    assert len(column.tags) == column.count
    assert (column.slim, column.more, column.current) == (False, 0, True)


@pytest.mark.parametrize(
    ("count", "slim", "shown"),
    [(0, False, 0), (6, False, 6), (7, True, 7), (12, True, 12), (13, True, 12), (15, True, 12)],
)
def test_six_hang_full_more_are_slim_and_beyond_twelve_are_counted(count: int, slim: bool, shown: int) -> None:
    assert crowd(count) == (slim, shown)


@pytest.mark.parametrize(("count", "slim", "shown"), [(7, False, 7), (8, True, 8), (14, True, 14), (17, True, 14)])
def test_folded_seven_hooks_hold_seven_full_or_fourteen_slim(count: int, slim: bool, shown: int) -> None:
    assert crowd(count, span=HOOKS) == (slim, shown)


@given(st.lists(st.integers(0, 50), min_size=1, max_size=3))
def test_a_folded_lines_hooks_are_all_given_out_at_least_one_each(counts: list[int]) -> None:
    shares = spans(counts)
    assert sum(shares) == HOOKS
    assert min(shares) >= 1
    for here, share in zip(counts, shares, strict=True):  # nobody with less to hang has more hooks
        assert all(other <= share or there >= here for there, other in zip(counts, shares, strict=True))


@pytest.mark.parametrize(
    ("counts", "shares"), [((3, 2, 2), (3, 2, 2)), ((4, 3), (4, 3)), ((1, 5), (1, 6)), ((6,), (7,))]
)
def test_hooks_go_where_the_tags_are(counts: tuple[int, ...], shares: tuple[int, ...]) -> None:
    assert spans(counts) == shares


def test_the_six_lines_hold_every_stage_once_in_order() -> None:
    assert [stage for line in LINES for stage in line] == list(OPEN_STAGES)


@given(hung_jobs, st.sampled_from(OPEN_STAGES))
def test_a_tag_lands_where_it_will_hang(jobs: list[Hung], to: Stage) -> None:
    for one in jobs:
        after = Hung(one.number, to, one.item, one.silhouette, since=TODAY, promised=one.promised)
        assert landing_key(one, to, TODAY) == hang_key(after, TODAY) == tag_of(after, TODAY).key


@pytest.mark.parametrize(
    ("stage", "jobs", "said"),
    [
        (Stage.BEN, [], "no one waits here"),
        (Stage.CHK, [hung("0415", Stage.CHK, promised=-1)], "one past its day"),
        (Stage.BEN, [hung("0406", clock="Tobiah")], "0406: clock runs"),
        (Stage.BEN, [hung("1", clock="Tobiah"), hung("2", clock="Jorin")], "two clocks run"),
        (Stage.ANS, [hung("1", Stage.ANS, since=70)], "longest: 70 days"),
        (Stage.RDY, [hung("1", Stage.RDY, since=52, promised=-52)], "longest: 52 days"),
        (Stage.RDY, [hung("1", Stage.RDY, since=0)], ""),
        (Stage.SET, [hung("1", Stage.SET, promised=1)], "one for tomorrow"),
        (Stage.QUE, [hung("1", Stage.QUE, promised=0)], "one for today"),
        (Stage.QUE, [hung("1", Stage.QUE, holds=(("parts", ""),)), hung("2", Stage.QUE)], "one waits for parts"),
        (Stage.EXP, [hung("1", Stage.EXP, promised=5), hung("2", Stage.EXP, promised=3)], "first: Sat 28 Nov"),
        (Stage.IN, [hung("1", Stage.IN)], "no day yet"),
    ],
)
def test_a_few_words_beside_the_cord(stage: Stage, jobs: list[Hung], said: str) -> None:
    assert cord(jobs, stage).word == said


def test_an_empty_cord_is_bare_and_narrow() -> None:
    column = cord([])
    assert column.marks.split()[0] == "w0"
    assert cord([hung("1"), hung("2")]).marks.split()[0] == "w1"
    assert cord([hung("1"), hung("2"), hung("3")]).marks.split()[0] == "w2"


def test_a_phone_begins_with_a_cord_that_has_something_on_it() -> None:
    columns = hang_all([hung("1", Stage.CUR)], today=TODAY, opened=(Stage.QUE, Stage.BEN, Stage.CUR, Stage.SET))
    assert [column.place.code for column in columns if column.current] == [Stage.CUR]
    chosen = hang_all([], today=TODAY, current=Stage.RDY)
    assert [column.place.code for column in chosen if column.current] == [Stage.RDY]


def test_the_day_counts_what_is_late_and_due_but_not_what_is_ready() -> None:
    jobs = [
        hung("1", promised=-3),
        hung("2", promised=0),
        hung("3", promised=1, holds=(("parts", ""),)),
        hung("4", Stage.RDY, promised=-9),
        hung("5", Stage.RDY, promised=1),
    ]
    said = the_day(jobs, today=TODAY, when="")
    assert (said.late, said.rest) == (
        "One job is past its day.",
        "One is due today and one tomorrow. One waits for parts.",
    )
