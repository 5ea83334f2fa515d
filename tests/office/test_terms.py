"""The terms, version by version."""

from datetime import date, timedelta

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.models import Entry
from jobs.book.refusals import Again, Refused, Stale
from jobs.office.paragraphs import Piece, compared, paragraphs, summed
from jobs.office.terms_steps import write_terms
from shop.people.roles import Role
from shop.profile.models import Terms
from shop.profile.reads import terms_on
from tests import factory
from tests.office.rooms import head, hidden

NOW, TODAY = factory.NOW, factory.NOW.date()
texts = st.lists(st.sampled_from(["a b", "c", "d e f", "g"]), max_size=6).map("\n\n".join)


def test_what_became_of_each_paragraph_is_said() -> None:
    pieces = compared("One.\n\nTwo.\n\nThree.", "One.\n\nTwo, better.\n\nThree.\n\nFour.")
    assert pieces == [
        Piece("same", "One."), Piece("changed", "Two, better.", "Two."), Piece("same", "Three."), Piece("added", "Four."),
    ]  # fmt: skip
    assert summed(pieces) == "1 paragraph added, 1 changed."
    assert summed(compared("One.\n\nTwo.", "One.")) == "1 paragraph removed."
    assert summed(compared("One.", " One. \r\n\r\n")) == "Nothing is different."


@given(texts, texts)
def test_both_texts_can_be_told_from_what_is_shown(old: str, new: str) -> None:
    pieces = compared(old, new)
    assert [piece.words for piece in pieces if piece.how != "removed"] == paragraphs(new)
    before = [piece.before or piece.words for piece in pieces if piece.how != "added"]
    assert sorted(before) == sorted(paragraphs(old))


def write(text: str, since: date | None = TODAY, *, after: int = 1, key: str = "terms-key-1") -> Terms:
    by = factory.person(Role.HEAD)
    return write_terms(text, since, after=after, by=by, at=NOW + timedelta(hours=1), key=key)


@pytest.mark.django_db
def test_a_version_is_added_and_the_old_one_stays_word_for_word() -> None:
    factory.shop()
    old = Terms.objects.values().get()
    made = write("Work begins once you have agreed.\r\n\r\nBring your ticket.")
    assert (made.version, made.text) == (2, "Work begins once you have agreed.\n\nBring your ticket.")
    assert Terms.objects.values().get(version=1) == old
    assert Entry.objects.get(action="terms.written").data == {"version": 2, "since": TODAY.isoformat()}
    with pytest.raises(Again):
        write("Work begins once you have agreed.")


@pytest.mark.django_db
def test_terms_to_come_count_from_their_day() -> None:
    factory.shop()
    made = write("Ours.", date(2026, 12, 1))
    assert terms_on(NOW + timedelta(days=1)).version == 1  # type: ignore[union-attr]
    assert terms_on(made.since) == made
    with pytest.raises(Refused, match="begin on Tue 1 December"):
        write("Ours, again.", date(2026, 11, 30), after=2, key="terms-key-2")


@pytest.mark.django_db
def test_what_cannot_be_kept_as_terms() -> None:
    factory.shop()
    for text, since, words in (
        (" \n\n ", TODAY, "are empty"),
        ("x" * 20_001, TODAY, "1 letters too long"),
        ("Work  begins once you have agreed. ", TODAY, "word for word"),
        ("Ours.", TODAY - timedelta(days=1), "today or a day to come"),
        ("Ours.", None, "today or a day to come"),
    ):
        with pytest.raises(Refused, match=words):
            write(text, since)
    with pytest.raises(Stale, match="Terms 1 were written while"):
        write("Ours.", after=0)


@pytest.mark.django_db
def test_the_page_shows_the_difference_before_it_keeps() -> None:
    factory.shop()
    client = head()
    page = client.get("/shop/terms/new/").content.decode()
    sent = {
        "text": "Work begins once you have agreed.\n\nBring your ticket.",
        "since": timezone.localdate().isoformat(),
        "after": hidden(page, "after"),
        "key": hidden(page, "key"),
    }
    looked = client.post("/shop/terms/new/", {**sent, "do": "look"}).content.decode()
    assert "1 paragraph added." in looked
    assert Terms.objects.count() == 1
    assert client.post("/shop/terms/new/", {**sent, "do": "keep"}).status_code == 302
    assert "Bring your ticket" in client.get("/shop/terms/2/").content.decode()
