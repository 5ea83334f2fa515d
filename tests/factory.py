"""A small cast and rows for tests, made directly. Add what a test needs; keep it plain."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

from jobs.book.models import Item, Job, JobParty, Party, Visit
from jobs.book.stages import Stage
from jobs.catalogue.models import Operation, PriceList, Rate
from jobs.custody.models import Location, Sighting
from jobs.estimates.models import Answer, Estimate, Line, Option
from jobs.estimates.sending import send
from jobs.estimates.steps import add_line, begin_draft, write_words
from jobs.tags.models import Tag
from shop.people.models import Person
from shop.people.roles import Role
from shop.profile.models import Profile, Terms
from shop.profile.steps import begin_taxes

NOW = datetime(2026, 11, 25, 10, 12, tzinfo=UTC)
PASSWORD = "soft-cord-on-varnish"
_n = count(1)


def shop(**fields: Any) -> Profile:
    """The profile row with the demo shop's figures, terms 1 and two tax classes."""
    defaults: dict[str, Any] = {
        "name": "Marrowfen Strings Workshop",
        "address": "3 Tannery Yard\nOstlemere",
        "telephone": "",
        "currency": "EUR",
        "time_zone": "UTC",
        "hours_words": "Mon to Fri 9 to 17, Sat 10 to 13",
        "cover_limit": Decimal(25000),
    }
    profile, _ = Profile.objects.update_or_create(id=1, defaults={**defaults, **fields})
    Terms.objects.get_or_create(version=1, defaults={"text": "Work begins once you have agreed.", "since": NOW})
    begin_taxes([("labour", "labour", Decimal(0)), ("goods", "goods", Decimal("8.25"))])
    return profile


CAST = {
    Role.HEAD: ("ottilie", "Ottilie Brackenshaw"),
    Role.LUTHIER: ("tobiah", "Tobiah Wrenfield"),
    Role.RESTORER: ("samphire", "Samphire Lindqvarn"),
    Role.TECHNICIAN: ("jorin", "Jorin Pellwick"),
    Role.DESK: ("maris", "Maris Quillby"),
    Role.APPRENTICE: ("elowen", "Elowen Tarnhask"),
    Role.BOOKS: ("books", "Bookkeeper Person"),
    Role.BOW: ("bows", "Bow Person"),
    Role.OUTSIDE: ("outside", "Outside Person"),
}


def person(role: Role = Role.DESK, **fields: Any) -> Person:
    """One of the cast by role, with PASSWORD and PIN 2580."""
    username, name = CAST[role]
    found = Person.objects.filter(username=username).first()
    if found is not None and not fields:
        return found
    made = Person(username=fields.pop("username", username), name=fields.pop("name", name), role=role, **fields)
    made.set_password(PASSWORD)
    made.set_pin("2580")
    made.save()
    return made


def party(name: str = "Imelda Rookstone", **fields: Any) -> Party:
    """A party with an e-mail of its own."""
    fields.setdefault("email", f"owner{next(_n)}@example.org")
    return Party.objects.create(name=name, made_at=NOW, **fields)


def item(owner: Party | None = None, *, kind: str = "Vn", size: str = "4/4", **fields: Any) -> Item:
    """A violin 4/4 unless said otherwise."""
    fields.setdefault("title", "Violin 4/4")
    return Item.objects.create(kind=kind, size=size, owner=owner, made_at=NOW, **fields)


def location(name: str = "R2-6") -> Location:
    """A hook."""
    return Location.objects.get_or_create(name=name, defaults={"room": "bench room"})[0]


def job(stage: Stage = Stage.EXP, *, owner: Party | None = None, ready: bool = True, **fields: Any) -> Job:
    """A job hanging at a stage, with owner roles; with `ready` also visit, tag and place, as after intake."""
    owner = owner or party()
    thing = fields.pop("item", None) or item(owner)
    visit = None
    if ready:
        visit = Visit.objects.create(
            depositor=owner, received_by=person(Role.DESK), at=NOW, terms_version=1, unsigned_reason="left at the door"
        )
        Tag.objects.get_or_create(item=thing, dead_at=None, defaults={"code": f"7K2M{next(_n):04}", "at": NOW})
        Sighting.objects.create(item=thing, location=location(), at=NOW, how="intake")
    number = fields.pop("number", f"26-{next(_n):04}")
    made = Job.objects.create(
        number=number,
        item=thing,
        visit=visit,
        stage=stage,
        opened_at=fields.pop("opened_at", NOW - timedelta(days=3)),
        stage_since=fields.pop("stage_since", NOW - timedelta(days=1)),
        **fields,
    )
    JobParty.objects.bulk_create(
        JobParty(job=made, party=owner, role=role) for role in ("owner", "depositor", "payer", "approver", "collector")
    )
    return made


def approved(job: Job, *words: str) -> list[Line]:
    """An answered estimate whose option A, with these lines of one hour each, the owner chose."""
    version = job.estimates.count() + 1
    estimate = Estimate.objects.create(
        job=job, version=version, state="answered", made_at=NOW, made_by=person(Role.LUTHIER), sent_at=NOW
    )
    option = Option.objects.create(estimate=estimate, letter="A", title="As proposed")
    lines = [
        Line.objects.create(option=option, position=n, words=each, hours=Decimal(1), rate=Decimal(78), net=Decimal(78))
        for n, each in enumerate(words, 1)
    ]
    Answer.objects.create(estimate=estimate, option=option, approved=True, how="desk", name="Imelda Rookstone", at=NOW)
    return lines


def prices() -> dict[str, Operation]:
    """The demo shop's rates per hour since 2020, and three operations by code."""
    listed, _ = PriceList.objects.get_or_create(since=date(2020, 1, 1))
    for skill, words, per_hour in (
        (1, "apprentice", 40),
        (2, "technician", 62),
        (3, "luthier", 78),
        (4, "restorer", 95),
    ):
        Rate.objects.get_or_create(price_list=listed, skill=skill, defaults={"words": words, "per_hour": per_hour})
    rows = (
        ("SP1", "new soundpost", "Vn Va Vc Db", "0.7", "1", "2", 3),
        ("BR1", "new bridge", "Vn Va", "1.5", "2", "3", 3),
        ("BW1", "rehair", "Bw", "0.6", "0.9", "1.3", 2),
    )
    for position, (code, words, kinds, low, likely, high, skill) in enumerate(rows):
        fields = {"words": words, "kinds": kinds, "low": low, "likely": likely, "high": high, "skill": skill}
        Operation.objects.get_or_create(code=code, defaults={**fields, "position": position})
    return {one.code: one for one in Operation.objects.all()}


def draft(job: Job, *, net: Decimal | int = 234, at: datetime = NOW) -> Estimate:
    """A draft with words and one line at a fixed price in option A, written by the luthier; the shop must exist."""
    by = person(Role.LUTHIER)
    estimate = begin_draft(job, by=by, at=at)
    write_words(estimate, words="The post has fallen. We propose a new one.", not_included="Strings", by=by, at=at)
    add_line(
        estimate.options.get(letter="A"), words="New soundpost", net=Decimal(net), tax_class="labour", by=by, at=at
    )
    return Estimate.objects.get(pk=estimate.pk)


def sent(job: Job, *, net: Decimal | int = 234, at: datetime = NOW) -> Estimate:
    """An estimate as `draft`, sent by the desk."""
    return send(draft(job, net=net, at=at), by=person(Role.DESK), at=at)
