"""Template words: money, days, moments, press keys, who may."""

import secrets
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template
from django.utils import timezone

from shop import clock
from shop.money import written
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Profile
from shop.profile.reads import opening_words

register = template.Library()


@register.filter
def money(amount: Decimal | None, profile: Profile | None = None) -> str:
    """An amount in the shop's minor unit: {{ line.net|money:shop }}."""
    return "" if amount is None else written(amount, profile.places if profile else 2)


@register.filter
def signed(amount: Decimal | None, profile: Profile | None = None) -> str:
    """The same with a true minus sign: {{ row.amount|signed:shop }}."""
    return money(amount, profile).replace("-", "−")


@register.filter
def unsigned(amount: Decimal | None, profile: Profile | None = None) -> str:
    """The same without its sign, where words say which way it goes."""
    return "" if amount is None else money(abs(amount), profile)


@register.filter
def day(value: date | str | None) -> str:
    """“Fri 27 Nov”, from a day or from one as papers keep it, "2026-11-27"."""
    if not value:
        return ""
    on = date.fromisoformat(value) if isinstance(value, str) else value
    return clock.day_words(on, today=timezone.localdate())


@register.filter
def moment(value: datetime | None, profile: Profile) -> str:
    """“10:12”, “yesterday 10:12” or “Fri 27 Nov 10:12” in the shop's zone: {{ at|moment:shop }}."""
    return "" if value is None else clock.moment_words(value, profile.zone, now=timezone.now())


@register.filter
def open_words(profile: Profile | None) -> str:
    """“Mon to Fri 9 to 17, closed Thu 24 to Sat 26 December”: {{ shop|open_words }}. One query."""
    return opening_words(profile, clock.local(timezone.now(), profile.zone).date()) if profile else ""


@register.filter
def may(person: Any, act: str) -> bool:
    """{% if user|may:"MOVE" %}: whether this person's role may do an act."""
    return isinstance(person, Person) and person.may(Act[act])


@register.simple_tag
def press_key() -> str:
    """A fresh key for one press of one button."""
    return secrets.token_urlsafe(18)
