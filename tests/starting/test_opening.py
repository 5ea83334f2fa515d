"""A real shop is opened once, from answers that will do."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from shop.people.models import Person
from shop.people.pins import PinBackend
from shop.people.roles import Role
from shop.profile.models import Profile
from shop.starting import opening, questions
from shop.starting.opening import Answers

AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
GIVEN = {
    "SHOP_NAME": "Elderwick Strings",
    "SHOP_ADDRESS": "1 Mill Lane; Elderwick",
    "SHOP_TELEPHONE": "",
    "SHOP_COUNTRY": "pt",
    "SHOP_CURRENCY": "eur",
    "SHOP_TIME_ZONE": "Europe/Lisbon",
    "SHOP_FIRST_PERSON": "Wilmot Sandgrove",
    "SHOP_FIRST_USERNAME": "wilmot",
    "SHOP_FIRST_PASSWORD": "spruce and maple",
    "SHOP_FIRST_PIN": "4711",
}


def answers(**changes: str) -> Answers:
    found = opening.answers_in(GIVEN)
    assert found is not None
    return replace(found, **changes)


@pytest.mark.django_db
def test_the_shop_is_opened_with_its_first_person_and_not_a_second_time() -> None:
    assert opening.faults_in(answers()) == []
    assert opening.open_shop(answers(), at=AT)
    profile = Profile.objects.get()
    assert (profile.name, profile.address) == ("Elderwick Strings", "1 Mill Lane\nElderwick")
    assert (profile.currency, profile.time_zone, profile.region) == ("EUR", "Europe/Lisbon", "PT")
    head = Person.objects.get()
    assert (head.username, head.role, head.joined_at) == ("wilmot", Role.HEAD, AT)
    assert head.check_password("spruce and maple")
    assert head.check_pin("4711")

    assert not opening.open_shop(answers(name="Another", username="another"), at=AT)
    assert Profile.objects.get().name == "Elderwick Strings"
    assert Person.objects.count() == 1


@pytest.mark.django_db
def test_without_a_pin_the_kiosk_stays_shut_for_the_first_person() -> None:
    opening.open_shop(answers(pin=""), at=AT)
    assert not Person.objects.get().check_pin("")
    assert PinBackend().authenticate(None, username="wilmot", pin="") is None


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("currency", "EURO", "“EURO” is not a currency"),
        ("time_zone", "Lisbon", "“Lisbon” is not a time zone"),
        ("country", "XX", "“XX” is not a country"),
        ("pin", "12a4", "A PIN is four to eight figures"),
        ("pin", "123", "A PIN is four to eight figures"),
        ("password", "short", "Password:"),
        ("password", "1234567890", "Password:"),
        ("email", "not an address", "email:"),
        ("name", "x" * 121, "name:"),
    ],
)
def test_an_answer_that_will_not_do_is_said(name: str, value: str, words: str) -> None:
    faults = opening.faults_in(answers(**{name: value}))
    assert [fault for fault in faults if fault.startswith(words)], faults


@pytest.mark.parametrize("absent", ["SHOP_NAME", "SHOP_ADDRESS", "SHOP_FIRST_USERNAME", "SHOP_FIRST_PASSWORD"])
def test_a_needed_answer_that_is_wanting_is_named(absent: str) -> None:
    given = {**GIVEN, absent: ""}
    assert opening.answers_in(given) is None
    assert [question.variable for question in questions.wanting(questions.OPENING, given)] == [absent]


def test_questions_offer_what_is_known_insist_on_what_is_needed_and_hide_secrets() -> None:
    asked: list[str] = []
    typed = iter(["", "Elderwick Strings", "1 Mill Lane", "", "", "", "NOK", "", "Wilmot Sandgrove", "wilmot"])
    secrets = iter(["spruce and maple", "not the same", "spruce and maple", "spruce and maple", ""])

    def read(prompt: str) -> str:
        asked.append(prompt)
        return next(typed)

    found = questions.ask(
        questions.OPENING, {"SHOP_TIME_ZONE": "Europe/Oslo"}, read=read, read_secret=lambda prompt: next(secrets)
    )
    assert asked[0] == asked[1] == "Name of the shop: "
    assert "Time zone [Europe/Oslo]: " in asked
    assert not [prompt for prompt in asked if "Password" in prompt]
    assert found["SHOP_TIME_ZONE"] == "Europe/Oslo"
    assert found["SHOP_CURRENCY"] == "NOK"
    assert found["SHOP_FIRST_PASSWORD"] == "spruce and maple"
    assert found["SHOP_FIRST_PIN"] == ""
