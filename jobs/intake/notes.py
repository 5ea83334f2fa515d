"""From a draft to the words both people sign. Pure: everything it says is handed in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from jobs.book.kinds import PARTY_ROLES
from jobs.condition.scales import FRESHNESS, SEVERITY, STABILITY
from jobs.intake.drafts import ROLES, Draft, Found, Piece
from jobs.intake.lacking import View, above_cover, amount_of, millimetres_of
from jobs.intake.priced import agreed_facts, total_of
from jobs.intake.words import COVERS, JOBS_OFFERED, NOT_STATED, UNSIGNED
from jobs.papers.texts import (
    Accessory,
    Condition,
    Named,
    NoteJob,
    NoteText,
    Picture,
    ShopHead,
    Thing,
    moment,
)
from shop.money import ZERO, plain, written

UNDER_AGE = "a player under age"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A party as the note may name it. Of someone under age the note says no name."""

    name: str
    minor: bool = False
    address: tuple[str, ...] = ()
    telephone: str = ""
    email: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """A photo of the sitting. `slot` is a piece's key for a view, or a line's key for a close-up."""

    photo_id: int
    slot: str
    view: str
    sha256: str
    taken: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What a note says that is not in the draft."""

    shop: ShopHead
    zone: ZoneInfo
    receiver: str
    began: datetime
    fixed: datetime
    parties: Mapping[int, Known]
    shots: Sequence[Shot]
    views: Mapping[str, tuple[View, ...]]  # all views of a piece's kind, by piece key, in their order
    terms: str = ""
    terms_version: int = 0
    limit: Decimal | None = None
    places: int = 2
    terms_of_trade: Mapping[str, str] | None = None  # words of condition terms by code
    parts: Mapping[str, str] | None = None  # words of parts by code
    deposit_percent: Decimal = ZERO
    deposit_above: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class Laid:
    """A shot with its number on the note and what it shows."""

    shot: Shot
    number: int
    words: str
    job: str


def lay_out(draft: Draft, beside: Beside) -> tuple[Laid, ...]:
    """Number the photos: piece by piece, views in their order, then close-ups by line. Others of the sitting stay out."""
    laid: list[Laid] = []
    for piece in draft.pieces:
        order = {view.code: (place, view.words) for place, view in enumerate(beside.views.get(piece.key, ()))}
        ours = [shot for shot in beside.shots if shot.slot == piece.key and shot.view in order]
        for shot in sorted(ours, key=lambda one: (order[one.view][0], one.photo_id)):
            laid.append(Laid(shot, len(laid) + 1, order[shot.view][1], piece.number))
        for number, line in enumerate(piece.found, 1):
            for shot in (one for one in beside.shots if one.slot == line.key):
                laid.append(Laid(shot, len(laid) + 1, f"close-up {number}", piece.number))
    return tuple(laid)


def note_text(draft: Draft, beside: Beside, *, show_photos: bool = False, unsigned: str = "") -> NoteText:
    """The condition note of a complete draft."""
    laid = lay_out(draft, beside)
    return NoteText(
        shop=beside.shop,
        fixed=moment(beside.fixed, beside.zone),
        arrived=moment(beside.began, beside.zone),
        how="brought to the desk",
        received_by=beside.receiver,
        parties=_parties(draft, beside),
        jobs=tuple(_job(piece, beside, laid) for piece in draft.pieces),
        pictures=tuple(
            Picture(
                number=one.number,
                sha256=one.shot.sha256,
                words=one.words,
                taken=moment(one.shot.taken, beside.zone),
                job=one.job,
            )
            for one in laid
        ),
        missing_views=_missing_views(draft, beside),
        terms=_terms(beside),
        show_photos=show_photos,
        unsigned=unsigned,
        agreed_total=plain(total_of(draft.pieces, beside.places).gross, beside.places) if draft.from_list else "",
        prices_since=max((one.since for piece in draft.pieces for one in piece.priced), default=""),
    )


def unsigned_words(kind: str, reason: str) -> str:
    """“Refused to sign: in a hurry”."""
    words = UNSIGNED[kind]
    return f"{words}: {reason.strip()}" if reason.strip() else words


def _terms(beside: Beside) -> tuple[str, ...]:
    lines = [line.strip() for line in beside.terms.splitlines() if line.strip()]
    return (f"Terms {beside.terms_version}.", *lines) if lines else ()


def _parties(draft: Draft, beside: Beside) -> tuple[Named, ...]:
    held: dict[int, list[str]] = {}
    for role in ROLES:
        party = draft.role(role)
        if party is not None:
            held.setdefault(party, []).append(PARTY_ROLES[role])
    named = []
    for pk, roles in held.items():
        known = beside.parties[pk]
        if known.minor:
            named.append(Named(name=UNDER_AGE, role=", ".join(roles)))
            continue
        named.append(
            Named(
                name=known.name,
                role=", ".join(roles),
                address=known.address,
                telephone=known.telephone,
                email=known.email,
            )
        )
    return tuple(named)


def _job(piece: Piece, beside: Beside, laid: Sequence[Laid]) -> NoteJob:
    value = amount_of(piece.value) if piece.value_answer == "stated" else None
    return NoteJob(
        number=piece.number,
        item=Thing(name=piece.name, kind=piece.kind, details=_details(piece)),
        asked=_asked(piece, beside.places),
        said=piece.said.strip(),
        tension=piece.tension,
        conditions=tuple(_condition(line, n, beside, laid) for n, line in enumerate(piece.found, 1)),
        accessories=tuple(
            Accessory(name=words, where="left here" if left else "taken home") for words, left in piece.accessories
        ),
        not_examined=tuple(part.strip() for part in piece.not_examined.split(";") if part.strip()),
        value="" if value is None else plain(value, beside.places),
        value_words=NOT_STATED if value is None else f"stated by the owner, {piece.basis}",
        insured=_insured(piece, beside),
        **agreed_facts(piece, beside.places, percent=beside.deposit_percent, above=beside.deposit_above),
    )


def _details(piece: Piece) -> tuple[str, ...]:
    return tuple(
        words
        for words in (
            f"labelled {piece.labelled.strip()}" if piece.labelled.strip() else "",
            piece.marks.strip(),
            f"asset {piece.asset.strip()}" if piece.asset.strip() else "",
        )
        if words
    )


def _asked(piece: Piece, places: int) -> str:
    if piece.priced:
        return piece.work
    asked = [JOBS_OFFERED[piece.job_kind]] if piece.job_kind in JOBS_OFFERED and piece.job_kind != "repair" else []
    if piece.work.strip():
        asked.append(piece.work.strip())
    if piece.agreed_words.strip() and piece.agreed_net.strip():
        price = written(amount_of(piece.agreed_net), places)
        asked.append(f"agreed at the desk: {piece.agreed_words.strip()}, {price} before tax")
    return "; ".join(asked)


def _insured(piece: Piece, beside: Beside) -> str:
    said = [COVERS[piece.own_cover]] if piece.own_cover else []
    if above_cover(piece, beside.limit) and piece.accepted and beside.limit is not None:
        limit = written(beside.limit, beside.places)
        said.append(
            f"above the shop’s cover of {limit} for one item; accepted by {piece.accepted.name}:"
            f" “{piece.accepted.words.strip()}”"
        )
    said.append("the shop’s cover and local law decide what is paid")
    return "; ".join(said)


def _condition(line: Found, number: int, beside: Beside, laid: Sequence[Laid]) -> Condition:
    extent = millimetres_of(line.extent)
    term, more = term_of(line, beside.terms_of_trade or {})
    return Condition(
        number=number,
        term=term,
        place=place_of(line, beside.parts or {}),
        extent_mm="" if extent is None else format(extent.normalize(), "f"),
        severity=SEVERITY[line.severity].lower(),
        stability=STABILITY[line.stability].lower() if line.stability != "unknown" else "",
        freshness=FRESHNESS[line.freshness].lower(),
        words=more,
        photos=tuple(one.number for one in laid if one.shot.slot == line.key),
    )


def term_of(line: Found, terms: Mapping[str, str]) -> tuple[str, str]:
    """What is found, in the trade's word, and what was added in own words."""
    words = terms.get(line.term, "")
    own = line.words.strip()
    return (words, own) if words else (own, "")


