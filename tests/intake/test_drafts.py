"""A draft and its changes: pure."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.kinds import ITEM_KINDS
from jobs.book.refusals import Refused
from jobs.intake import drafts, edits
from jobs.intake.drafts import Accepted, Draft, Found, Piece

words = st.text(max_size=30)
found = st.builds(Found, key=words, term=words, words=words, where=words, extent=words, severity=words)
accepted = st.builds(Accepted, person=st.integers(1, 99), name=words, words=words, value=words, at=words)
pieces = st.builds(
    Piece,
    key=words,
    number=words,
    item=st.none() | st.integers(1, 99),
    kind=st.sampled_from(sorted(ITEM_KINDS)),
    size=words,
    said=words,
    left=st.lists(words, max_size=3).map(tuple),
    found=st.lists(found, max_size=3).map(tuple),
    why_no_view=st.lists(st.tuples(words, words), max_size=3).map(tuple),
    accepted=st.none() | accepted,
    nothing_found=st.booleans(),
)
some_drafts = st.builds(
    Draft,
    depositor=st.none() | st.integers(1, 99),
    owner=st.none() | st.integers(1, 99),
    pieces=st.lists(pieces, max_size=3).map(tuple),
)


@given(some_drafts)
def test_a_draft_comes_back_from_its_json_as_it_was(draft: Draft) -> None:
    assert drafts.from_json(drafts.to_json(draft)) == draft


def test_json_of_an_older_or_newer_program_is_read_as_far_as_it_is_known() -> None:
    assert drafts.from_json({}) == Draft()
    assert drafts.from_json({"depositor": 3, "moon": 1, "pieces": [{"key": "a", "sun": 2}]}) == Draft(
        depositor=3, pieces=(Piece(key="a"),)
    )


def test_the_owner_is_whoever_brings_it_in_and_pays_unless_said_otherwise() -> None:
    draft = Draft(depositor=1)
    assert [draft.role(role) for role in drafts.ROLES] == [1, 1, None, 1, 1, 1]
    draft = edits.with_role(draft, "owner", 2)
    assert [draft.role(role) for role in drafts.ROLES] == [1, 2, None, 2, 2, 2]
    assert draft.parties == {1, 2}
    assert edits.with_role(draft, "owner", None).role("payer") == 1


def test_an_unknown_part_is_refused() -> None:
    with pytest.raises(Refused):
        edits.with_role(Draft(), "neighbour", 1)


def test_a_bow_is_rehaired_unless_said_otherwise_and_an_instrument_is_not_examined_inside() -> None:
    assert drafts.new_piece("a", "Bw").job_kind == "rehair"
    assert drafts.new_piece("a", "Vc").not_examined == "inside; under the fingerboard"
    with pytest.raises(KeyError):
        drafts.new_piece("a", "XX")


def test_the_same_piece_twice_is_one_and_a_known_item_stands_in_the_list_once() -> None:
    one = drafts.new_piece("a", "Vn", item=5)
    draft = edits.with_piece(edits.with_piece(Draft(), one), one)
    assert draft.pieces == (one,)
    with pytest.raises(Refused, match="in the list already"):
        edits.with_piece(draft, drafts.new_piece("b", "Vn", item=5))


def test_a_note_holds_only_so_many_items_and_lines() -> None:
    draft = Draft(pieces=tuple(drafts.new_piece(f"k{n}", "Bw") for n in range(edits.MOST_PIECES)))
    with pytest.raises(Refused, match="at most"):
        edits.with_piece(draft, drafts.new_piece("one more", "Bw"))
    full = replace(draft.pieces[0], found=tuple(Found(key=f"l{n}") for n in range(edits.MOST_LINES)))
    with pytest.raises(Refused, match="at most"):
        edits.with_line(Draft(pieces=(full,)), full.key, "one more", {})


def test_only_the_fields_of_a_step_are_written() -> None:
    draft = Draft(pieces=(drafts.new_piece("a", "Vn", number="26-0401"),))
    typed = {"said-a": "It buzzes.", "number-a": "26-9999", "value-a": "5", "said-b": "no such piece"}
    changed = edits.with_fields(draft, "said", typed)
    assert changed.piece("a").said == "It buzzes."
    assert changed.piece("a").number == "26-0401"
    assert changed.piece("a").value == ""
    assert edits.with_fields(draft, "no such step", typed) == draft


def test_an_accessory_is_left_or_taken_home_or_not_there_but_never_both() -> None:
    draft = Draft(pieces=(drafts.new_piece("a", "Vn"),))
    left = edits.with_fields(draft, "items", {"with-a-0": "left", "more_left-a": "hat, , gloves "})
    assert left.piece("a").accessories == (("case", True), ("hat", True), ("gloves", True))
    home = edits.with_fields(left, "items", {"with-a-0": "home", "more_left-a": ""})
    assert home.piece("a").accessories == (("case", False),)
    assert edits.with_fields(home, "items", {"with-a-0": ""}).piece("a").accessories == ()


def test_a_reason_for_a_view_is_kept_until_it_is_emptied() -> None:
    draft = Draft(pieces=(drafts.new_piece("a", "Vn"),))
    said = edits.with_fields(draft, "photos", {"why-a-label": "none", "why-b-label": "other piece"})
    assert said.piece("a").reasons == {"label": "none"}
    assert edits.with_fields(said, "photos", {"why-a-label": " "}).piece("a").reasons == {}


def test_a_line_is_one_line_however_often_it_is_sent_and_takes_back_that_nothing_was_found() -> None:
    draft = Draft(pieces=(replace(drafts.new_piece("a", "Vn"), nothing_found=True),))
    once = edits.with_line(draft, "a", "l1", {"term": "scratch"})
    twice = edits.with_line(once, "a", "l1", {"term": "scratch", "extent": "33", "key": "l2"})
    assert [(line.key, line.term, line.extent) for line in twice.piece("a").found] == [("l1", "scratch", "33")]
    assert not twice.piece("a").nothing_found
    assert edits.without_line(twice, "a", "l1").piece("a").found == ()


def test_a_changed_value_is_no_longer_accepted() -> None:
    yes = Accepted(person=1, name="Ottilie Brackenshaw", words="strong-room", value="61000", at="")
    draft = Draft(pieces=(replace(drafts.new_piece("a", "Vn"), value="61000", accepted=yes),))
    assert edits.with_fields(draft, "value", {"value-a": "61000"}).piece("a").accepted == yes
    assert edits.with_fields(draft, "value", {"value-a": "62000"}).piece("a").accepted is None


@given(st.text())
def test_typed_text_loses_only_what_no_database_can_hold(text: str) -> None:
    kept = drafts.tidy(text)
    assert kept.encode("utf-8").decode("utf-8") == kept
    assert "\x00" not in kept
    if text.isascii() and "\x00" not in text:
        assert kept == text


@pytest.mark.parametrize("name", ["נועה בן־דוד", "李小龍", "🎻 Ottó", "A\u0301"])
def test_names_of_any_script_stay_as_they_are(name: str) -> None:
    assert drafts.tidy(name) == name


def test_lone_surrogates_are_replaced() -> None:
    assert drafts.tidy("a\ud800b") == "a\ufffdb"
