"""What a tag and the sentence say. No database."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.board.words import Tape, day_line, day_sentence, first_sentence, shortened, tapes_of, who_line
from jobs.book.said import long_day, number_words, owner_words
from jobs.book.stages import HOLDS, PLACES, Stage

TODAY = date(2026, 11, 25)
plain_words = st.text(st.characters(categories=("L", "Nd"), include_characters=" ,-"), max_size=60)


def day_of(promised: date | None, *, stage: Stage = Stage.BEN, since: int = 1, sureness: str = "likely") -> str:
    line = day_line(stage, promised=promised, sureness=sureness, since=TODAY - timedelta(days=since), today=TODAY)
    return f"{line.words}|{line.short}{'|soon' if line.soon else ''}{'|late' if line.late else ''}|{line.sure}"


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (-1, "1 day past its day|1 day past|late|"),
        (-12, "12 days past its day|12 days past|late|"),
        (0, "Today|25 Nov|soon|likely"),
        (1, "Tomorrow|26 Nov|soon|likely"),
        (2, "Fri 27 Nov|27 Nov|likely"),
        (54, "Mon 18 Jan|18 Jan|likely"),
        (400, "Thu 30 Dec 2027|30 Dec|likely"),
    ],
)
def test_the_day_line_counts_from_today(days: int, said: str) -> None:
    assert day_of(TODAY + timedelta(days=days)) == said


def test_without_a_day_it_says_so() -> None:
    assert day_of(None) == "no day yet|no day|"


@pytest.mark.parametrize(
    ("promised", "since", "said"),
    [
        (-60, 52, "ready 52 days|52 days|"),
        (-1, 1, "ready 1 day|1 day|"),
        (None, 0, "ready today|today|"),
        (1, 3, "Tomorrow|26 Nov|soon|agreed"),
    ],
)
def test_what_is_ready_is_never_late_but_says_how_long_it_waits(promised: int | None, since: int, said: str) -> None:
    day = None if promised is None else TODAY + timedelta(days=promised)
    assert day_of(day, stage=Stage.RDY, since=since) == said


@pytest.mark.parametrize(
    ("name", "kind", "said"),
    [
        ("Imelda Rookstone", {}, "Rookstone"),
        ("Kesterby Vale School District", {"body": True}, "Kesterby Vale"),
        ("Fennimore Quartet Trust", {"body": True}, "Fennimore Quartet"),
        ("Kesterby Vale School District", {"body": True, "asset": "KV-104"}, "Kesterby, KV-104"),
        ("林小雨", {}, "林小雨"),
        ("", {}, "owner not known"),
    ],
)
def test_an_owner_is_named_as_short_as_the_shop_says_it(name: str, kind: dict[str, object], said: str) -> None:
    assert owner_words(name, **{"body": False, "minor": False, **kind}) == said  # type: ignore[arg-type]


@given(st.text(min_size=1, max_size=40), st.booleans(), st.text(max_size=10))
def test_a_minors_name_is_never_said(name: str, body: bool, asset: str) -> None:
    assert owner_words(name, body=body, minor=True, asset=asset) == "a young player"


@given(plain_words, st.integers(8, 40))
def test_shortened_words_fit_and_begin_like_the_words(words: str, limit: int) -> None:
    said = shortened(words, limit)
    assert len(said) <= limit
    assert " ".join(words.split()).startswith(said.rstrip("…"))


def test_words_are_shortened_at_a_clause_before_they_are_cut() -> None:
    assert shortened("new bridge, sound post fitted", 16) == "new bridge"
    assert shortened("seam glued and cleaned all over", 16) == "seam glued"
    assert shortened("retouching the varnish of the back", 16) == "retouching the…"


@pytest.mark.parametrize(
    ("stage", "known", "said"),
    [
        (Stage.QUE, {"who": "Jorin", "work": "post down"}, "Jorin · post down"),
        (Stage.QUE, {"work": "post down"}, "post down"),
        (Stage.QUE, {}, "nobody has it"),
        (Stage.BEN, {"who": "Tobiah", "clock": "Tobiah", "work": "crack"}, "Tobiah · clock runs"),
        (Stage.CHK, {"who": "Jorin"}, "Jorin’s work"),
        (Stage.ANS, {"who": "Jorin", "asked": date(2026, 11, 18), "runs_out": date(2026, 12, 18)}, "asked Wed 18 Nov"),
        (Stage.ANS, {"asked": date(2026, 11, 24)}, "asked yesterday"),
        (Stage.ANS, {"asked": date(2026, 11, 1), "runs_out": date(2026, 11, 30)}, "runs out Mon 30 Nov"),
        (Stage.ANS, {"asked": date(2026, 10, 1), "runs_out": date(2026, 11, 20)}, "ran out Fri 20 Nov"),
    ],
)
def test_who_has_it_and_what_is_next(stage: Stage, known: dict[str, object], said: str) -> None:
    given_words = {"who": "", "work": "", "clock": "", "asked": None, "runs_out": None, **known}
    assert who_line(stage, today=TODAY, **given_words) == said  # type: ignore[arg-type]


def test_tape_says_its_kind_then_its_matter_and_never_twice() -> None:
    assert tapes_of([("parts", "2 days late")]) == (Tape("parts: 2 days late", "parts"),)
    assert tapes_of([("parts", "parts due tomorrow")]) == (Tape("parts due tomorrow", "parts"),)
    assert tapes_of([("quarantine", "")]) == (Tape("quarantine", "apart"),)


@given(st.lists(st.tuples(st.sampled_from(sorted(HOLDS)), plain_words), max_size=7))
def test_two_strips_at_most_and_none_is_forgotten(holds: list[tuple[str, str]]) -> None:
    strips = tapes_of(holds)
    assert len(strips) == min(2, len(holds))
    if len(holds) > 2:
        assert strips[1].words.endswith(f"and {len(holds) - 2} more")


def test_the_sentence_tells_the_day() -> None:
    counts = {"total": 35, "late": 1, "today": 2, "tomorrow": 1, "parts": 2}
    said = day_sentence("Wednesday 25 November, 10:12.", **counts)
    assert said.late == "One job is past its day."
    assert said.rest == "Two are due today and one tomorrow. Two wait for parts."
    calm = day_sentence("", total=3, late=0, today=0, tomorrow=1, parts=1)
    assert (calm.late, calm.rest) == ("", "Nothing is past its day. One is due tomorrow. One waits for parts.")
    assert day_sentence("", total=0, late=0, today=0, tomorrow=0, parts=0).rest == "Nothing hangs here yet."


def test_numbers_and_days_in_words() -> None:
    assert [number_words(count) for count in (0, 1, 12, 13)] == ["no", "one", "twelve", "13"]
    assert long_day(TODAY) == "Wednesday 25 November"


def test_a_cord_says_the_first_sentence_of_a_reason() -> None:
    reason = "The second check is not passed. Someone who did not do the work must make it."
    assert first_sentence(reason) == "The second check is not passed."
    assert first_sentence("") == ""


def test_nothing_on_the_rails_speaks_like_a_program() -> None:
    said = " ".join([*HOLDS.values(), *(place.name for place in PLACES)]).lower()
    for word in ("ticket", "board", "pipeline", "lane", "workflow", "dashboard", "status"):
        assert word not in said
