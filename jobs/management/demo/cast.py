"""The sample shop itself: its profile, its people, its owners. Written once, into an empty book."""

from collections.abc import Mapping
from datetime import datetime, time, timedelta
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db import transaction

from jobs.book.models import Counter, Party
from jobs.book.parties import make_party
from jobs.management.demo.days import Days
from jobs.management.demo.sample import Sample
from jobs.office.rooms import ROOMS
from shop.people.models import Person
from shop.people.roles import Role
from shop.profile.models import Profile, Terms, Walked

OPENED = timedelta(days=400)  # before D: the shop is older than anything in its book


def open_shop(sample: Sample) -> Profile:
    """The shop's name, hours and figures."""
    return Profile.objects.create(pk=1, **sample.shop)


def walk_through(days: Days) -> None:
    """Every room of the shop was confirmed long ago."""
    Walked.objects.bulk_create(Walked(code=room.code, at=_long_ago(days)) for room in ROOMS)


def hire(sample: Sample, days: Days) -> dict[str, Person]:
    """Everyone by their id. One password for all, hashed once: it stands on the screen of whoever starts the sample."""
    password = make_password(sample.password)
    people = {}
    for row in sample.people:
        person = Person(
            username=row["username"],
            name=row["name"],
            role=Role(row["role"]),
            skill=row["skill"],
            hours=row["hours"],
            password=password,
            joined_at=_long_ago(days),
        )
        person.set_pin(row["pin"])
        person.save()
        people[row["id"]] = person
    return people


def know(sample: Sample, days: Days) -> dict[str, Party]:
    """Every owner by id, as taken over from the card index when the book was begun."""
    at = _long_ago(days)
    return {row["id"]: _party(row, sample.shop["region"], days, at=at) for row in sample.owners}


def _party(row: Mapping[str, Any], region: str, days: Days, *, at: datetime) -> Party:
    return make_party(
        name=row["name"],
        by=None,
        at=at,
        email=row.get("email", ""),
        phone=row.get("phone", ""),
        region=region,
        address=row.get("address", ""),
        body=row.get("body", False),
        minor=row.get("minor", False),
        remarks=row.get("remarks", ""),
        tax_exempt_paper=row.get("tax_exempt_paper", ""),
        tax_exempt_until=days.on(row["tax_exempt_days"]) if "tax_exempt_days" in row else None,
    )


def number_from(last: int, days: Days) -> None:
    """The next job of the year is one more than the last of the sample."""
    with transaction.atomic():
        Counter.objects.update_or_create(series=f"job-{days.day:%Y}", defaults={"last": last})
        # the terms were agreed before anybody signed them
        Terms.objects.filter(version=1).update(since=_long_ago(days))


def _long_ago(days: Days) -> datetime:
    return datetime.combine(days.day - OPENED, time(9), days.zone)
