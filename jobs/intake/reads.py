"""What the pages of an intake need to know. Each read says its queries."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from jobs.book.models import Item, Job, Party
from jobs.book.stages import Stage
from jobs.catalogue.models import Word
from jobs.custody.models import Sighting
from jobs.intake import drafts
from jobs.intake.lacking import Lack, Seen, View, missing
from jobs.intake.models import Draft
from jobs.intake.notes import Beside, Known, Shot
from jobs.intake.priced import Offered
from jobs.intake.prices import by_code, offered
from jobs.papers.heads import shop_head
from jobs.photos.models import Photo
from jobs.photos.reads import of_sitting
from shop.people.models import Device, Person
from shop.people.roles import Act
from shop.profile.models import Profile
from shop.profile.reads import profile, terms_now

CLOSE_UP = "defect"  # a view of no fixed frame: each condition line has its own


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The trade's words that fit some kinds of item: views, terms, parts."""

    words: tuple[Word, ...]

    def of(self, sort: str, kind: str) -> tuple[Word, ...]:
        """Words of one sort that fit a kind of item, in their order."""
        return tuple(word for word in self.words if word.sort == sort and kind in word.kinds.split())

    def views(self, kind: str, *, needed: bool = False) -> tuple[View, ...]:
        """Views of a kind; only those of the least set when `needed`."""
        return tuple(
            View(code=word.code, words=word.words)
            for word in self.of("view", kind)
            if not needed or kind in word.needed_for.split()
        )

    def by_code(self, sort: str) -> dict[str, str]:
        """Words by code."""
        return {word.code: word.words for word in self.words if word.sort == sort}

    def quarantined(self, codes: Iterable[str]) -> tuple[str, ...]:
        """Which of these terms ask for quarantine, in words."""
        wanted = frozenset(codes)
        return tuple(
            word.words
            for word in self.words
            if word.sort == "term" and word.code in wanted and word.urgency == "quarantine"
        )


@dataclass(frozen=True, slots=True)
class Sitting:
    """A draft with everything its pages and its note need."""

    row: Draft
    draft: drafts.Draft
    shop: Profile
    words: Vocabulary
    photos: tuple[Photo, ...]
    parties: dict[int, Party]
    beside: Beside
    seen: Seen
    lacks: tuple[Lack, ...]
    offered: tuple[Offered, ...] = ()  # for price-list work: what the counter offers now

    def photo_of(self, slot: str, view: str = "") -> Photo | None:
        """The newest photo in a slot."""
        found = [photo for photo in self.photos if photo.slot == slot and photo.view == view]
        return found[-1] if found else None


def open_drafts(person: Person, device: Device | None) -> QuerySet[Draft]:
    """Drafts this person may go on with, newest first: at a kiosk their own of this tablet, at the desk their own, to the
    head luthier all. One query.
    """
    rows = Draft.objects.filter(placed_at__isnull=True, dropped_at__isnull=True).select_related("by", "device")
    if device is not None:
        rows = rows.filter(by=person, device=device)
    elif not person.may(Act.OVERRIDE):
        rows = rows.filter(by=person)
    return rows.order_by("-saved_at")


def find_draft(key: UUID, person: Person, device: Device | None) -> Draft | None:
    """One draft by its key, sealed or not, if this person may see it here. One query."""
    rows = Draft.objects.select_related("by", "device", "visit").filter(key=key)
    if device is not None:
        rows = rows.filter(by=person, device=device)
    elif not person.may(Act.OVERRIDE):
        rows = rows.filter(by=person)
    return rows.first()


