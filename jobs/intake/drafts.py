"""A draft of an intake, as frozen dataclasses, and its JSON. Pure.

Everything typed is kept as it was typed, right or wrong; `lacking.py` says what stops the note. Amounts and millimetres
are text until then. Keys are short, unique within a draft, and name the photos' slots.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from jobs.book.kinds import ITEM_KINDS, title_of
from jobs.intake.words import not_examined_for

ROLES = ("depositor", "owner", "player", "payer", "approver", "collector")
# Left empty, a role falls to another; the player may stay unsaid.
SAME_AS = {"owner": "depositor", "payer": "owner", "approver": "owner", "collector": "owner"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One condition line. Its close-up is the photo whose slot is `key`; `no_photo` says why there is none."""

    key: str
    term: str = ""
    words: str = ""
    part: str = ""
    where: str = ""
    extent: str = ""
    severity: str = ""
    stability: str = "unknown"
    freshness: str = "unknown"
    no_photo: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """The head luthier's written yes to a value above the shop's cover. `person` is a staff id, `value` what was accepted."""

    person: int
    name: str
    words: str
    value: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """Work from the price list as it was read out: sums before tax and tax rates are decimal text, days are ISO.

    `since` is the day its list began, `ready` the day it should be ready. `operation` is an id, or None.
    """

    code: str
    words: str
    job_kind: str = "repair"
    operation: int | None = None
    labour: str = "0"
    goods: str = "0"
    goods_words: str = ""
    labour_tax: str = "0"
    goods_tax: str = "0"
    since: str = ""
    ready: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One item brought in, which becomes one job. `item` is set when the book has it, `job` when it was expected."""

    key: str
    number: str = ""
    item: int | None = None
    job: int | None = None
    kind: str = "Vn"
    size: str = ""
    title: str = ""
    labelled: str = ""
    marks: str = ""
    asset: str = ""
    job_kind: str = "repair"
    work: str = ""
    said: str = ""
    tension: str = ""
    agreed_words: str = ""
    agreed_net: str = ""
    left: tuple[str, ...] = ()
    home: tuple[str, ...] = ()
    more_left: str = ""
    more_home: str = ""
    found: tuple[Found, ...] = ()
    nothing_found: bool = False
    not_examined: str = ""
    why_no_view: tuple[tuple[str, str], ...] = ()
    value_answer: str = ""
    value: str = ""
    basis: str = ""
    own_cover: str = ""
    accepted: Accepted | None = None
    priced: tuple[Priced, ...] = ()
    place: int | None = None

    @property
    def name(self) -> str:
        """“Violin 4/4”."""
        return self.title or title_of(self.kind, self.size)

    @property
    def long_name(self) -> str:
        """“Violin 4/4, dark brown”."""
        return ", ".join(part for part in (self.name, self.marks or self.asset) if part)

    @property
    def reasons(self) -> dict[str, str]:
        """Why a view was not taken, by view code."""
        return dict(self.why_no_view)

    @property
    def accessories(self) -> tuple[tuple[str, bool], ...]:
        """Everything that came with it, and whether it is left here."""
        return tuple(
            [(words, True) for words in (*self.left, *listed(self.more_left))]
            + [(words, False) for words in (*self.home, *listed(self.more_home))]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Everything entered so far for one visit. `from_list`: nothing but work from the price list, on one page."""

    from_list: bool = False
    depositor: int | None = None
    owner: int | None = None
    player: int | None = None
    payer: int | None = None
    approver: int | None = None
    collector: int | None = None
    pieces: tuple[Piece, ...] = ()

    def piece(self, key: str) -> Piece:
        """The piece with this key. Raises KeyError."""
        for piece in self.pieces:
            if piece.key == key:
                return piece
        raise KeyError(key)

    def role(self, role: str) -> int | None:
        """Who holds a role, by its own answer or by the one it falls to."""
        said: int | None = getattr(self, role)
        return self.role(SAME_AS[role]) if said is None and role in SAME_AS else said

    @property
    def parties(self) -> frozenset[int]:
        """Every party named."""
        return frozenset(pk for role in ROLES if (pk := self.role(role)) is not None)


def listed(text: str) -> tuple[str, ...]:
    """“mute, two spare strings” → its parts."""
    return tuple(part for raw in text.replace("\n", ",").split(",") if (part := raw.strip()))


def tidy(text: str) -> str:
    """Typed text without what no database and no paper can hold: NUL and lone surrogates."""
    return text.replace("\x00", "").encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def new_piece(key: str, kind: str, **known: Any) -> Piece:
    """A piece of one kind, with what is not examined filled in."""
    if kind not in ITEM_KINDS:
        raise KeyError(kind)
    piece = Piece(key=key, kind=kind, not_examined=not_examined_for(kind), **known)
    return replace(piece, job_kind="rehair") if kind == "Bw" else piece


T = TypeVar("T")


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, Found | Accepted | Priced | Piece | Draft):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    return value


def to_json(draft: Draft) -> dict[str, Any]:
    """As the database keeps it."""
    plain: dict[str, Any] = _plain(draft)
    return plain


_INNER: dict[str, Callable[[Any], Any]] = {
    "found": lambda rows: tuple(_read(Found, row) for row in rows),
    "accepted": lambda row: _read(Accepted, row) if row else None,
    "priced": lambda rows: tuple(_read(Priced, row) for row in rows),
    "pieces": lambda rows: tuple(_read(Piece, row) for row in rows),
    "why_no_view": lambda rows: tuple((code, why) for code, why in rows),
    "left": tuple,
    "home": tuple,
}


def _read(shape: type[T], row: Mapping[str, Any]) -> T:
    known = {one.name for one in fields(shape)}  # type: ignore[arg-type]
    return shape(
        **{name: _INNER[name](value) if name in _INNER else value for name, value in row.items() if name in known}
    )


def from_json(data: Mapping[str, Any]) -> Draft:
    """A draft as it was kept. Fields of an older or newer program are left out, missing ones take their defaults."""
    return _read(Draft, data)
