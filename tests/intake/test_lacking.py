"""Each step says the one thing that stops the note."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from jobs.intake import drafts
from jobs.intake.drafts import Accepted, Draft, Found, Piece
from jobs.intake.lacking import Seen, View, above_cover, amount_of, at_step, millimetres_of, missing, views_missing
from jobs.intake.words import STEPS
from shop.money import NotMoneyError

FRONT, LABEL = View(code="front-full", words="Front"), View(code="label", words="Label")
WHOLE = replace(
    drafts.new_piece("a", "Vn", number="26-0401"),
    size="4/4",
    said="It buzzes.",
    tension="slack",
    nothing_found=True,
    value_answer="not stated",
)
SEEN = Seen(
    needed={"a": (FRONT, LABEL)}, taken={"a": frozenset({"front-full", "label"})}, terms_version=1, limit=Decimal(25000)
)


def lacks(piece: Piece, seen: Seen = SEEN, **known: Any) -> list[tuple[str, str]]:
    return [(lack.step, lack.words) for lack in missing(Draft(depositor=1, pieces=(piece,), **known), seen)]


def test_a_whole_draft_lacks_nothing() -> None:
    assert lacks(WHOLE) == []


def test_an_empty_draft_lacks_who_and_what() -> None:
    assert [lack.step for lack in missing(Draft(), SEEN)] == ["who", "items"]


def test_someone_under_age_does_not_sign() -> None:
    found = missing(Draft(depositor=1, pieces=(WHOLE,)), replace(SEEN, minors=frozenset({1})))
    assert found[0].step == "who"
    assert "grown-up" in found[0].words


@pytest.mark.parametrize(
    ("changes", "step", "words"),
    [
        ({"kind": "Ot", "title": ""}, "items", "Say what the other item is."),
        ({"marks": "x" * 161}, "items", "1 letters too long"),
        ({"more_left": "x" * 121}, "items", "more than 120 letters"),
        ({"said": ""}, "said", "what the owner says"),
        ({"tension": ""}, "said", "how the strings"),
        ({"job_kind": "miracle"}, "said", "what kind of job"),
        ({"agreed_net": "45"}, "said", "what work the agreed price is for"),
        ({"agreed_words": "rehair"}, "said", "Write the agreed price"),
        ({"agreed_words": "rehair", "agreed_net": "lots"}, "said", "“lots” is not an amount."),
        ({"nothing_found": False}, "condition", "or say that nothing was found"),
        ({"value_answer": ""}, "value", "Ask what the"),
        ({"value_answer": "stated", "value": "", "basis": "a guess"}, "value", "is not an amount"),
        ({"value_answer": "stated", "value": "2400"}, "value", "where the value comes from"),
        ({"value_answer": "stated", "value": "61000", "basis": "appraisal"}, "value", "head luthier must accept"),
    ],
)
def test_each_step_says_what_stops_it(changes: dict[str, Any], step: str, words: str) -> None:
    found = lacks(replace(WHOLE, **changes))
    assert [one[0] for one in found] == [step]
    assert words in found[0][1]


def test_a_view_is_taken_or_has_a_reason() -> None:
    seen = replace(SEEN, taken={"a": frozenset({"front-full"})})
    assert lacks(WHOLE, seen) == [("photos", "Violin 4/4, “Label”: not taken. Take it, or say why not.")]
    assert [view.code for view in views_missing(WHOLE, seen)] == ["label"]
    assert lacks(replace(WHOLE, why_no_view=(("label", "none inside"),)), seen) == []


def test_a_line_needs_a_word_a_severity_and_a_close_up_or_a_reason() -> None:
    line = Found(key="l")
    found = [words for _, words in lacks(replace(WHOLE, found=(line,)))]
    assert found == [
        "Line 1: say what is found.",
        "Line 1: say how bad it is.",
        "Line 1: take a close-up, or say why there is none.",
    ]
    said = replace(line, term="scratch", severity="unknown", extent="33 mm")
    assert lacks(replace(WHOLE, found=(said,)), replace(SEEN, close_ups=frozenset({"l"}))) == []
    assert lacks(replace(WHOLE, found=(replace(said, no_photo="only heard"),))) == []
    assert "not" in lacks(replace(WHOLE, found=(replace(said, extent="a lot"),)))[0][1]


def test_a_value_above_the_cover_is_taken_once_the_head_luthier_accepted_it() -> None:
    dear = replace(WHOLE, value_answer="stated", value="25,000.01", basis="appraisal")
    yes = Accepted(person=1, name="Ottilie Brackenshaw", words="strong-room", value="25,000.01", at="")
    assert above_cover(dear, Decimal(25000))
    assert not above_cover(replace(dear, value="25000"), Decimal(25000))
    assert lacks(replace(dear, accepted=yes)) == []
    assert lacks(dear, replace(SEEN, limit=None)) == []


def test_a_shop_without_terms_cannot_sign() -> None:
    assert lacks(WHOLE, replace(SEEN, terms_version=None))[0][0] == "sign"


def test_lacks_come_in_the_order_of_the_steps() -> None:
    bare = drafts.new_piece("a", "Vn")
    found = missing(Draft(pieces=(bare, replace(bare, key="b"))), replace(SEEN, taken={}))
    order = [STEPS.index(lack.step) for lack in found]
    assert order == sorted(order)
    assert {lack.piece for lack in at_step(found, "photos", "a")} == {"a"}


def test_a_bow_is_not_asked_for_the_state_of_its_strings() -> None:
    assert lacks(replace(WHOLE, kind="Bw", tension="")) == []


@pytest.mark.parametrize(
    ("typed", "amount"), [("2400", "2400"), (" 2,400.50 ", "2400.50"), ("2 400", "2400"), ("0", "0")]
)
def test_an_amount_is_read_as_people_write_it(typed: str, amount: str) -> None:
    assert amount_of(typed) == Decimal(amount)


@pytest.mark.parametrize("typed", ["", "-1", "1e9", "NaN", "Infinity", "two", "٢٤٠٠", "1_000", "9" * 30])
def test_what_is_no_amount_is_refused(typed: str) -> None:
    with pytest.raises(NotMoneyError):
        amount_of(typed)


@pytest.mark.parametrize(("typed", "length"), [("", None), ("33", "33"), ("2.55 mm", "2.6"), ("2,5", "2.5")])
def test_a_length_is_in_millimetres_to_a_tenth(typed: str, length: str | None) -> None:
    assert millimetres_of(typed) == (None if length is None else Decimal(length))


@pytest.mark.parametrize("typed", ["-1", "1e3", "33 cm", "10000"])
def test_what_is_no_length_is_refused(typed: str) -> None:
    with pytest.raises(NotMoneyError):
        millimetres_of(typed)
