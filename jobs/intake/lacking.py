"""What still stops a note, step by step, in words that say what to do. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from jobs.book.kinds import JOB_KINDS
from jobs.condition.scales import FRESHNESS, SEVERITY, STABILITY
from jobs.intake.drafts import Draft, Found, Piece, Priced, listed
from jobs.intake.priced import changed
from jobs.intake.words import BASES, COVERS, NOT_STATED, STEPS, TENSIONS, strung
from shop.money import NotMoneyError, exact, rounded
from shop.typed import amount

TO_BE_READ = "It has not been read as it is now: press “Read and sign”."
NO_TERMS = "The shop has no terms yet. Ask the head luthier to write them first."
MOST_VALUE = Decimal(10) ** 10
MOST_MM = Decimal(10_000)
# Longest texts the book and the papers hold, in letters.
LONGEST = {
    "size": (24, "size"),
    "title": (80, "name"),
    "labelled": (160, "label text"),
    "marks": (160, "marks"),
    "asset": (40, "asset number"),
    "work": (160, "what is to be done"),
    "said": (4000, "what the owner says"),
    "not_examined": (200, "list of what is not examined"),
    "agreed_words": (160, "agreement"),
    "more_left": (600, "list of what is left here"),
    "more_home": (600, "list of what is taken home"),
}


@dataclass(frozen=True, slots=True)
class Lack:
    """One thing that stops the note: at which step, for which piece ("" for the visit), in words."""

    step: str
    piece: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One view of the standard photo set."""

    code: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What is known beside the draft: views needed by piece, views taken by piece, lines with a close-up, cover limit."""

    needed: Mapping[str, tuple[View, ...]] = field(default_factory=dict)
    taken: Mapping[str, frozenset[str]] = field(default_factory=dict)
    close_ups: frozenset[str] = frozenset()
    minors: frozenset[int] = frozenset()
    limit: Decimal | None = None
    terms_version: int | None = None
    places: int = 2
    prices: Mapping[str, Priced] = field(default_factory=dict)  # the list in force, by code, for price-list work


def amount_of(text: str) -> Decimal:
    """A typed amount: “2,400.00”, “2400” or “2 400”. Raises NotMoneyError where it is none, or below nothing."""
    found = amount(text)
    if found < 0 or found >= MOST_VALUE:
        raise NotMoneyError(f"“{text.strip()}” is not an amount this book can hold.")
    return found


def millimetres_of(text: str) -> Decimal | None:
    """A typed length in millimetres: “33”, “2.5 mm”, “” for none. Raises NotMoneyError where it is none."""
    plain = text.strip().lower().removesuffix("mm").strip().replace(",", ".")
    if not plain:
        return None
    if not plain.isascii() or "e" in plain or "_" in plain:
        raise NotMoneyError(f"“{text.strip()}” is not a length.")
    length = exact(plain)
    if not 0 <= length < MOST_MM:
        raise NotMoneyError(f"“{text.strip()}” is not a length in millimetres.")
    return rounded(length, 1)


def missing(draft: Draft, seen: Seen) -> tuple[Lack, ...]:
    """Everything that stops the note, in the order of the steps. Empty when it may be signed."""
    if draft.from_list:
        return tuple(_from_list(draft, seen))
    lacks = [Lack("who", "", words) for words in _who(draft, seen)]
    if not draft.pieces:
        lacks.append(Lack("items", "", "Nothing is in the list. Add what was brought in."))
    for piece in draft.pieces:
        for step, found in (
            ("items", _items(piece)),
            ("said", _said(piece, seen)),
            ("photos", _photos(piece, seen)),
            ("condition", _condition(piece, seen)),
            ("value", _value(piece, seen)),
        ):
            lacks += [Lack(step, piece.key, words) for words in found]
    if seen.terms_version is None:
        lacks.append(Lack("sign", "", NO_TERMS))
    return tuple(sorted(lacks, key=lambda lack: STEPS.index(lack.step)))


def _from_list(draft: Draft, seen: Seen) -> Iterable[Lack]:
    """Price-list work is one page: everything is missing there."""
    for words in _who(draft, seen):
        yield Lack("counter", "", words)
    if draft.depositor is not None and draft.depositor not in {draft.role("owner"), draft.approver}:
        yield Lack(
            "counter", "", "Whoever brings it in may not agree for the owner. Say who is who, or take it in fully."
        )
    if not draft.pieces:
        yield Lack("counter", "", "Nothing is counted yet. Say what is to be done, and on how many.")
    for words in changed(draft, seen.prices, seen.places):
        yield Lack("counter", "", words)
    for piece in draft.pieces:
        for words in (*_too_long(piece, "marks", "more_left"), *_photos(piece, seen)):
            yield Lack("counter", piece.key, words)
        if any(len(words) > 80 for words in listed(piece.more_left)):
            yield Lack(
                "counter", piece.key, "One of the things left has more than 80 letters. Put commas between things."
            )
    if draft.pieces and not all(piece.number for piece in draft.pieces):
        yield Lack("counter", "", TO_BE_READ)
    if seen.terms_version is None:
        yield Lack("counter", "", NO_TERMS)


def at_step(lacks: Iterable[Lack], step: str, piece: str = "") -> tuple[Lack, ...]:
    """What is missing at one step, for one piece if named."""
    return tuple(lack for lack in lacks if lack.step == step and piece in {"", lack.piece})


def _who(draft: Draft, seen: Seen) -> Iterable[str]:
    if draft.depositor is None:
        yield "Say who brings it in."
    elif draft.depositor in seen.minors:
        yield "Someone under age does not sign. Choose the grown-up who brings it in."


def _too_long(piece: Piece, *names: str) -> Iterable[str]:
    for name in names:
        most, what = LONGEST[name]
        over = len(getattr(piece, name)) - most
        if over > 0:
            yield f"The {what} of the {_short(piece)} is {over} letters too long. Shorten it to {most}."


def _items(piece: Piece) -> Iterable[str]:
    yield from _too_long(piece, "size", "title", "labelled", "marks", "asset", "more_left", "more_home")
    if piece.kind == "Ot" and not piece.title.strip():
        yield "Say what the other item is."
    if any(len(words) > 120 for words in (*listed(piece.more_left), *listed(piece.more_home))):
        yield f"One of the things with the {_short(piece)} has more than 120 letters. Put commas between things."


def _said(piece: Piece, seen: Seen) -> Iterable[str]:
    yield from _too_long(piece, "said", "work", "agreed_words")
    if piece.job_kind not in JOB_KINDS:
        yield f"Say what kind of job the {_short(piece)} is here for."
    if not piece.said.strip() and not piece.work.strip():
        yield f"Write what the owner says of the {_short(piece)}, or what is asked for."
    if strung(piece.kind) and piece.tension not in TENSIONS:
        yield f"Say how the strings of the {_short(piece)} are."
    if piece.agreed_net.strip():
        yield from _amount(piece.agreed_net)
        if not piece.agreed_words.strip():
            yield "Say what work the agreed price is for."
    elif piece.agreed_words.strip():
        yield "Write the agreed price, or leave the agreed work empty."


def _amount(text: str) -> Iterable[str]:
    try:
        amount_of(text)
    except NotMoneyError as fault:
        yield f"{fault} Write digits and a point, such as 2400.00."


def _photos(piece: Piece, seen: Seen) -> Iterable[str]:
    for view in views_missing(piece, seen):
        yield f"{piece.name}, “{view.words}”: not taken. Take it, or say why not."
    for code, why in piece.why_no_view:
        if len(why) > 120:
            yield f"The reason for “{code}” has more than 120 letters. Shorten it."


def views_missing(piece: Piece, seen: Seen) -> tuple[View, ...]:
    """Views needed for a piece that have neither a picture nor a reason."""
    taken, reasons = seen.taken.get(piece.key, frozenset()), piece.reasons
    return tuple(view for view in seen.needed.get(piece.key, ()) if view.code not in taken and view.code not in reasons)


def _condition(piece: Piece, seen: Seen) -> Iterable[str]:
    yield from _too_long(piece, "not_examined")
    if not piece.found and not piece.nothing_found:
        yield f"Write what is found on the {_short(piece)}, or say that nothing was found."
    for number, line in enumerate(piece.found, 1):
        yield from (f"Line {number}: {words}" for words in line_lacks(line, seen))


def line_lacks(line: Found, seen: Seen) -> Iterable[str]:
    """What stops one condition line."""
    if not line.term and not line.words.strip():
        yield "say what is found."
    if line.severity not in SEVERITY:
        yield "say how bad it is."
    if line.stability not in STABILITY or line.freshness not in FRESHNESS:
        yield "say how steady and how fresh it is, or “Not known”."
    try:
        millimetres_of(line.extent)
    except NotMoneyError as fault:
        yield f"{fault} Write digits, such as 33."
    for name, text, most in (
        ("what is found", line.words, 120),
        ("place", line.where, 120),
        ("reason", line.no_photo, 120),
    ):
        if len(text) > most:
            yield f"the {name} is {len(text) - most} letters too long."
    if line.key not in seen.close_ups and not line.no_photo.strip():
        yield "take a close-up, or say why there is none."


def _value(piece: Piece, seen: Seen) -> Iterable[str]:
    if piece.value_answer == NOT_STATED:
        return
    if piece.value_answer != "stated":
        yield f"Ask what the {_short(piece)} is worth, or choose “Not stated”."
        return
    faults = list(_amount(piece.value or "–"))
    yield from faults
    if piece.basis not in BASES:
        yield "Say where the value comes from."
    if piece.own_cover and piece.own_cover not in COVERS:
        yield "Say whether the owner insures it."
    if not faults and above_cover(piece, seen.limit) and piece.accepted is None:
        yield "The value is above the shop’s cover. The head luthier must accept it in writing first."


def above_cover(piece: Piece, limit: Decimal | None) -> bool:
    """Whether the stated value of a piece is more than the shop's cover for one item."""
    if limit is None or piece.value_answer != "stated":
        return False
    try:
        return amount_of(piece.value) > limit
    except NotMoneyError:
        return False


def _short(piece: Piece) -> str:
    name = piece.long_name
    return name[:1].lower() + name[1:]
