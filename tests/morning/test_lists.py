"""What stands on which list, in which order, in which words."""

import re
from collections.abc import Callable
from datetime import date, timedelta
from random import Random
from zoneinfo import ZoneInfo

import pytest
from django.urls import resolve
from hypothesis import given
from hypothesis import strategies as st

from jobs.bench.rests import rest_of
from jobs.book.stages import OPEN_STAGES, Stage
from jobs.morning import benches, lists
from jobs.morning.lists import Known, Line
from tests.factory import NOW

TODAY = date(2026, 11, 25)
days = st.one_of(st.none(), st.integers(-60, 60).map(lambda n: TODAY + timedelta(days=n)))
known = st.builds(
    Known,
    number=st.integers(1, 9999).map(lambda n: f"26-{n:04}"),
    stage=st.sampled_from(OPEN_STAGES),
    item=st.sampled_from(["Violin 4/4", "Cello 3/4"]),
    owner=st.sampled_from(["", "Rookstone", "a young player"]),
    since=st.integers(0, 90).map(lambda n: TODAY - timedelta(days=n)),
    who=st.sampled_from(["", "Jorin"]),
    mine=st.booleans(),
    promised=days,
    worked=st.booleans(),
    sent_back=st.booleans(),
    heard=days,
    told=st.sampled_from(["", "told", "hand", "going", "lost"]),
    told_on=days,
    asked=days,
    runs_out=days,
    holds=st.lists(st.sampled_from([("parts", "endpin"), ("quarantine", "")]), max_size=2).map(tuple),
)
shelves = st.lists(known, max_size=14, unique_by=lambda one: one.number)
EVERY: tuple[Callable[[list[Known]], list[Line]], ...] = (
    lambda jobs: lists.comes(jobs, TODAY),
    lambda jobs: lists.ready(jobs, TODAY),
    lambda jobs: lists.answers(jobs, TODAY),
    lambda jobs: benches.hands(jobs, TODAY),
    lambda jobs: [lists.late_line(one, TODAY) for one in lists.past_day(jobs, TODAY)],
    benches.to_check,
    benches.taped,
    benches.sent_back,
    benches.to_examine,
    benches.nobodys,
    lambda jobs: benches.quarantined(jobs, TODAY),
)


@given(shelves, st.randoms())
def test_a_list_is_the_same_however_the_book_gives_the_jobs(jobs: list[Known], chance: Random) -> None:
    other = list(jobs)
    chance.shuffle(other)
    for each in EVERY:
        assert each(jobs) == each(other)


@given(shelves)
def test_every_line_leads_somewhere_and_says_something(jobs: list[Known]) -> None:
    for each in EVERY:
        for line in each(jobs):
            assert line.words
            assert line.number
            assert resolve(line.to.partition("#")[0]).view_name


@given(shelves)
def test_by_day_is_soonest_first_and_what_has_no_day_last(jobs: list[Known]) -> None:
    hung = [one.promised for one in lists.by_day(jobs)]
    with_day = [day for day in hung if day is not None]
    assert hung == [*sorted(with_day), *[None] * (len(hung) - len(with_day))]


@given(shelves)
def test_a_job_is_past_its_day_or_due_never_both(jobs: list[Known]) -> None:
    late = {one.number for one in lists.past_day(jobs, TODAY)}
    due = {one.number for one in lists.due(jobs, TODAY, TODAY + timedelta(days=3))}
    assert not late & due
    for one in jobs:
        waits = one.promised is not None and one.stage not in {Stage.RDY, Stage.EXP}
        assert (one.number in late) == (waits and one.promised is not None and one.promised < TODAY)


@given(shelves)
def test_nobody_is_asked_to_check_their_own_work(jobs: list[Known]) -> None:
    offered = {line.number for line in benches.to_check(jobs)}
    assert offered == {one.short for one in jobs if one.stage is Stage.CHK and not one.worked}


@given(shelves)
def test_owners_not_told_stand_before_those_who_are(jobs: list[Known]) -> None:
    graves = [line.grave for line in lists.ready(jobs, TODAY)]
    assert graves == sorted(graves, reverse=True)


def one(stage: Stage = Stage.BEN, **more: object) -> Known:
    return Known("26-0417", stage, "Violin 4/4", "Rookstone", TODAY - timedelta(days=3), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("job", "said"),
    [
        (one(promised=TODAY - timedelta(days=1), who="Jorin", heard=date(2026, 11, 23)),
         "1 day past its day; On the bench, Jorin; owner last heard Mon 23 Nov"),
        (one(promised=TODAY), "due today; On the bench, nobody has it; owner has heard nothing"),
        (one(promised=TODAY + timedelta(days=1), heard=TODAY), "due tomorrow; On the bench, nobody has it; owner last heard today"),
        (one(promised=TODAY + timedelta(days=5), heard=TODAY), "due Mon 30 Nov; On the bench, nobody has it; owner last heard today"),
    ],
)  # fmt: skip
def test_a_late_line_says_how_late_where_and_whether_the_owner_knows(job: Known, said: str) -> None:
    assert lists.late_line(job, TODAY).more == said


@pytest.mark.parametrize(
    ("told", "said"),
    [("told", "told Mon 23 Nov"), ("hand", "to be told by hand"), ("going", "letter on its way"),
     ("lost", "letter did not go"), ("", "owner not told")],
)  # fmt: skip
def test_what_is_ready_says_how_long_and_whether_it_was_told(told: str, said: str) -> None:
    (line,) = lists.ready([one(Stage.RDY, told=told, told_on=date(2026, 11, 23))], TODAY)
    assert line.more == f"ready 3 days; {said}"
    assert line.act == ("Open" if told in {"told", "going"} else "Tell")


def test_answers_are_asked_for_before_they_run_out() -> None:
    running = one(Stage.ANS, asked=TODAY - timedelta(days=2), runs_out=TODAY + timedelta(days=7))
    calm = one(Stage.ANS, asked=TODAY - timedelta(days=6), runs_out=TODAY + timedelta(days=24))
    gone = one(Stage.ANS, asked=TODAY - timedelta(days=31), runs_out=TODAY - timedelta(days=1))
    assert [line.more for line in lists.answers([running, calm, gone], TODAY)] == [
        "asked Sun 25 Oct; ran out yesterday",
        "asked Mon 23 Nov; runs out Wed 2 Dec",
    ]


def test_a_rest_on_the_string_is_called_by_what_rests() -> None:
    zone = ZoneInfo("UTC")
    for what, said in (("glue", "Clamps off, 0417"), ("varnish", "Dry, 0417"), ("settling", "Settled, 0417")):
        rest = rest_of(what, NOW, NOW + timedelta(hours=3), at=NOW, zone=zone)
        assert benches.off_words(one(Stage.CUR, rest=rest)) == said
    over = rest_of("glue", NOW - timedelta(hours=3), NOW, at=NOW, zone=zone)
    assert benches.off_words(one(Stage.CUR, rest=over)) == "May come off, 0417"


def test_a_long_list_is_cut_and_counted() -> None:
    lines = [Line(str(n), "/") for n in range(9)]
    made = lists.card("Many", lines)
    assert (len(made.lines), made.count, made.more) == (6, 9, 3)
    assert not re.search("None", str(made))
