"""What each kind of paper says, as frozen dataclasses: the shape of the JSON that is signed, hashed and typeset.

Pure. Every value is a string, a whole number, a truth value or a tuple of such, never a binary fraction:

- money and hours are decimal strings, "1234.50", in the shop's one currency; the template sets the thousands apart;
- lengths are strings in millimetres, "33";
- a moment is ISO 8601 with the offset of the shop's own zone, see `moment()`; a day is "2026-11-16", see `day()`;
- everything else is said in words, as the reader is to read it. An empty string means "leave this line out".

A page slice builds a `NoteText` or `ReleaseText` (here), an `EstimateText`, `InvoiceText` or `ReceiptText`
(`jobs.papers.money_texts`) and hands it to `jobs.papers.steps.freeze`. Nothing that must stay inside the building (places, bench notes, a secret link) belongs here.
"""

import dataclasses
import re
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import ClassVar, Self, TypeAlias

from jobs.book.kinds import ITEM_KINDS
from jobs.papers.agreed import AgreedLine

Json: TypeAlias = "dict[str, Json] | list[Json] | str | int | bool | None"
Stroke: TypeAlias = tuple[tuple[int, int, int], ...]

PAD_WIDTH = 1000
PAD_HEIGHT = 400
PAGES = ("a4", "us-letter")
HOWS = ("drawn", "typed", "on paper", "refused")

_DECIMAL = re.compile(r"-?\d{1,12}(\.\d{1,4})?")
_SHA256 = re.compile(r"[0-9a-f]{64}")


def moment(at: datetime, zone: tzinfo) -> str:
    """An aware time as the text keeps it: ISO 8601 to the second, in the shop's zone, with the offset written."""
    if at.tzinfo is None:
        raise ValueError("A time on a paper must know its zone.")
    return at.astimezone(zone).isoformat(timespec="seconds")


def day(on: date) -> str:
    """A day as the text keeps it: "2026-11-16"."""
    return on.isoformat() if not isinstance(on, datetime) else on.date().isoformat()


def decimals(*values: str) -> None:
    """Raise ValueError where a value is neither empty nor a plain decimal number."""
    for value in values:
        if value and not _DECIMAL.fullmatch(value):
            raise ValueError(f"“{value}” is not a plain decimal number.")


