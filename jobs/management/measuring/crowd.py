"""Fills a throw-away shop with thousands of owners, items and jobs of believable names, in bulk."""

from collections.abc import Iterable
from datetime import timedelta
from itertools import islice
from random import Random
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from jobs.book.kinds import SIZES, title_of
from jobs.book.models import Item, Job, JobParty, Party
from jobs.book.stages import OPEN_STAGES, Stage
from jobs.index.steps import fill
from jobs.management.measuring.world import make_shop
from jobs.tags.codes import ALPHABET
from jobs.tags.models import Tag

GIVEN = [
    "Ada",
    "Alma",
    "Anna",
    "Arthur",
    "Bela",
    "Clara",
    "Dora",
    "Edmund",
    "Elias",
    "Emil",
    "Frida",
    "Greta",
    "Hanna",
    "Ida",
    "Ines",
    "Jonas",
    "Karl",
    "Lena",
    "Lotte",
    "Mara",
    "Nils",
    "Otto",
    "Paula",
    "Rosa",
    "Selma",
    "Tilda",
    "Uwe",
    "Vera",
    "Wanda",
    "Zoë",
]
FRONT = [
    "Ash",
    "Bram",
    "Cold",
    "Crans",
    "Dunmar",
    "Elder",
    "Fair",
    "Gors",
    "Hazel",
    "Ivy",
    "Kester",
    "Lang",
    "Marrow",
    "Nether",
    "Ostle",
    "Pen",
    "Quill",
    "Rook",
    "Stav",
    "Thorn",
    "Under",
    "Wester",
    "Yarrow",
    "Zeal",
    "Müll",
    "Sønd",
    "Łoz",
]
BACK = [
    "born",
    "by",
    "combe",
    "croft",
    "dale",
    "den",
    "er",
    "field",
    "ford",
    "gate",
    "ham",
    "hurst",
    "ing",
    "lea",
    "ley",
    "mere",
    "moor",
    "ridge",
    "stone",
    "stead",
    "ton",
    "vale",
    "wick",
    "worth",
    "wood",
    "yard",
]
BODIES = ("School of Music", "Youth Orchestra", "College", "Chamber Players")
KINDS = ("Vn",) * 9 + ("Va", "Vc", "Vc", "Bw", "Bw", "Bw", "Gt", "Db", "Md")
MARKS = ("dark brown, one-piece back", "red varnish", "golden, plain back", "worn edges", "painted case", "")
OPEN = 300
STEP = 2000


def add_crowd(items: int, jobs: int) -> None:
    """Owners (two thirds of the items), items, jobs (the last 300 open), tags; then the words of all of them."""
    chance, now, _ = Random(items), timezone.now(), make_shop()
    with transaction.atomic():
        parties = _save(Party, (_party(chance, n, now) for n in range(items * 2 // 3)))
        things = _save(Item, (_item(chance, n, chance.choice(parties), now) for n in range(items)))
        _save(Tag, (Tag(item=thing, code=_code(n), at=now) for n, thing in enumerate(things)))
        worked = _save(Job, (_job(chance, n, things[n % items], jobs, now) for n in range(jobs)))
        _save(
            JobParty,
            (JobParty(job=job, party=job.item.owner, role=role) for job in worked for role in ("owner", "payer")),
        )
    fill()


def _save(model: Any, rows: Iterable[models.Model]) -> list[Any]:
    waiting, saved = iter(rows), []
    while batch := list(islice(waiting, STEP)):
        saved += model.objects.bulk_create(batch)
    return saved


def _party(chance: Random, n: int, now: Any) -> Party:
    family = f"{chance.choice(FRONT)}{chance.choice(BACK)}"
    body = n % 40 == 0
    name = f"{family} {chance.choice(BODIES)}" if body else f"{chance.choice(GIVEN)} {family}"
    return Party(
        name=name,
        body=body,
        minor=n % 25 == 1,
        email=f"{family.lower()}.{n}@example.org" if n % 4 else "",
        phone=f"+4420{79460000 + n:08}",
        address=f"{n % 90 + 1} {chance.choice(FRONT)} Lane\n{chance.choice(FRONT)}{chance.choice(BACK)}",
        made_at=now,
    )


def _item(chance: Random, n: int, owner: Party, now: Any) -> Item:
    kind = chance.choice(KINDS)
    size = SIZES[kind][0] if chance.random() < 0.7 else chance.choice(SIZES[kind])
    return Item(
        kind=kind,
        size=size,
        title=title_of(kind, size),
        owner=owner,
        labelled=f"{chance.choice(FRONT)}{chance.choice(BACK)} {1700 + n % 300}" if n % 3 == 0 else "",
        marks=chance.choice(MARKS),
        asset=f"{owner.name[:2].upper()}-{n}" if owner.body else "",
        made_at=now,
    )


def _code(n: int) -> str:
    # every code once, and none beside its neighbours
    left, code = (n * 7_919_999 + 123_456_789) % len(ALPHABET) ** 8, ""
    for _ in range(8):
        left, at = divmod(left, len(ALPHABET))
        code += ALPHABET[at]
    return code


def _job(chance: Random, n: int, item: Item, jobs: int, now: Any) -> Job:
    gone = n < jobs - OPEN
    opened = now - timedelta(hours=jobs - n)
    return Job(
        number=f"{23 + n // 9999}-{n % 9999 + 1:04}",
        item=item,
        stage=Stage.HOME if gone else chance.choice(OPEN_STAGES),
        closed_at=opened + timedelta(days=9) if gone else None,
        closed_as="home" if gone else "",
        promised=now.date() + timedelta(days=chance.randrange(-3, 40)) if not gone and n % 4 else None,
        work="set-up check",
        opened_at=opened,
        stage_since=opened,
    )
