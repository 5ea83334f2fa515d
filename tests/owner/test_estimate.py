"""Reading and answering an estimate by link."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from jobs.book.models import JobParty, Party
from jobs.book.stages import Stage
from jobs.estimates.models import Answer, Estimate
from jobs.estimates.sending import send
from jobs.estimates.steps import add_line, add_option, begin_draft, write_option, write_words
from shop.people.roles import Role
from tests import factory
from tests.owner.conftest import Owner, owner_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db: None) -> Owner:
    factory.shop(telephone="020 7946 0123")
    return owner_of(factory.job(Stage.ANS))


@pytest.fixture
def sent(owner: Owner) -> Estimate:
    by, at = factory.person(Role.HEAD), owner.at
    draft = factory.draft(owner.job, net=500, at=at)
    write_option(draft.options.get(), title="Make it playable", left="The low neck", by=by, at=at)
    b = add_option(draft, title="Restore it fully", by=by, at=at)
    write_option(
        b, title="Restore it fully", gets="Neck set right", recommended=True, contingency=Decimal(120),
        ready_from=at.date() + timedelta(days=20), ready_to=at.date() + timedelta(days=30), by=by, at=at,
    )  # fmt: skip
    add_line(b, words="neck set", net=Decimal(1300), tax_class="labour", by=by, at=at)
    write_words(draft, words="The neck has dropped.", not_included="Strings", because="It keeps.", by=by, at=at)
    return send(draft, by=by, at=at)


def _answer(owner: Owner, sent: Estimate, option: str = "B", **fields: Any) -> Any:
    given = {"estimate": sent.pk, "option": option, "name": "Imelda Rookstone", "key": "press-0001"}
    return owner.post("estimate", **{**given, **fields})


def test_the_owners_page_asks_for_the_answer(owner: Owner, sent: Estimate) -> None:
    text = owner.get("page").content.decode()
    assert "We need your answer" in text
    assert "2 ways to go on" in text


def test_options_stand_side_by_side_with_their_six_rows(owner: Owner, sent: Estimate) -> None:
    text = owner.get("estimate").content.decode()
    for words in (
        "Two ways to go on with your violin", "We would choose B.", "It keeps.", "Make it playable", "500.00",
        "250.00 of it before we begin.", "up to 120.00 more", "Neck set right", "The low neck", "Choose A", "Choose B",
        "None of these", "Ask a question", "Strings",
    ):  # fmt: skip
        assert words in text, words


def test_choosing_shows_the_full_list_and_answers_nothing(owner: Owner, sent: Estimate) -> None:
    text = owner.get("estimate", choose="B").content.decode()
    assert "Do you agree to this?" in text
    assert "Neck set" in text
    assert "1,300.00" in text
    assert "Local law" in text
    assert not Answer.objects.exists()


def test_agreeing_with_a_typed_name_says_what_was_agreed(owner: Owner, sent: Estimate) -> None:
    assert _answer(owner, sent, begin_now="yes").status_code == 302
    made = Answer.objects.get()
    assert made.option is not None
    assert (made.option.letter, made.name, made.how, made.party, made.begin_now) == (
        "B", "Imelda Rookstone", "link", owner.party, True,
    )  # fmt: skip
    text = owner.get("estimate").content.decode()
    assert "What we agreed for your violin" in text
    assert "Version 1, option B, agreed by Imelda Rookstone by link" in text
    assert "Choose" not in text
    assert "What we agreed" in owner.get("page").content.decode()


def test_a_double_press_answers_once(owner: Owner, sent: Estimate) -> None:
    assert [_answer(owner, sent).status_code for _ in range(2)] == [302, 302]
    assert Answer.objects.count() == 1


def test_no_name_is_said_where_it_happened_and_the_rest_stays(owner: Owner, sent: Estimate) -> None:
    answer = _answer(owner, sent, name=" ", begin_now="yes")
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Type your name" in text
    assert "Do you agree to this?" in text
    assert "checked" in text
    assert not Answer.objects.exists()


def test_none_of_these_is_an_answer(owner: Owner, sent: Estimate) -> None:
    assert "None of these?" in owner.get("estimate", choose="none").content.decode()
    assert _answer(owner, sent, "none", name="", words="Too dear for now").status_code == 302
    made = Answer.objects.get()
    assert (made.approved, made.words) == (False, "Too dear for now")
    assert "You decided against the work" in owner.get("estimate").content.decode()


@pytest.mark.parametrize("option", ["", "Z", "AB"])
def test_an_unknown_option_answers_nothing(owner: Owner, sent: Estimate, option: str) -> None:
    answer = _answer(owner, sent, option)
    assert answer.status_code == 422
    assert "Choose one of the options" in answer.content.decode()


@pytest.mark.parametrize("estimate", ["", "abc", "999999", "9" * 40])
def test_an_old_page_is_told_apart(owner: Owner, sent: Estimate, estimate: str) -> None:
    answer = _answer(owner, sent, estimate=estimate)
    assert answer.status_code == 422
    assert "out of date" in answer.content.decode()


def test_a_version_that_was_replaced_meanwhile_cannot_be_agreed_to(owner: Owner, sent: Estimate) -> None:
    newer = begin_draft(owner.job, by=factory.person(Role.HEAD), at=owner.at)
    send(newer, by=factory.person(Role.HEAD), at=owner.at)
    answer = _answer(owner, sent)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "There is a newer estimate." in text
    assert "Two ways to go on with your violin" in text
    assert "Do you agree" not in text
    assert not Answer.objects.exists()


def test_an_estimate_of_another_job_cannot_be_answered_here(owner: Owner, sent: Estimate) -> None:
    other = factory.sent(factory.job(Stage.ANS), at=owner.at)
    assert _answer(owner, other, "A").status_code == 422
    assert not Answer.objects.exists()


def test_one_that_ran_out_can_be_read_but_not_answered(owner: Owner, sent: Estimate) -> None:
    Estimate.objects.filter(pk=sent.pk).update(expires_on=timezone.now().date() - timedelta(days=1))
    text = owner.get("estimate").content.decode()
    assert "It ran out on" in text
    assert "Choose B" not in text
    answer = _answer(owner, sent)
    assert (answer.status_code, "ran out" in answer.content.decode()) == (422, True)


def test_the_payer_reads_it_but_may_not_answer(owner: Owner, sent: Estimate) -> None:
    insurer = factory.party("Fennimore Quartet Trust", body=True)
    JobParty.objects.filter(job=owner.job, role="payer").update(party=insurer)
    payer = owner_of(owner.job, "payer")
    text = payer.get("estimate").content.decode()
    assert "1,300.00" in text
    assert "Choose B" not in text
    assert "Do you agree" not in payer.get("estimate", choose="B").content.decode()
    assert _answer(payer, sent).status_code == 422


def test_a_child_who_holds_a_link_cannot_agree(owner: Owner, sent: Estimate) -> None:
    Party.objects.filter(pk=owner.party.pk).update(minor=True)
    assert "Choose B" not in owner.get("estimate").content.decode()
    assert _answer(owner, sent).status_code == 422
    assert "Imelda" not in owner.get("estimate").content.decode()


def test_a_draft_is_never_shown(owner: Owner) -> None:
    factory.draft(owner.job, net=500, at=owner.at)
    assert "no estimate for you yet" in owner.get("estimate").content.decode()
    assert "500.00" not in owner.get("page").content.decode()


def test_names_in_any_script_are_kept_as_typed(owner: Owner, sent: Estimate) -> None:
    _answer(owner, sent, name="  אילנה   王小明 🎻 ")
    assert Answer.objects.get().name == "אילנה 王小明 🎻"
    assert "by אילנה 王小明 🎻 by link" in owner.get("estimate").content.decode()


def test_what_is_typed_is_shown_as_text_only(owner: Owner, sent: Estimate) -> None:
    _answer(owner, sent, name="<script>alert(1)</script>")
    assert "<script>alert(1)" not in owner.get("estimate").content.decode()