def _plain(value: object) -> Json:
    """Dataclasses to dicts, tuples to lists. Lone surrogates, which no UTF-8 text can hold, become U+FFFD."""
    if isinstance(value, str):
        return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    if value is None or isinstance(value, int):
        return value
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if dataclasses.is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
    raise TypeError(f"A paper cannot hold {type(value).__name__}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopHead:
    """The head of every paper. `currency` is words such as "pounds", or empty where amounts stand without a name."""

    name: str
    address: tuple[str, ...] = ()
    telephone: str = ""
    email: str = ""
    tax_number: str = ""
    currency: str = ""
    language: str = "en"
    page: str = "a4"

    def __post_init__(self) -> None:
        if self.page not in PAGES:
            raise ValueError(f"“{self.page}” is not a page this shop can print: {', '.join(PAGES)}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A party as the paper names it. `role` in words: "owner", "payer", "brings it in"."""

    name: str
    role: str = ""
    address: tuple[str, ...] = ()
    telephone: str = ""
    email: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """An item: "Cello 4/4" with its details ("labelled Vosterlind, 1883"). `kind` is the book's code; `tag` has no gaps."""

    name: str
    kind: str = ""
    details: tuple[str, ...] = ()
    tag: str = ""

    def __post_init__(self) -> None:
        if self.kind and self.kind not in ITEM_KINDS:
            raise ValueError(f"“{self.kind}” is not a kind of item.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One line of what is found. `photos` are numbers of the note's photo list; `extent_mm` may be empty."""

    number: int
    term: str
    place: str = ""
    extent_mm: str = ""
    severity: str = ""
    stability: str = ""
    freshness: str = ""
    words: str = ""
    photos: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        decimals(self.extent_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Accessory:
    """`where`: "left here" or "taken home"."""

    name: str
    where: str
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photo named by its number on this paper and the SHA-256 of the original file."""

    number: int
    sha256: str
    words: str = ""
    taken: str = ""
    job: str = ""

    def __post_init__(self) -> None:
        if not _SHA256.fullmatch(self.sha256):
            raise ValueError("A photo is named by 64 hexadecimal digits.")


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteJob:
    """One job under a note. `value` is a decimal string, or empty with the reason in `value_words` ("not stated").

    `agreed` is work from the price list, agreed to by signing; `agreed_total` its sum with tax, `deposit` what is asked of
    it before work begins.
    """

    number: str
    item: Thing
    asked: str = ""
    said: str = ""
    tension: str = ""
    conditions: tuple[Condition, ...] = ()
    accessories: tuple[Accessory, ...] = ()
    not_examined: tuple[str, ...] = ()
    value: str = ""
    value_words: str = "not stated"
    insured: str = ""
    answer_by: str = ""
    promised: str = ""
    agreed: tuple[AgreedLine, ...] = ()
    agreed_total: str = ""
    deposit: str = ""

    def __post_init__(self) -> None:
        decimals(self.value, self.agreed_total, self.deposit)


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteText:
    """The condition note: what came in, how it was, what was agreed. Signed by the depositor and the receiver.

    `agreed_total` adds up the agreed work of all jobs, from the price list that began on `prices_since`.
    """

    KIND: ClassVar[str] = "note"
    TITLE: ClassVar[str] = "Condition note"

    shop: ShopHead
    fixed: str
    arrived: str
    how: str = ""
    received_by: str = ""
    parties: tuple[Named, ...] = ()
    jobs: tuple[NoteJob, ...] = ()
    pictures: tuple[Picture, ...] = ()
    missing_views: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    show_photos: bool = False
    unsigned: str = ""
    agreed_total: str = ""
    prices_since: str = ""

    def __post_init__(self) -> None:
        decimals(self.agreed_total)

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form; what both people sign."""
        return to_text(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Returned:
    """One thing on the release list. `ticked_by` is who ticked it, `at` when; both empty when it was not given back."""

    item: Thing
    job: str = ""
    ticked_by: str = ""
    at: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseText:
    """The release: things given back, ticked one by one, and the collector's signature."""

    KIND: ClassVar[str] = "release"
    TITLE: ClassVar[str] = "Release"

    shop: ShopHead
    fixed: str
    collector: Named
    released_by: str
    identity: str = ""
    jobs: tuple[str, ...] = ()
    returned: tuple[Returned, ...] = ()
    received: str = "Received in the condition shown, with the items listed."
    money: str = ""
    care: tuple[str, ...] = ()
    free_check: str = ""
    terms: tuple[str, ...] = ()

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form; what the collector signs."""
        return to_text(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """One signature. `how` is one of `HOWS`; a drawn one has strokes of (x, y, milliseconds) on a pad 1000 × 400.

    A typed name needs a witness; a refusal needs a reason. `at` is the server's time, `device_at` the tablet's.
    """

    role: str
    name: str
    at: str
    how: str = "drawn"
    device_at: str = ""
    strokes: tuple[Stroke, ...] = ()
    witness: str = ""
    reason: str = ""

    def __post_init__(self) -> None:
        if self.how not in HOWS:
            raise ValueError(f"“{self.how}” is not a way to sign.")
        if self.how == "drawn" and not self.strokes:
            raise ValueError("A drawn signature needs its strokes.")
        for x, y, _ in (point for stroke in self.strokes for point in stroke):
            if not (0 <= x <= PAD_WIDTH and 0 <= y <= PAD_HEIGHT):
                raise ValueError("A stroke runs off the pad.")

    def to_text(self) -> dict[str, Json]:
        """As the paper's canonical JSON keeps it."""
        return to_text(self)

    @classmethod
    def drawn(cls, *, role: str, name: str, at: str, strokes: list[list[list[int]]], device_at: str = "") -> Self:
        """From the strokes as a tablet sends them (already checked by `signatures.read_strokes`)."""
        pen = tuple(tuple((x, y, t) for x, y, t in stroke) for stroke in strokes)
        return cls(role=role, name=name, at=at, strokes=pen, device_at=device_at)


def to_text(noun: object) -> dict[str, Json]:
    """Any dataclass of this module as plain JSON values with every field present."""
    plain = _plain(noun)
    if not isinstance(plain, dict):
        raise TypeError("Only a whole noun has a text.")
    return plain
