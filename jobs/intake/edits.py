"""Changes to a draft: each takes one and returns another. Pure."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from jobs.book.refusals import Refused
from jobs.intake.drafts import ROLES, Accepted, Draft, Found, Piece, tidy
from jobs.intake.words import TENSIONS, accessories_for
from shop.typed import whole

MOST_PIECES = 24
MOST_LINES = 60
_LONGEST_CODE = 24
# What each step's page may write into a piece.
TEXTS = {
    "items": ("size", "title", "labelled", "marks", "asset", "more_left", "more_home"),
    "said": ("said", "work", "tension", "job_kind", "agreed_words", "agreed_net"),
    "condition": ("not_examined",),
    "value": ("value_answer", "value", "basis", "own_cover"),
}
_LINE_TEXTS = ("term", "words", "part", "where", "extent", "severity", "stability", "freshness", "no_photo")


def with_role(draft: Draft, role: str, party: int | None) -> Draft:
    """Say who holds a role; None lets it fall to its usual holder."""
    if role not in ROLES:
        raise Refused("There is no such part in a visit.")
    named: dict[str, Any] = {role: party}
    changed = replace(draft, **named)
    if draft.from_list and changed.role("owner") != draft.role("owner"):
        # what was chosen among the things of another owner is none of this one's
        changed = replace(changed, pieces=tuple(as_new(piece) for piece in changed.pieces))
    return changed


def as_new(piece: Piece) -> Piece:
    """A piece of price-list work that is not in the book, or not this owner's."""
    if piece.item is None:
        return piece
    # an expected job keeps its number for itself
    number = piece.number if piece.job is None else ""
    return replace(piece, item=None, job=None, number=number, title="", labelled="", marks="", asset="")


def with_piece(draft: Draft, piece: Piece) -> Draft:
    """Add a piece. The same key again changes nothing; a known item stands in a draft once."""
    if any(one.key == piece.key for one in draft.pieces):
        return draft
    if piece.item is not None and any(one.item == piece.item for one in draft.pieces):
        raise Refused("This item is in the list already.")
    if len(draft.pieces) >= MOST_PIECES:
        raise Refused(f"One note holds {MOST_PIECES} items at most. Seal this one, then begin another.")
    return replace(draft, pieces=(*draft.pieces, piece))


def without_piece(draft: Draft, key: str) -> Draft:
    """Take a piece off the list."""
    return replace(draft, pieces=tuple(one for one in draft.pieces if one.key != key))


def _put(draft: Draft, piece: Piece) -> Draft:
    draft.piece(piece.key)
    return replace(draft, pieces=tuple(piece if one.key == piece.key else one for one in draft.pieces))


def with_fields(draft: Draft, step: str, typed: Mapping[str, str]) -> Draft:
    """Write what a step's page sent: names are `<field>-<piece key>`. Anything else in it is left alone."""
    for piece in draft.pieces:
        changed = _typed_into(piece, step, typed)
        if changed != piece:
            draft = _put(draft, changed)
    return draft


def _typed_into(piece: Piece, step: str, typed: Mapping[str, str]) -> Piece:
    said: dict[str, Any] = {
        name: tidy(typed[at]) for name in TEXTS.get(step, ()) if (at := f"{name}-{piece.key}") in typed
    }
    if said.get("tension", "") not in TENSIONS:
        said.pop("tension", None)  # no page offers it
    piece = replace(piece, **said)
    if step == "items":
        piece = _with_accessories(piece, typed)
    if step == "condition" and (at := f"nothing_found-{piece.key}") in typed:
        piece = replace(piece, nothing_found=bool(typed[at]))
    if step == "photos":
        piece = _with_reasons(piece, typed)
    if step == "place" and (at := f"place-{piece.key}") in typed:
        piece = replace(piece, place=whole(typed[at]) or None)
    if step == "value" and piece.accepted and piece.accepted.value != piece.value:
        piece = replace(piece, accepted=None)
    return piece


def _with_accessories(piece: Piece, typed: Mapping[str, str]) -> Piece:
    """Each common accessory is sent as “left”, “home” or nothing, under `with-<piece key>-<place in the list>`."""
    left, home = list(piece.left), list(piece.home)
    for place, words in enumerate(accessories_for(piece.kind)):
        where = typed.get(f"with-{piece.key}-{place}")
        if where is None:
            continue
        for pile, name in ((left, "left"), (home, "home")):
            if words in pile and where != name:
                pile.remove(words)
            elif words not in pile and where == name:
                pile.append(words)
    return replace(piece, left=tuple(left), home=tuple(home))


def _with_reasons(piece: Piece, typed: Mapping[str, str]) -> Piece:
    """Reasons for views not taken come as `why-<piece key>-<view code>`."""
    start = f"why-{piece.key}-"
    reasons = piece.reasons
    for name, words in typed.items():
        if name.startswith(start):
            reasons[name.removeprefix(start)] = tidy(words)
    return replace(piece, why_no_view=tuple(sorted((code, why) for code, why in reasons.items() if why.strip())))


def with_line(draft: Draft, piece_key: str, line_key: str, typed: Mapping[str, str]) -> Draft:
    """Add or change one condition line."""
    piece = draft.piece(piece_key)
    said = {name: tidy(typed[name]) for name in _LINE_TEXTS if name in typed}
    for code in ("term", "part"):
        if len(said.get(code, "")) > _LONGEST_CODE:
            del said[code]  # no page offers it
    for line in piece.found:
        if line.key == line_key:
            new = replace(line, **said)
            return _put(draft, replace(piece, found=tuple(new if one is line else one for one in piece.found)))
    if len(piece.found) >= MOST_LINES:
        raise Refused(f"One note holds {MOST_LINES} lines for an item at most. Put the rest into one line in words.")
    return _put(draft, replace(piece, found=(*piece.found, Found(key=line_key, **said)), nothing_found=False))


def without_line(draft: Draft, piece_key: str, line_key: str) -> Draft:
    """Take a condition line away."""
    piece = draft.piece(piece_key)
    return _put(draft, replace(piece, found=tuple(one for one in piece.found if one.key != line_key)))


def with_acceptance(draft: Draft, piece_key: str, accepted: Accepted) -> Draft:
    """Keep the head luthier's written yes."""
    return _put(draft, replace(draft.piece(piece_key), accepted=accepted))
