"""Fills a throw-away shop with jobs for measuring."""

from datetime import timedelta
from decimal import Decimal
from random import Random

from django.db import transaction
from django.utils import timezone

from jobs.book.models import Hold, Item, Job, JobParty, Party, Visit
from jobs.book.stages import OPEN_STAGES, Stage
from jobs.custody.models import Location, Sighting
from jobs.tags.models import Tag
from shop.people.models import Person
from shop.people.roles import Role
from shop.profile.models import Profile, Terms

SURE = ("firm", "likely", "shaky", "")


def make_shop() -> Person:
    """Profile, places and a head luthier, who may open everything."""
    Profile.objects.get_or_create(
        pk=1, defaults={"name": "Measured Strings", "address": "1 Ruler Row\nYardley", "currency": "EUR"}
    )
    Terms.objects.get_or_create(version=1, defaults={"text": "Work begins once agreed.", "since": timezone.now()})
    for number in range(1, 33):
        Location.objects.get_or_create(name=f"R{number}", defaults={"room": "bench room"})
    head = Person.objects.filter(username="measure").first()
    if head is None:
        head = Person.objects.create_superuser("measure", None, name="Measure Person", role=Role.HEAD)
    return head


def add_jobs(count: int, *, closed: bool = False) -> list[Job]:
    """Add jobs over all stages with owners, tapes, tags and places; or as many that have gone home."""
    chance, now = Random(count), timezone.now()
    head = make_shop()
    start = Job.objects.count()
    place = Location.objects.first()
    with transaction.atomic():
        parties = Party.objects.bulk_create(
            Party(name=f"Owner {start + n}", email=f"o{start + n}@example.org", made_at=now) for n in range(count)
        )
        items = Item.objects.bulk_create(
            Item(kind="Vn", size="4/4", title="Violin 4/4", owner=party, made_at=now) for party in parties
        )
        visits = Visit.objects.bulk_create(
            Visit(depositor=party, received_by=head, at=now, terms_version=1, unsigned_reason="left at the door")
            for party in parties
        )
        jobs = Job.objects.bulk_create(
            Job(
                number=f"M{start + n:07}",
                item=items[n],
                visit=visits[n],
                kind="internal",
                stage=Stage.HOME if closed else OPEN_STAGES[n % len(OPEN_STAGES)],
                closed_at=now if closed else None,
                closed_as="home" if closed else "",
                assigned=head,
                work="set-up check",
                promised=now.date() + timedelta(days=chance.randrange(-3, 60)) if n % 4 else None,
                sureness=SURE[n % 3] if n % 4 else "",
                value_stated=Decimal(1000),
                opened_at=now - timedelta(days=chance.randrange(1, 90)),
                stage_since=now - timedelta(days=1),
            )
            for n in range(count)
        )
        JobParty.objects.bulk_create(
            JobParty(job=job, party=parties[n], role=role) for n, job in enumerate(jobs) for role in ("owner", "payer")
        )
        Hold.objects.bulk_create(
            Hold(job=job, kind="parts", words="strings due", laid_at=now) for n, job in enumerate(jobs) if n % 7 == 0
        )
        Tag.objects.bulk_create(Tag(item=items[n], code=f"M{start + n:07}", at=now) for n in range(count))
        Sighting.objects.bulk_create(
            Sighting(item=items[n], location=place, at=now, how="intake") for n in range(count)
        )
    return jobs
