"""The fields of somebody who works here: as typed, and as kept."""

import re
from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from jobs.office.changing import Faults
from shop.people.models import Person
from shop.people.naming import MOST, called_by
from shop.people.roles import ROLE_WORDS, Role

SKILLS = {0: "not at the bench", 1: "apprentice", 2: "technician", 3: "luthier", 4: "restorer"}
PERSONAL = ("name", "called", "email")
FIELDS = ("name", "called", "username", "role", "skill", "email", "hours")
_LIMITS = {"name": 120, "called": MOST, "username": 60, "email": 254, "hours": 60}
_USERNAME = re.compile(r"[\w.-]{2,60}")


def in_words(field: str, value: str) -> str:
    """A kept value as a sentence says it."""
    if field == "role":
        return ROLE_WORDS[Role(value)]
    return SKILLS.get(int(value), value) if field == "skill" else value


def read_person(typed: Mapping[str, str], person: Person | None) -> dict[str, str | int]:
    """What was typed, ready to be kept; `person` is whose fields they are, None for somebody new. Raises Faults by field."""
    said = {name: " ".join(typed.get(name, "").split()) for name in FIELDS}
    faults = {name: f"At most {most} letters. Shorten it." for name, most in _LIMITS.items() if len(said[name]) > most}
    others = Person.objects.exclude(pk=person.pk) if person else Person.objects.all()
    if not said["name"]:
        faults["name"] = "Write the name."
    said["email"] = said["email"].lower()
    if said["email"]:
        try:
            validate_email(said["email"])
        except ValidationError:
            faults["email"] = "That is not an e-mail address. Look at it again."
    if not _USERNAME.fullmatch(said["username"]):
        faults["username"] = "Two letters or more, without spaces: it is typed to sign in."
    elif others.filter(username__iexact=said["username"]).exists():
        faults["username"] = f"“{said['username']}” is somebody’s staff name already. Choose another."
    taken = {called.lower(): name for called, name in others.values_list("called", "name")}
    if said["called"].lower() in taken and said["called"]:
        free = called_by(said["name"], set(taken))
        faults["called"] = f"{taken[said['called'].lower()]} is called so already. “{free}” is free."
    if not said["called"]:
        said["called"] = called_by(said["name"] or said["username"], set(taken))
    if said["role"] not in {role.value for role in Role}:
        faults["role"] = "Choose what they do here."
    if said["skill"] not in {str(skill) for skill in SKILLS}:
        faults["skill"] = "Choose how far they have come at the bench."
    if faults:
        raise Faults(faults)
    return {**said, "skill": int(said["skill"])}
