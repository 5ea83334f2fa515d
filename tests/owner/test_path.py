"""Step line, sentences and the scale of days (pure)."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.stages import HOLDS, Stage
from jobs.owner.path import STEPS, Situation, day_of, sentences, step_line, step_words
from jobs.owner.scale import LEFT, RIGHT, scale

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize("stage", list(Stage))
def test_the_line_is_done_then_now_then_to_come(stage: Stage) -> None:
    states = [step.state for step in step_line(stage)]
    assert [step.name for step in step_line(stage)] == list(STEPS)
    assert states == sorted(states, key=["done", "now", ""].index)
    assert states.count("now") <= 1


def test_the_line_never_goes_back_along_the_rails() -> None:
    done = [sum(step.state == "done" for step in step_line(stage)) for stage in Stage]
    assert done == sorted(done)


def test_a_step_is_said_in_words() -> None:
    assert step_words(Stage.CUR) == "Step 4 of 6, resting"
    assert step_words(Stage.EXP) == "Not begun yet"
    assert step_words(Stage.HOME) == "All six steps are done"


@given(
    st.builds(
        Situation,
        stage=st.sampled_from(list(Stage)),
        closed_as=st.sampled_from(["", "home", "lost", "refused"]),
        holds=st.lists(st.sampled_from(sorted(HOLDS)), max_size=3).map(tuple),
        answerable=st.booleans(),
        ran_out=st.booleans(),
        declined=st.booleans(),
        deposit_due=st.sampled_from(["", "250.00"]),
        free_until=st.sampled_from(["", "Sun 24 January"]),
    )
)
def test_every_situation_has_two_sentences_that_stay_outside_the_shop(found: Situation) -> None:
    state, then = sentences(found)
    assert state.endswith(".")
    assert then.endswith(".")
    for inside in ("dispute", "quarantine", "lost", "permit:"):
        assert inside not in f"{state} {then}".lower()


@pytest.mark.parametrize(
    ("found", "state"),
    [
        (Situation(Stage.ANS, answerable=True), "We wait for your answer."),
        (Situation(Stage.ANS), "It waits for an answer."),
        (Situation(Stage.ANS, deposit_due="250.00"), "You have agreed. Thank you."),
        (Situation(Stage.ANS, declined=True), "You decided against the work."),
        (Situation(Stage.ANS, ran_out=True), "Our estimate has run out."),
        (Situation(Stage.RDY, closed_as="lost"), "This job is closed."),
        (Situation(Stage.RDY, holds=("parts",)), "It is ready to collect."),
    ],
)
def test_the_sentence_fits_what_is_to_be_done(found: Situation, state: str) -> None:
    assert sentences(found)[0] == state


def test_a_wait_for_a_part_is_said() -> None:
    assert sentences(Situation(Stage.QUE, holds=("parts", "dispute")))[1].startswith("We are waiting for a part.")


def test_a_promised_day_is_shown_until_it_has_passed() -> None:
    assert day_of(TODAY, TODAY, Stage.BEN) == "range"
    assert day_of(TODAY - timedelta(days=1), TODAY, Stage.BEN) == "late"
    assert day_of(TODAY, TODAY, Stage.RDY) == ""
    assert day_of(None, TODAY, Stage.BEN) == ""


days = st.dates(date(2026, 11, 1), date(2028, 12, 31))
spans = st.lists(st.tuples(st.none() | days, st.none() | days), min_size=1, max_size=3)


@given(spans)
def test_marks_and_bars_stay_on_the_drawing_and_apart(found: list[tuple[date | None, date | None]]) -> None:
    drawn = scale(found, today=TODAY)
    if drawn is None:
        assert not any(first for first, _ in found)
        return
    assert len(drawn.bars) == len(found)
    for bar, (first, _) in zip(drawn.bars, found, strict=True):
        assert (bar is None) == (first is None)
        if bar is not None:
            assert LEFT <= bar.start < bar.end <= RIGHT + 1
    places = [mark.x for mark in drawn.marks]
    assert all(LEFT <= x <= RIGHT for x in places)
    assert all(later - sooner >= 30 for sooner, later in pairwise(places))


def test_all_options_share_one_scale() -> None:
    drawn = scale(
        [(date(2026, 12, 1), date(2026, 12, 5)), (date(2027, 3, 1), date(2027, 4, 1)), (None, None)], today=TODAY
    )
    assert drawn is not None
    near, far, none = drawn.bars
    assert near is not None
    assert far is not None
    assert none is None
    assert near.end < far.start
    assert [mark.words for mark in drawn.marks] == ["Dec", "Jan", "Feb", "Mar", "Apr"]
