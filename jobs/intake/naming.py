"""Writing a party into the book from a draft, without doubles."""

from datetime import datetime
from functools import partial

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from jobs.book.models import Party
from jobs.book.parties import make_party, phone_e164, same_party
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press
from jobs.intake.edits import with_role
from jobs.intake.models import Draft
from jobs.intake.steps import save
from shop.people.models import Person
from shop.profile.reads import profile


def name_party(
    row: Draft,
    *,
    role: str,
    name: str,
    phone: str,
    email: str,
    address: str,
    body: bool,
    minor: bool,
    seen: int,
    by: Person,
    at: datetime,
    key: str,
) -> Party:
    """Write someone down and give them a part in the visit.

    When the telephone or e-mail is another's already, it is refused with who has it as the refusal's second argument;
    the same name just takes the one in the book. Raises Again for a second press.
    """
    name = " ".join(name.split())
    if not name:
        raise Refused("Write a name first.")
    if len(name) > 160:
        raise Refused("The name has more than 160 letters. Shorten it.")
    email = email.strip().lower()
    if len(email) > 254:
        raise Refused("The e-mail address has more than 254 letters. Look at it again, or leave it empty.")
    if email:
        try:
            validate_email(email)
        except ValidationError as fault:
            raise Refused(f"“{email}” is not an e-mail address. Look at it again, or leave it empty.") from fault
    number = phone_e164(phone, profile().region)
    with transaction.atomic():
        pressed = press(key, "party", at=at)
        party = same_party(email=email, phone=number) or make_party(
            name=name, by=by, at=at, email=email, phone=number, address=address.strip(), body=body, minor=minor
        )
        if party.name.casefold() != name.casefold():
            which = "e-mail" if email and party.email.casefold() == email else "telephone number"
            raise Refused(
                f"This {which} is in the book already, as {party.name}’s. Choose them below, or look at it again.",
                party,
            )
        save(row, partial(with_role, role=role, party=party.pk), seen=seen, by=by, at=at)
        keep(pressed, party=party.pk)
    return party
