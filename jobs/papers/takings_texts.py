"""What the sheet of the takings says once the drawer was counted. Pure; the rules of `jobs.papers.texts` hold.

Sums by method add up, and expected, counted, difference and what stays follow from each other, or the paper is refused.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from jobs.papers.texts import Json, ShopHead, decimals, to_text


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodText:
    """One way to pay: what came in, went out, was reversed, and all of it together."""

    words: str
    deposits: str
    payments: str
    refunds: str
    reversals: str
    together: str

    def __post_init__(self) -> None:
        decimals(self.deposits, self.payments, self.refunds, self.reversals, self.together)
        parts = (self.deposits, self.payments, self.refunds, self.reversals)
        if sum((Decimal(one) for one in parts), Decimal(0)) != Decimal(self.together):
            raise ValueError(f"{self.words}: the parts do not make {self.together}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonText:
    """Who took how much, by method in words."""

    name: str
    how: str
    together: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RowText:
    """One row of the book of money: a moment, who wrote it down, what it was, of which invoice or job, how, how much."""

    at: str
    who: str
    what: str
    of: str
    how: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoinText:
    """Coins or notes of one worth."""

    worth: str
    many: str
    together: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakingsText:
    """A count of the drawer with the takings it closes. `since` is the count before, empty for the first."""

    KIND: ClassVar[str] = "takings"
    TITLE: ClassVar[str] = "Takings"

    shop: ShopHead
    fixed: str
    count: str
    counted_by: str
    methods: tuple[MethodText, ...]
    all: MethodText
    people: tuple[PersonText, ...]
    rows: tuple[RowText, ...]
    opening: str
    cash: str
    expected: str
    counted: str
    difference: str
    removed: str
    kept: str
    since: str = ""
    reason: str = ""
    corrects: str = ""
    coins: tuple[CoinText, ...] = ()

    def __post_init__(self) -> None:
        sums = (self.opening, self.cash, self.expected, self.counted, self.difference, self.removed, self.kept)
        decimals(*sums)
        opening, cash, expected, counted, difference, removed, kept = (Decimal(one) for one in sums)
        if opening + cash != expected or counted - expected != difference or counted - removed != kept:
            raise ValueError("The drawer does not add up.")

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form."""
        return to_text(self)
