"""What the page of price-list work shows: the list by kind with its numbers, and each piece. Reads only."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.http import HttpRequest

from jobs.book.kinds import ITEM_KINDS, PARTY_ROLES, silhouette
from jobs.intake import drafts
from jobs.intake.counting import counted
from jobs.intake.lacking import TO_BE_READ
from jobs.intake.priced import Offered, changed, price_of, ready_of, total_of
from jobs.intake.reads import KnownItem, Sitting, items_of
from jobs.intake.shapes import Frame, frames
from shop.clock import day_words

# Bows are what comes most; then the kinds as elsewhere.
_MANY = {
    "Bw": "Bows", "Vn": "Violins", "Va": "Violas", "Vc": "Cellos", "Db": "Double basses", "Gt": "Guitars",
    "Md": "Mandolins", "Cs": "Cases", "Ot": "Other things",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PriceShown:
    """A price of the list with how many are counted: what it costs with tax, and the day it would be ready."""

    offered: Offered
    count: str  # as typed, right or wrong, where that was not kept
    gross: Decimal
    ready: str


@dataclass(frozen=True, slots=True)
class KindShown:
    """The prices of one kind of item."""

    kind: str
    words: str
    silhouette: str
    open: bool
    prices: tuple[PriceShown, ...]


@dataclass(frozen=True, slots=True)
class CountedPiece:
    """One piece: “Violin bow 2”, its work, which things of the owner it might be, and the one picture that is offered."""

    piece: drafts.Piece
    name: str
    silhouette: str
    work: tuple[tuple[drafts.Priced, Decimal], ...]
    gross: Decimal
    known: tuple[KnownItem, ...]
    frame: Frame | None


def counter_facts(sitting: Sitting, _piece: str, request: HttpRequest) -> dict[str, Any]:
    """Two queries where an owner is named."""
    draft, places = sitting.draft, sitting.shop.places
    return {
        "kinds": _kinds(sitting, request.POST),
        "counted": counted_pieces(sitting),
        "total": total_of(draft.pieces, places),
        "ready": ready_words(draft),
        "changed": changed(draft, sitting.seen.prices, places),
        "depositor": sitting.parties.get(draft.role("depositor") or 0),
        "others": draft.role("owner") != draft.role("depositor"),
        "role": "depositor",
        "role_words": PARTY_ROLES["depositor"],
        "typed": {},
        "found": None,
        **foot_of(sitting),
    }


def foot_of(sitting: Sitting) -> dict[str, Any]:
    """What stops it, and how much more after that; that it must still be read goes without saying."""
    lacks = [lack.words for lack in sitting.lacks if lack.words != TO_BE_READ]
    return {"stops": lacks[0] if lacks else "", "more_lacks": max(0, len(lacks) - 1)}


def _kinds(sitting: Sitting, typed: Mapping[str, str]) -> list[KindShown]:
    draft, places = sitting.draft, sitting.shop.places
    shown: list[KindShown] = []
    for kind in sorted({one.kind for one in sitting.offered}, key=lambda one: (*_MANY, one).index(one)):
        prices = tuple(
            PriceShown(
                one,
                typed.get(f"n-{one.key}", str(counted(draft, one) or ""))[:20],
                price_of((one.price,), places).gross,
                day_words(date.fromisoformat(one.price.ready)),
            )
            for one in sitting.offered
            if one.kind == kind
        )
        used = any(one.count for one in prices)
        words = _MANY.get(kind, ITEM_KINDS[kind].capitalize())
        first = not draft.pieces and not shown
        shown.append(KindShown(kind, words, silhouette(kind), used or first, prices))
    return shown


def counted_pieces(sitting: Sitting) -> list[CountedPiece]:
    """The pieces in their order, numbered within what they are called. Two queries where an owner is named."""
    draft, places = sitting.draft, sitting.shop.places
    owned = items_of(draft.role("owner")) if draft.pieces else []
    called: dict[str, int] = {}
    many = {one.name for one in draft.pieces if sum(each.name == one.name for each in draft.pieces) > 1}
    shown = []
    for piece in draft.pieces:
        called[piece.name] = called.get(piece.name, 0) + 1
        views = [frame for frame in frames(piece, sitting) if frame.needed]
        taken = {other.item for other in draft.pieces if other.key != piece.key}
        shown.append(
            CountedPiece(
                piece=piece,
                name=f"{piece.name} {called[piece.name]}" if piece.name in many else piece.name,
                silhouette=silhouette(piece.kind, piece.size),
                work=tuple((one, price_of((one,), places).gross) for one in piece.priced),
                gross=price_of(piece.priced, places).gross,
                known=tuple(one for one in owned if one.item.kind == piece.kind and one.item.pk not in taken),
                frame=views[0] if views else None,
            )
        )
    return shown


def ready_words(draft: drafts.Draft) -> str:
    """“Mon 30 Nov”, the day the last of it should be ready; "" while nothing is counted."""
    days = [day for piece in draft.pieces if (day := ready_of(piece)) is not None]
    return day_words(max(days)) if days else ""
