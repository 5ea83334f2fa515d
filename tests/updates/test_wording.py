"""A shop's own words in its letters: what may stand in them, and that the letter uses them from then on."""

from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.models import Entry
from jobs.book.refusals import Stale
from jobs.book.stages import Stage
from jobs.moves.steps import move
from jobs.office.text_samples import sample
from jobs.updates import letters
from jobs.updates.letters import LINK, About, Ready, Sender
from jobs.updates.models import Message, OwnWords
from jobs.updates.wording import TEXTS, Wording, faults_of, paragraphs_of, subject_of
from jobs.updates.wording_steps import WordFaults, back_to_ours, write_words
from shop.people.roles import Role
from tests import factory

OWNER = About("Imelda Rookstone", "Vn", "4/4", "26-0402")
OWN = Wording("{thing} {number}: come and play it", "{opening}\n\nGood news!\n\n{pay}\n\n{who}")


@pytest.mark.parametrize("code", list(TEXTS))
def test_our_own_words_pass_our_own_rules(code: str) -> None:
    assert faults_of(TEXTS[code], TEXTS[code].ours) == {}


@pytest.mark.parametrize(
    ("wording", "field", "words"),
    [
        (Wording("", OWN.body), "subject", "Write something"),
        (Wording(OWN.subject, "  "), "body", "Write something"),
        (Wording("x" * 121, OWN.body), "subject", "At most 120"),
        (Wording(OWN.subject, OWN.body + "x" * 4000), "body", "At most 4000"),
        (Wording(OWN.subject, OWN.body + "{sum}"), "body", "“{sum}” is no piece of this letter"),
        (Wording(OWN.subject, OWN.body + " {"), "body", "A brace stands alone"),
        (Wording(OWN.subject, "{opening} Come."), "body", "“{pay}” must stand in it: what is to pay"),
        (Wording("one\ntwo", OWN.body), "subject", "one line"),
        (Wording("{__class__}", OWN.body), "subject", "is no piece"),
    ],
)
def test_what_keeps_words_from_being_used_is_said_at_its_field(wording: Wording, field: str, words: str) -> None:
    assert words in faults_of(TEXTS["stage-RDY"], wording)[field]


@given(st.text(max_size=300), st.text(max_size=300), st.text(max_size=40))
def test_whatever_is_typed_is_refused_or_fills_without_a_fault(subject: str, body: str, piece: str) -> None:
    text, wording = TEXTS["fresh-link"], Wording(subject, body)
    if faults_of(text, wording):
        return
    pieces = dict.fromkeys(text.pieces, piece)
    assert "\n" not in subject_of(wording, pieces)
    for paragraph in paragraphs_of(wording, pieces):
        assert paragraph.strip()


def test_a_paragraph_with_nothing_left_to_say_falls_away() -> None:
    sender = Sender("Marrowfen Strings", wordings={"stage-RDY": OWN})
    body = letters.ready(OWNER, sender, Ready(due=Decimal("284.24"))).body
    assert body == (
        "Dear Imelda Rookstone,\n\nYour violin is ready to collect.\n\nGood news!\n\nTo pay when you collect: 284.24.\n\n"
        f"Your page, for you alone, with everything so far:\n{LINK}\n\nMarrowfen Strings\n"
    )


def test_a_name_typed_as_a_piece_stays_a_name() -> None:
    letter = letters.note(About("{pay}", "Vn", "4/4", "26-0402"), Sender("{shop}"), things=["{things}"], linked=False)
    assert "Dear {pay}," in letter.body
    assert "bringing us {things}." in letter.body


@pytest.mark.django_db(transaction=True)
def test_letters_use_the_shops_words_from_then_on_and_what_went_out_stays() -> None:
    factory.shop()
    by, at = factory.person(Role.HEAD), timezone.now()
    first, second = factory.job(Stage.IN, assigned=by), factory.job(Stage.IN, assigned=by)
    move(first.pk, Stage.EXA, by=by, at=at)
    words = Wording("News of {thing} {number}", "It lies under our lamp. {ready}")
    write_words("stage-EXA", words, seen=0, by=by, at=at)
    move(second.pk, Stage.EXA, by=by, at=at)
    before, after = (Message.objects.get(job=job, kind="stage-EXA") for job in (first, second))
    assert "We are looking at it." in before.body
    assert "It lies under our lamp." in after.body
    assert after.subject == f"News of violin {second.number}"
    back_to_ours("stage-EXA", seen=1, by=by, at=at)
    assert OwnWords.objects.count() == 2
    assert [entry.data["ours"] for entry in Entry.objects.filter(action="words.written").order_by("pk")] == [
        False,
        True,
    ]


@pytest.mark.django_db
def test_words_that_frighten_are_kept_from_owners() -> None:
    factory.shop()
    with pytest.raises(WordFaults, match="Instead of “worm”"):
        write_words(
            "stage-EXA",
            Wording("{thing}", "We look for worm. {state}"),
            seen=0,
            by=factory.person(Role.HEAD),
            at=timezone.now(),
        )


@pytest.mark.django_db
def test_two_at_once_and_the_second_is_told() -> None:
    factory.shop()
    by, at = factory.person(Role.HEAD), timezone.now()
    write_words("stage-RDY", OWN, seen=0, by=by, at=at)
    with pytest.raises(Stale, match="meanwhile"):
        write_words("stage-RDY", OWN, seen=0, by=by, at=at)


@pytest.mark.django_db
@pytest.mark.parametrize("code", list(TEXTS))
def test_every_letter_can_be_looked_at(code: str) -> None:
    factory.shop()
    assert sample(code, TEXTS[code].ours).kind == code


@pytest.mark.django_db
def test_the_page_shows_a_look_before_anything_is_kept() -> None:
    factory.shop()
    client = Client()
    client.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    typed = {"subject": OWN.subject, "body": OWN.body, "seen": "0"}
    page = client.post("/shop/letters/stage-RDY/", {**typed, "do": "look"}).content.decode()
    assert "Good news!" in page
    assert "Not kept yet" in page
    assert not OwnWords.objects.exists()
    wrong = client.post("/shop/letters/stage-RDY/", {**typed, "body": "<b>{nothing}</b>", "do": "keep"})
    assert wrong.status_code == 422
    assert "&lt;b&gt;{nothing}" in wrong.content.decode(), "what was typed stays typed"
    assert client.post("/shop/letters/stage-RDY/", {**typed, "do": "keep"}).status_code == 302
    assert client.post("/shop/letters/stage-RDY/", {**typed, "do": "keep"}).status_code == 409
    assert "Your words</b>, version 1" in client.get("/shop/letters/").content.decode()
    assert client.get("/shop/letters/none/").status_code == 404
