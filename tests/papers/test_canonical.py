"""Canonical texts: one way to write, no fractions, and nouns that refuse nonsense."""

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from jobs.papers import canonical, texts
from jobs.papers.canonical import NotCanonicalError
from jobs.papers.frozen import FIRST, faults, frozen, words_sha256
from jobs.papers.money_texts import MoneyLine, PaymentText
from jobs.papers.texts import Condition, Named, ShopHead, Signed, Thing
from tests.papers import samples

PLAIN = some.recursive(
    some.none() | some.booleans() | some.integers(-(2**53) + 1, 2**53 - 1) | some.text(some.characters(codec="utf-8")),
    lambda one: (
        some.lists(one, max_size=4) | some.dictionaries(some.text(some.characters(codec="utf-8")), one, max_size=4)
    ),
)


@given(some.dictionaries(some.text(some.characters(codec="utf-8")), PLAIN, max_size=5))
def test_what_was_frozen_reads_back_the_same_and_freezes_the_same(text: dict[str, Any]) -> None:
    data = canonical.canonical(text)
    assert canonical.read(data) == text
    assert canonical.canonical(canonical.read(data)) == data


@pytest.mark.parametrize("text", [{"a": 1.5}, {"a": [{"b": 0.0}]}, {"a": [1, [2, 3.0]]}])
def test_a_text_with_a_binary_fraction_is_refused_and_says_where(text: Any) -> None:
    with pytest.raises(NotCanonicalError, match=r"text\.a.* binary fraction"):
        canonical.canonical(text)


@pytest.mark.parametrize("text", [{"a": "\ud800"}, {"a": 2**53}])
def test_what_the_form_cannot_hold_is_refused(text: Any) -> None:
    with pytest.raises(NotCanonicalError):
        canonical.canonical(text)


@pytest.mark.parametrize(
    "data", [b"", b"[1]", b'{"b":1,"a":2}', b'{ "a":1}', b'{"a":1}\n', b'{"a":1.0}', b"\xff", b"[" * 9000]
)
def test_bytes_that_are_not_the_one_form_are_refused(data: bytes) -> None:
    with pytest.raises(NotCanonicalError):
        canonical.read(data)


def test_a_lone_half_of_a_letter_from_a_broken_keyboard_becomes_a_replacement_sign() -> None:
    named = texts.to_text(Named(name="Ada\ud83d"))
    assert named["name"] == "Ada�"
    canonical.canonical(named)


def test_the_short_hash_is_sixteen_digits_in_fours() -> None:
    assert canonical.short("0123456789abcdef" * 4) == "0123 4567 89ab cdef"


def test_a_moment_keeps_the_shops_own_hour_and_its_offset() -> None:
    at = datetime(2026, 7, 1, 8, 58, 30, 123456, tzinfo=UTC)
    assert texts.moment(at, timezone(timedelta(hours=2))) == "2026-07-01T10:58:30+02:00"
    with pytest.raises(ValueError, match="zone"):
        texts.moment(at.replace(tzinfo=None), UTC)


def test_nouns_refuse_nonsense() -> None:
    with pytest.raises(ValueError, match="plain decimal"):
        Condition(number=1, term="Dent", extent_mm="3 mm")
    with pytest.raises(ValueError, match="parts make"):
        MoneyLine(words="Strings", net="32.00", tax="2.64", total="34.65")
    with pytest.raises(ValueError, match="plain decimal"):
        PaymentText(on="2026-01-01", how="card", amount="1,000.00")
    with pytest.raises(ValueError, match="kind of item"):
        Thing(name="Harp", kind="Hp")
    with pytest.raises(ValueError, match="page"):
        ShopHead(name="A", page="a5")
    with pytest.raises(ValueError, match="strokes"):
        Signed(role="depositor", name="Ada", at="")
    with pytest.raises(ValueError, match="off the pad"):
        Signed(role="depositor", name="Ada", at="", strokes=(((1001, 0, 0),),))


def test_every_sample_adds_up_and_freezes() -> None:
    for words in (samples.note(), samples.estimate(), samples.invoice(), samples.receipt(), samples.release()):
        held = samples.freeze(words)
        text = canonical.read(held.data)
        assert text["kind"] == words.KIND
        assert faults(text) == []


def test_the_hash_shown_before_signing_is_the_one_in_the_frozen_paper() -> None:
    words = samples.note()
    held = samples.freeze(words, samples.signed())
    text = canonical.read(held.data)
    assert text["words_sha256"] == held.words_sha256 == words_sha256(words)
    assert held.sha256 != held.words_sha256


def test_words_changed_after_signing_no_longer_fit() -> None:
    text = canonical.read(samples.freeze(samples.note(), samples.signed()).data)
    words = text["words"]
    assert isinstance(words, dict)
    words["how"] = "by post"
    assert faults(text) == ["The words no longer fit the hash that was signed."]


def test_the_place_in_the_chain_is_part_of_the_text() -> None:
    words, at = samples.note(), texts.moment(samples.AT, UTC)
    first = frozen(words, number="1", position=1, previous=FIRST, at=at)
    second = frozen(words, number="1", position=1, previous=first.sha256, at=at)
    assert first.sha256 != second.sha256
