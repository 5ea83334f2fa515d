"""Frozen shapes the step pages read, made from a sitting. No queries."""

from dataclasses import dataclass

from django.urls import reverse

from jobs.book.kinds import ITEM_KINDS, SIZES, silhouette
from jobs.intake import drafts
from jobs.intake.lacking import Lack, View, above_cover, line_lacks, views_missing
from jobs.intake.models import Draft
from jobs.intake.notes import place_of, term_of
from jobs.intake.reads import Sitting
from jobs.intake.words import LIST_STEPS, STEP_WORDS, STEPS, accessories_for, strung
from jobs.photos.models import Photo

BY_PIECE = frozenset({"photos", "condition"})


@dataclass(frozen=True, slots=True)
class StepShown:
    """One piece of the purfling."""

    code: str
    words: str
    state: str  # done, here, or "" for to come
    url: str


@dataclass(frozen=True, slots=True)
class Frame:
    """One frame of the photo strip: a view, its picture if there is one, or why there is none."""

    view: View
    photo: Photo | None
    failure: str
    reason: str
    needed: bool


@dataclass(frozen=True, slots=True)
class PieceShown:
    """A piece with what its forms offer."""

    piece: drafts.Piece
    silhouette: str
    kind: str
    sizes: tuple[str, ...]
    accessories: tuple[tuple[int, str, str], ...]  # place in the list, words, left | home | ""
    strung: bool
    above_cover: bool
    lacks: tuple[Lack, ...]


@dataclass(frozen=True, slots=True)
class LineShown:
    """A condition line as the list shows it."""

    line: drafts.Found
    number: int
    term: str
    more: str
    where: str
    photo: Photo | None
    lacks: tuple[str, ...]


def steps_shown(sitting: Sitting, here: str) -> list[StepShown]:
    """The step line."""
    lacking = {lack.step for lack in sitting.lacks}
    shown = []
    for code in LIST_STEPS if sitting.draft.from_list else STEPS:
        done = code not in lacking and bool(sitting.draft.pieces) and code not in {"sign", "place"}
        state = "here" if code == here else "done" if done else ""
        url = "" if code == "place" else reverse("intake:step", args=[sitting.row.key, code])
        shown.append(StepShown(code, STEP_WORDS[code], state, url))
    return shown


def heading(draft: drafts.Draft) -> str:
    """“Violin 4/4, dark brown”, “Violin 4/4 and 2 more”."""
    if not draft.pieces:
        return "Taking in"
    first = draft.pieces[0].long_name
    return first if len(draft.pieces) == 1 else f"{first} and {len(draft.pieces) - 1} more"


def owner_name(sitting: Sitting) -> str:
    """Whose it is, "" while nobody is named."""
    owner = sitting.parties.get(sitting.draft.role("owner") or 0)
    return owner.name if owner else ""


def around(draft: drafts.Draft, step: str, piece: str, by: int) -> str:
    """The step before or after, “photos/ab12…” where it goes piece by piece, "" at either end."""
    if draft.from_list:
        return "" if step == "counter" else "counter"
    places: list[tuple[str, str]] = []
    for code in STEPS[:-1]:
        keys = [one.key for one in draft.pieces] if code in BY_PIECE and draft.pieces else [""]
        places += [(code, key) for key in keys]
    at = places.index((step, piece if step in BY_PIECE else "")) + by
    return "/".join(part for part in places[at] if part) if 0 <= at < len(places) else ""


def piece_shown(piece: drafts.Piece, sitting: Sitting) -> PieceShown:
    """A piece with what its forms offer."""
    where = {**dict.fromkeys(piece.left, "left"), **dict.fromkeys(piece.home, "home")}
    return PieceShown(
        piece=piece,
        silhouette=silhouette(piece.kind, piece.size),
        kind=ITEM_KINDS[piece.kind],
        sizes=SIZES.get(piece.kind, ()),
        accessories=tuple((n, words, where.get(words, "")) for n, words in enumerate(accessories_for(piece.kind))),
        strung=strung(piece.kind),
        above_cover=above_cover(piece, sitting.shop.cover_limit),
        lacks=tuple(lack for lack in sitting.lacks if lack.piece == piece.key),
    )


def frames(piece: drafts.Piece, sitting: Sitting) -> list[Frame]:
    """One frame for each view of a kind, needed ones first."""
    needed = {view.code for view in sitting.seen.needed.get(piece.key, ())}
    shown = []
    for view in sitting.words.views(piece.kind):
        photo = sitting.photo_of(piece.key, view.code)
        failed = photo is not None and photo.state == "failed"
        shown.append(
            Frame(
                view=view,
                photo=None if failed else photo,
                failure=photo.failure if photo is not None and failed else "",
                reason=piece.reasons.get(view.code, ""),
                needed=view.code in needed,
            )
        )
    return sorted(shown, key=lambda frame: not frame.needed)


def photos_sentence(piece: drafts.Piece, sitting: Sitting) -> tuple[str, str]:
    """“10 of the 12 needed, and 4 close-ups”, and “Missing: label” or ""."""
    needed = sitting.seen.needed.get(piece.key, ())
    taken = sitting.seen.taken.get(piece.key, frozenset())
    have = sum(view.code in taken for view in needed)
    close_ups = sum(line.key in sitting.seen.close_ups for line in piece.found)
    said = f"{have} of the {len(needed)} needed" if needed else "No set is asked for this kind"
    if close_ups:
        said += f", and {close_ups} close-up{'s' if close_ups > 1 else ''}"
    missing = [view.words.lower() for view in views_missing(piece, sitting.seen)]
    return said, f"Missing: {'; '.join(missing)}" if missing else ""


def lines_shown(piece: drafts.Piece, sitting: Sitting) -> list[LineShown]:
    """The condition lines of a piece."""
    terms, parts = sitting.words.by_code("term"), sitting.words.by_code("part")
    return [
        LineShown(
            line,
            number,
            *term_of(line, terms),
            place_of(line, parts),
            sitting.photo_of(line.key),
            tuple(line_lacks(line, sitting.seen)),
        )
        for number, line in enumerate(piece.found, 1)
    ]


def lacks_by_step(sitting: Sitting) -> list[tuple[str, str, list[Lack]]]:
    """What is missing, step by step, with the address of the step."""
    found: dict[tuple[str, str], list[Lack]] = {}
    for lack in sitting.lacks:
        piece = lack.piece if lack.step in BY_PIECE else ""
        found.setdefault((lack.step, piece), []).append(lack)
    return [(STEP_WORDS[step], step_url(sitting.row, step, piece), lacks) for (step, piece), lacks in found.items()]


def step_url(row: Draft, step: str, piece: str = "") -> str:
    """Address of a step, of one piece where the step goes piece by piece."""
    if piece and step in BY_PIECE:
        return reverse("intake:piece", args=[row.key, step, piece])
    return reverse("intake:step", args=[row.key, step])
