"""Fills a throw-away shop with jobs for measuring."""

from datetime import datetime, timedelta
from decimal import Decimal
from random import Random

from django.db import transaction
from django.utils import timezone

from jobs.bench.models import BenchNote, WorkSpell
from jobs.book.models import Hold, Item, Job, JobParty, Party, Visit
from jobs.book.stages import OPEN_STAGES, Stage
from jobs.custody.models import Location, Sighting
from jobs.estimates.models import Answer, Estimate, Line, Option
from jobs.tags.models import Tag
from shop.people.models import Person
from shop.people.roles import Role
from shop.profile.models import Profile, Terms

SURE = ("firm", "likely", "shaky", "")
AGREED = (Stage.QUE, Stage.BEN, Stage.CUR, Stage.SET, Stage.CHK, Stage.RDY)


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


def add_jobs(count: int, *, closed: bool = False, only: Stage | None = None) -> list[Job]:
    """Add jobs over all stages with owners, tapes, tags, places, estimates and work; or as many that have gone home.

    With `only` they all hang there, and without tape.
    """
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
                kind="repair",
                stage=Stage.HOME if closed else only or OPEN_STAGES[n % len(OPEN_STAGES)],
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
            Hold(job=job, kind="parts", words="strings due", laid_at=now)
            for n, job in enumerate(jobs)
            if n % 7 == 0 and not only
        )
        Tag.objects.bulk_create(Tag(item=items[n], code=f"M{start + n:07}", at=now) for n in range(count))
        Sighting.objects.bulk_create(
            Sighting(item=items[n], location=place, at=now, how="intake") for n in range(count)
        )
        _agree([job for job in jobs if job.stage in AGREED or closed], head, now)
    return jobs


def _agree(jobs: list[Job], head: Person, now: datetime) -> None:
    """An estimate of two lines that its owner agreed to, and where work has begun, some of it and a note."""
    estimates = Estimate.objects.bulk_create(
        Estimate(job=job, version=1, state="answered", made_at=now, made_by=head, sent_at=now) for job in jobs
    )
    options = Option.objects.bulk_create(Option(estimate=one, letter="A", title="As proposed") for one in estimates)
    lines = Line.objects.bulk_create(
        Line(option=option, position=n, words=words, hours=Decimal(1), rate=Decimal(78), net=Decimal(78))
        for option in options
        for n, words in enumerate(("Fit a new bridge", "Set the post"), 1)
    )
    Answer.objects.bulk_create(
        Answer(estimate=one, option=options[n], approved=True, how="desk", name="The owner", at=now)
        for n, one in enumerate(estimates)
    )
    begun = [(job, lines[2 * n]) for n, job in enumerate(jobs) if job.stage != Stage.QUE]
    ended = now - timedelta(hours=1)
    WorkSpell.objects.bulk_create(
        WorkSpell(job=job, person=head, line=line, started_at=ended - timedelta(hours=1), stopped_at=ended)
        for job, line in begun
    )
    BenchNote.objects.bulk_create(BenchNote(job=job, words="The foot fits.", at=ended, by=head) for job, _ in begun)