def place_of(line: Found, parts: Mapping[str, str]) -> str:
    """“top, lower bout, bass”."""
    return ", ".join(part for part in (parts.get(line.part, ""), line.where.strip()) if part)


def _missing_views(draft: Draft, beside: Beside) -> tuple[str, ...]:
    said = []
    for piece in draft.pieces:
        taken = {shot.view for shot in beside.shots if shot.slot == piece.key}
        by_reason: dict[str, list[str]] = {}
        for view in beside.views.get(piece.key, ()):
            if view.code in piece.reasons and view.code not in taken:
                by_reason.setdefault(piece.reasons[view.code], []).append(view.words)
        said += [f"{piece.number} {_in_a_row(views)}: {reason}" for reason, views in by_reason.items()]
        for number, line in enumerate(piece.found, 1):
            if line.no_photo.strip() and not any(shot.slot == line.key for shot in beside.shots):
                said.append(f"{piece.number} close-up {number}: {line.no_photo.strip()}")
    return tuple(said)


def _in_a_row(views: Sequence[str]) -> str:
    """“Back, bass side, label”."""
    return ", ".join([views[0], *(words[:1].lower() + words[1:] for words in views[1:])])


def with_consent(text: NoteText, *, show_photos: bool, unsigned: str = "") -> NoteText:
    """The same words with the depositor's answers given while signing."""
    return replace(text, show_photos=show_photos, unsigned=unsigned)
