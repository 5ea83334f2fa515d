"""Changes to a draft of price-list work: how many of what, and on which of them. Pure."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from jobs.book.refusals import Refused
from jobs.intake.drafts import Draft, Piece, Priced, new_piece, tidy
from jobs.intake.edits import MOST_PIECES, as_new
from jobs.intake.priced import NOT_LOOKED_AT, Offered, job_kind_of, work_words
from jobs.intake.words import NOT_STATED, strung

_TEXTS = ("marks", "more_left")


def with_counts(
    draft: Draft, typed: Mapping[str, str], offered: Iterable[Offered], new_key: Callable[[], str]
) -> Draft:
    """How many of each were typed: fields are `n-<code>-<kind>`. Raises Refused for what is no number, and for too many."""
    for one in offered:
        said = typed.get(f"n-{one.key}")
        if said is None:
            continue
        wanted = _number(said, one)
        if wanted > MOST_PIECES:
            raise _too_many()
        draft = _counted(draft, one, wanted, new_key)
    return draft


def _number(said: str, one: Offered) -> int:
    said = said.strip() or "0"
    if not (said.isascii() and said.isdecimal()) or len(said) > 6:
        raise Refused(f"“{said[:20]}” is not a number. Write how many: {one.price.words.lower()}.")
    return int(said)


def _too_many() -> Refused:
    return Refused(f"One note holds {MOST_PIECES} items at most. Seal this one, then begin another.")


def counted(draft: Draft, one: Offered) -> int:
    """How many pieces of the kind have this work."""
    return sum(_has(piece, one) for piece in draft.pieces)


def _has(piece: Piece, one: Offered) -> bool:
    return piece.kind == one.kind and any(each.code == one.price.code for each in piece.priced)


def _counted(draft: Draft, one: Offered, wanted: int, new_key: Callable[[], str]) -> Draft:
    while counted(draft, one) > wanted:
        last = [piece for piece in draft.pieces if _has(piece, one)][-1]
        draft = without_work(draft, last.key, one.price.code)
    while counted(draft, one) < wanted:
        piece = next((each for each in draft.pieces if _room(each, one)), None)
        draft = _added(draft, one, new_key()) if piece is None else _put(draft, _working(piece, one))
    return draft


def _room(piece: Piece, one: Offered) -> bool:
    """Other work of the same kind goes on the piece that is there: strings and a post are most often of one violin."""
    if piece.kind != one.kind or _has(piece, one) or (one.size and piece.size not in {"", one.size}):
        return False
    operations = {each.operation for each in piece.priced} - {None}
    return one.price.operation is None or one.price.operation not in operations


def _added(draft: Draft, one: Offered, key: str) -> Draft:
    if len(draft.pieces) >= MOST_PIECES:
        raise _too_many()
    piece = replace(
        new_piece(key, one.kind),
        size=one.size,
        value_answer=NOT_STATED,
        tension="not known" if strung(one.kind) else "",
        not_examined=NOT_LOOKED_AT,
    )
    return replace(draft, pieces=(*draft.pieces, _working(piece, one)))


def _working(piece: Piece, one: Offered) -> Piece:
    size = piece.size or (one.size if piece.item is None else "")
    return _told(replace(piece, size=size, priced=(*piece.priced, one.price)))


def _told(piece: Piece) -> Piece:
    """The job says what its prices say."""
    return replace(piece, work=work_words(piece), job_kind=job_kind_of(piece))


def _put(draft: Draft, piece: Piece) -> Draft:
    return replace(draft, pieces=tuple(piece if one.key == piece.key else one for one in draft.pieces))


def without_work(draft: Draft, key: str, code: str) -> Draft:
    """Take one work off a piece; a piece without any goes too."""
    piece = draft.piece(key)
    left = tuple(one for one in piece.priced if one.code != code)
    if left:
        return _put(draft, _told(replace(piece, priced=left)))
    return replace(draft, pieces=tuple(one for one in draft.pieces if one.key != key))


def apart(draft: Draft, key: str, code: str, new_key: str) -> Draft:
    """This work is for another of the same kind, not for the one it was put on."""
    piece = draft.piece(key)
    one = next((each for each in piece.priced if each.code == code), None)
    if one is None or len(piece.priced) < 2:
        return draft
    size = "" if piece.item is not None else piece.size
    return _added(without_work(draft, key, code), Offered(piece.kind, size, one), new_key)


def with_marks(draft: Draft, typed: Mapping[str, str]) -> Draft:
    """What each piece is known by and what is left with it: fields are `marks-<piece>` and `more_left-<piece>`."""
    for piece in draft.pieces:
        said: dict[str, Any] = {name: tidy(typed[at]) for name in _TEXTS if (at := f"{name}-{piece.key}") in typed}
        if piece.item is not None:
            said.pop("marks", None)  # the book has them
        draft = _put(draft, replace(piece, **said))
    return draft


def as_known(draft: Draft, key: str, known: Mapping[str, Any]) -> Draft:
    """A piece is one the book has: `known` holds item, size, title, labelled, marks, asset, and job and number if expected.

    Without `item` it is new to the book again.
    """
    if known.get("item") is not None and any(one.item == known["item"] for one in draft.pieces if one.key != key):
        raise Refused("This item is in the list already.")
    return _put(draft, replace(as_new(draft.piece(key)), **known))


def repriced(draft: Draft, offered: Mapping[str, Priced]) -> Draft:
    """Every price as the list has it now. What the list does not offer any more stays, and is told when signing."""
    return replace(
        draft,
        pieces=tuple(
            _told(replace(piece, priced=tuple(offered.get(one.code, one) for one in piece.priced)))
            for piece in draft.pieces
        ),
    )


def with_reasons(draft: Draft, needed: Mapping[str, Iterable[str]], why: str) -> Draft:
    """The views nobody takes of price-list work say so: `needed` holds view codes by kind."""
    pieces = []
    for piece in draft.pieces:
        codes = [code for code in needed.get(piece.kind, ()) if code not in piece.reasons]
        pieces.append(replace(piece, why_no_view=tuple(sorted([*piece.why_no_view, *((code, why) for code in codes)]))))
    return replace(draft, pieces=tuple(pieces))


def in_full(draft: Draft) -> Draft:
    """To be taken in step by step after all: the list stays, the prices and what they answered go."""
    return replace(
        draft,
        from_list=False,
        pieces=tuple(
            replace(
                new_piece(piece.key, piece.kind),
                **{
                    name: getattr(piece, name)
                    for name in (
                        "number", "item", "job", "size", "title", "labelled", "marks", "asset", "job_kind", "work",
                        "left", "home", "more_left", "more_home",
                    )
                },
            )
            for piece in draft.pieces
        ),
    )  # fmt: skip
