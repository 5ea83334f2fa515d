"""Work from the price list: what a piece costs, when it is ready, and whether the list has changed since. Pure.

Labour and goods are lines of their own, each rounded and taxed by its own class (rules of shop.money).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from jobs.estimates.amounts import deposit
from jobs.intake.drafts import Draft, Piece, Priced
from jobs.papers.agreed import AgreedLine
from jobs.papers.texts import day
from shop.clock import Opening, day_words
from shop.money import Taxed, Totals, plain, tax_on, totals, written

PHOTO_REASON = "price-list work, not photographed"
_AHEAD = 400  # days looked ahead for an open one
NOT_LOOKED_AT = "everything but the work agreed"


@dataclass(frozen=True, slots=True)
class Charged:
    """One line that is agreed to: labour, or what is sold with it."""

    words: str
    tax_class: str
    operation: int | None
    taxed: Taxed


@dataclass(frozen=True, slots=True)
class Offered:
    """A price as the counter offers it, for one kind of item. `size` is what a new item of it is called by."""

    kind: str
    size: str
    price: Priced

    @property
    def key(self) -> str:
        """Names its field: “RH-VN-Bw”."""
        return f"{self.price.code}-{self.kind}"


def charges(priced: Iterable[Priced], places: int) -> tuple[Charged, ...]:
    """The lines of some work. A price of nothing is still said."""
    lines: list[Charged] = []
    for one in priced:
        labour, goods = Decimal(one.labour), Decimal(one.goods)
        if labour or not goods:
            lines.append(Charged(one.words, "labour", one.operation, tax_on(labour, Decimal(one.labour_tax), places)))
        if goods:
            words = one.goods_words or one.words
            operation = None if labour else one.operation
            lines.append(
                Charged(
                    words[:1].upper() + words[1:], "goods", operation, tax_on(goods, Decimal(one.goods_tax), places)
                )
            )
    return tuple(lines)


def price_of(priced: Iterable[Priced], places: int) -> Totals:
    """What some work costs in all."""
    return totals(line.taxed for line in charges(priced, places))


def total_of(pieces: Iterable[Piece], places: int) -> Totals:
    """What all pieces cost together."""
    return totals(line.taxed for piece in pieces for line in charges(piece.priced, places))


def deposit_of(piece: Piece, places: int, *, percent: Decimal, above: Decimal) -> Decimal:
    """What is asked of a piece's price before work begins, by the shop's rule."""
    return deposit(price_of(piece.priced, places).gross, percent=percent, above=above, places=places)


def agreed_facts(piece: Piece, places: int, *, percent: Decimal, above: Decimal) -> dict[str, Any]:
    """What the note says of a piece's price: fields of `NoteJob`; none where nothing is from the list."""
    if not piece.priced:
        return {}
    ready, asked = ready_of(piece), deposit_of(piece, places, percent=percent, above=above)
    return {
        "agreed": tuple(
            AgreedLine(
                words=line.words,
                net=plain(line.taxed.net, places),
                tax=plain(line.taxed.tax, places),
                total=plain(line.taxed.gross, places),
                tax_rate=f"{line.taxed.rate.normalize():f}",
            )
            for line in charges(piece.priced, places)
        ),
        "agreed_total": plain(price_of(piece.priced, places).gross, places),
        "deposit": plain(asked, places) if asked else "",
        "promised": day(ready) if ready else "",
    }


def work_words(piece: Piece) -> str:
    """What is to be done, in one line of the job."""
    return "; ".join(one.words for one in piece.priced)[:160]


def ready_of(piece: Piece) -> date | None:
    """The day the last of its work should be done; None where none is named."""
    days = [date.fromisoformat(one.ready) for one in piece.priced if one.ready]
    return max(days) if days else None


def job_kind_of(piece: Piece) -> str:
    """A rehair where any of the work is one."""
    return "rehair" if any(one.job_kind == "rehair" for one in piece.priced) else "repair"


def ready_day(today: date, days: int, opening: Opening) -> date:
    """The day that is `days` open days after today; plain days where nobody has said when the shop is open."""
    found = today
    for _ in range(days):
        found += timedelta(days=1)
        for _ in range(_AHEAD):
            if not opening.known or not opening.closed_words(found):
                break
            found += timedelta(days=1)
    return found


def changed(draft: Draft, offered: Mapping[str, Priced], places: int) -> tuple[str, ...]:
    """What the list says otherwise now than the draft, in words that name both; empty when nothing changed."""
    said: dict[str, str] = {}
    for piece in draft.pieces:
        for one in piece.priced:
            now = offered.get(one.code)
            if one.code in said or (now is not None and replace(now, since=one.since) == one):
                continue
            said[one.code] = _changed(one, now, places)
    return tuple(said.values())


def _changed(was: Priced, now: Priced | None, places: int) -> str:
    if now is None:
        return f"{was.words} is not on the price list any more. Take it off, or write an estimate."
    before, after = (written(price_of((one,), places).gross, places) for one in (was, now))
    if before != after:
        return f"The price of “{was.words}” changed while this page was open: {before} before, {after} now."
    if was.ready != now.ready and was.ready and now.ready:
        days = (day_words(date.fromisoformat(one.ready)) for one in (was, now))
        return "“{}” was to be ready {}, and now {}.".format(was.words, *days)
    return f"“{was.words}” is written otherwise on the price list now: “{now.words}”."
