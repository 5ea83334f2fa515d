"""A way in for whoever has no password, or lost it: an address that works once, shown by the head luthier or sent by mail.

The address carries Django's reset token: signed, good for some days, dead as soon as the password changes or somebody
signs in by it. Nothing to steal is kept.
"""

import logging
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.core.mail import EmailMessage
from django.db.models import F, Q
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_decode, urlsafe_base64_encode

from shop.people.models import Person
from shop.profile.reads import profile

log = logging.getLogger(__name__)
ASK_EVERY = timedelta(minutes=10)
DAYS = settings.PASSWORD_RESET_TIMEOUT // 86400


def path_for(person: Person) -> str:
    """The path of a way in."""
    number = urlsafe_base64_encode(force_bytes(person.pk))
    return reverse("office:welcome", args=[number, default_token_generator.make_token(person)])


def person_at(number: str, token: str) -> Person | None:
    """Whose way in this is, None when it is nobody's or no longer good. One query."""
    try:
        pk = int(urlsafe_base64_decode(number).decode())
    except (ValueError, UnicodeDecodeError):
        return None
    if not 0 < pk < 2**63:
        return None
    person = Person.objects.filter(pk=pk, is_active=True).first()
    return person if person is not None and default_token_generator.check_token(person, token) else None


def ask(said: str, *, at: datetime) -> None:
    """Have a way in sent to whoever has this staff name or e-mail, at most every ten minutes.

    Says nothing about it: whoever asks learns neither who works here nor where the letter goes.
    """
    said = said.strip()[:254]
    if not said:
        return
    wanted = Q(username__iexact=said) | Q(email__iexact=said)
    rested = Q(link_asked_at=None) | Q(link_asked_at__lte=at - ASK_EVERY)
    Person.objects.filter(wanted, rested, is_active=True).exclude(email="").update(link_asked_at=at)


def sweep(*, at: datetime) -> int:
    """Send every way in that was asked for. Claimed by a conditional UPDATE; a letter that cannot go is tried again.

    Returns how many went out.
    """
    waiting = Q(link_asked_at__isnull=False) & (Q(link_sent_at=None) | Q(link_sent_at__lt=F("link_asked_at")))
    sent = 0
    for person in Person.objects.filter(waiting, is_active=True, link_asked_at__gte=at - timedelta(hours=1)):
        before = person.link_sent_at
        if not Person.objects.filter(waiting, pk=person.pk).update(link_sent_at=at):
            continue
        try:
            _letter(person).send()
            sent += 1
        except OSError as fault:
            log.warning("The way in for person %s is not sent yet: %s", person.pk, fault)
            Person.objects.filter(pk=person.pk, link_sent_at=at).update(link_sent_at=before)
    return sent


def _letter(person: Person) -> EmailMessage:
    shop = profile()
    new = not person.has_usable_password()
    address = f"{settings.PUBLIC_ADDRESS}{path_for(person)}"
    begin = (
        f"You have been written down to work at {shop.name}, with the staff name “{person.username}”."
        if new
        else f"Somebody, we hope you, asked for a new password at {shop.name} for the staff name “{person.username}”."
    )
    rest = (
        "Choose your password here:"
        if new
        else "Choose it here. If it was not you, leave this letter alone: nothing changes."
    )
    words = f"{person.short},\n\n{begin}\n\n{rest}\n\n{address}\n\nThe address works once, within {DAYS} days.\n\n{shop.name}\n"
    return EmailMessage(f"{'Your way in to' if new else 'A new password at'} {shop.name}", words, to=[person.email])
