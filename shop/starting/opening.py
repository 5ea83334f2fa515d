"""Opens a real shop: its profile and its first person, once."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import available_timezones

from babel.numbers import list_currencies
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from phonenumbers import SUPPORTED_REGIONS

from shop.people.models import Person
from shop.people.roles import Role
from shop.profile.models import Profile
from shop.starting.questions import OPENING, wanting

PIN_LENGTH = range(4, 9)


@dataclass(frozen=True, slots=True)
class Answers:
    """What the first run has to know. An address line ends at a line break or a semicolon."""

    name: str
    address: str
    telephone: str
    email: str
    country: str
    currency: str
    time_zone: str
    person: str
    username: str
    password: str
    pin: str


def answers_in(given: Mapping[str, str]) -> Answers | None:
    """The answers in environment variables, or None when a needed one is wanting."""
    if wanting(OPENING, given):
        return None
    values = {each.variable: given.get(each.variable, "").strip() or each.default for each in OPENING}
    return Answers(
        name=values["SHOP_NAME"],
        address="\n".join(line.strip() for line in values["SHOP_ADDRESS"].replace(";", "\n").splitlines()),
        telephone=values["SHOP_TELEPHONE"],
        email=values["SHOP_EMAIL"],
        country=values["SHOP_COUNTRY"].upper(),
        currency=values["SHOP_CURRENCY"].upper(),
        time_zone=values["SHOP_TIME_ZONE"],
        person=values["SHOP_FIRST_PERSON"],
        username=values["SHOP_FIRST_USERNAME"],
        password=values["SHOP_FIRST_PASSWORD"],
        pin=values["SHOP_FIRST_PIN"],
    )


def people_exist() -> bool:
    """Whether anybody can sign in yet. One query."""
    return Person.objects.exists()


def is_open() -> bool:
    """Whether the shop has its profile and its first person. Two queries."""
    return Profile.objects.exists() and people_exist()


def faults_in(answers: Answers) -> list[str]:
    """What will not do, each as a sentence; empty when all is well."""
    faults: list[str] = []
    if answers.currency not in list_currencies():
        faults.append(f"“{answers.currency}” is not a currency. Use its three letters, such as EUR.")
    if answers.time_zone not in available_timezones():
        faults.append(f"“{answers.time_zone}” is not a time zone. Use a name such as Europe/Lisbon.")
    if answers.country not in SUPPORTED_REGIONS:
        faults.append(f"“{answers.country}” is not a country. Use its two letters, such as PT.")
    if answers.pin and not (answers.pin.isascii() and answers.pin.isdigit() and len(answers.pin) in PIN_LENGTH):
        faults.append("A PIN is four to eight figures.")
    person = _person(answers)
    try:
        validate_password(answers.password, person)
    except ValidationError as error:
        faults += [f"Password: {words}" for words in error.messages]
    for record, left_out in (
        (_profile(answers), ["id", "hours", "currency", "time_zone", "region"]),
        (person, ["password"]),
    ):
        try:
            record.full_clean(exclude=left_out, validate_unique=False, validate_constraints=False)
        except ValidationError as error:
            faults += [f"{name}: {' '.join(words)}" for name, words in error.message_dict.items()]
    return faults


@transaction.atomic
def open_shop(answers: Answers, *, at: datetime) -> bool:
    """Make the profile and the head luthier; False when the shop is open already. A race ends in IntegrityError."""
    if is_open():
        return False
    if not Profile.objects.exists():
        _profile(answers).save(force_insert=True)
    if not people_exist():
        person = _person(answers)
        person.joined_at = at
        person.set_password(answers.password)
        if answers.pin:
            person.set_pin(answers.pin)
        person.save(force_insert=True)
    return True


def _profile(answers: Answers) -> Profile:
    return Profile(
        id=1,
        name=answers.name,
        address=answers.address,
        telephone=answers.telephone,
        email=answers.email,
        currency=answers.currency,
        time_zone=answers.time_zone,
        region=answers.country,
        page="us-letter" if answers.country in {"US", "CA", "MX"} else "a4",
    )


def _person(answers: Answers) -> Person:
    return Person(username=answers.username, name=answers.person, role=Role.HEAD, skill=4, email="", is_superuser=True)