def sit(row: Draft, *, receiver: Person, draft: drafts.Draft | None = None, at: datetime | None = None) -> Sitting:
    """Gather a draft, or what was typed into it but not kept. Five queries: profile, terms, words, photos, parties.

    For price-list work four more: the list in force `at` that moment, by default now.
    """
    draft = draft or drafts.from_json(row.data)
    shop, terms = profile(), terms_now()
    words = Vocabulary(tuple(Word.objects.all()))
    photos = tuple(of_sitting(row.key))
    parties = {party.pk: party for party in Party.objects.filter(pk__in=draft.parties)}
    prices = offered(draft, at=at or timezone.now(), shop=shop) if draft.from_list else ()
    usable = [photo for photo in photos if photo.state != "failed"]
    views = {piece.key: words.views(piece.kind) for piece in draft.pieces}
    beside = Beside(
        shop=shop_head(shop),
        zone=shop.zone,
        receiver=receiver.name,
        began=row.made_at,
        fixed=row.saved_at,
        parties={pk: _known(party) for pk, party in parties.items()},
        shots=newest(
            Shot(photo_id=one.pk, slot=one.slot, view=one.view, sha256=one.sha256, taken=one.taken_at or one.at)
            for one in usable
        ),
        views=views,
        terms=terms.text if terms else "",
        terms_version=terms.version if terms else 0,
        limit=shop.cover_limit,
        places=shop.places,
        terms_of_trade=words.by_code("term"),
        parts=words.by_code("part"),
        deposit_percent=shop.deposit_percent,
        deposit_above=shop.deposit_above,
    )
    seen = Seen(
        needed={piece.key: words.views(piece.kind, needed=True) for piece in draft.pieces},
        taken={
            piece.key: frozenset(shot.view for shot in beside.shots if shot.slot == piece.key) for piece in draft.pieces
        },
        close_ups=frozenset(shot.slot for shot in beside.shots),
        minors=frozenset(pk for pk, party in parties.items() if party.minor),
        limit=shop.cover_limit,
        terms_version=terms.version if terms else None,
        places=shop.places,
        prices=by_code(prices),
    )
    return Sitting(row, draft, shop, words, photos, parties, beside, seen, missing(draft, seen), prices)


def newest(shots: Iterable[Shot]) -> tuple[Shot, ...]:
    """Of several shots of the same view, the last one."""
    last = {(shot.slot, shot.view): shot for shot in shots}
    return tuple(sorted(last.values(), key=lambda shot: shot.photo_id))


def _known(party: Party) -> Known:
    return Known(
        name=party.name,
        minor=party.minor,
        address=tuple(line.strip() for line in party.address.splitlines() if line.strip()),
        telephone=party.phone,
        email=party.email,
    )


@dataclass(frozen=True, slots=True)
class KnownItem:
    """An item of the owner that the book has: `here` is the open job it is in the shop with, `expected` one to come."""

    item: Item
    here: Job | None
    expected: Job | None


def items_of(owner: int | None) -> list[KnownItem]:
    """What the book knows of an owner's items. Two queries."""
    if owner is None:
        return []
    items = list(Item.objects.filter(owner=owner).exclude(kind="Pt").order_by("title", "pk"))
    jobs: dict[int, dict[str, Job]] = {}
    for job in Job.objects.filter(item__in=items, closed_at__isnull=True).order_by("pk"):
        jobs.setdefault(job.item_id, {})["expected" if job.stage == Stage.EXP else "here"] = job
    return [KnownItem(item, *(jobs.get(item.pk, {}).get(which) for which in ("here", "expected"))) for item in items]


@dataclass(frozen=True, slots=True)
class Begun:
    """A draft on the blank page."""

    row: Draft
    what: str
    numbers: str
    who: str
    sealed: bool
    step: str


def begun(person: Person, device: Device | None) -> list[Begun]:
    """Drafts one may go on with, as the blank page lists them. Two queries."""
    rows = list(open_drafts(person, device)[:40])
    held = [(row, drafts.from_json(row.data)) for row in rows]
    owners = {pk for _, draft in held if (pk := draft.role("owner")) is not None}
    names = dict(Party.objects.filter(pk__in=owners).values_list("pk", "name"))
    return [
        Begun(
            row=row,
            what=", ".join(piece.name for piece in draft.pieces) or "Nothing listed yet",
            numbers=", ".join(piece.number for piece in draft.pieces if piece.number),
            who=names.get(draft.role("owner") or 0, ""),
            sealed=row.visit_id is not None,
            step="counter" if draft.from_list else "who",
        )
        for row, draft in held
    ]


def places_lately(kinds: Iterable[str], limit: int = 3) -> list[tuple[int, str]]:
    """Where things of these kinds were hung last on being taken in: location ids and names. One query."""
    seen = Sighting.objects.filter(how="intake", item__kind__in=list(kinds), location__closed_at=None)
    rows = seen.exclude(location=None).order_by("-pk").values_list("location_id", "location__name")[:40]
    return list(dict(rows).items())[:limit]
