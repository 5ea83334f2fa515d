"""Keeping a whole table of prices at once, and raising all of it: each changed figure by the catalogue's own steps."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.book.refusals import Refused
from jobs.catalogue import price_steps as prices
from jobs.catalogue.models import FixedPrice, PriceList, Rate
from jobs.catalogue.price_reads import fixed_of, rates_of
from jobs.office.changing import Faults, not_changed_meanwhile
from jobs.office.rises import LEAST, MOST, Rise, raised
from jobs.office.typed_days import day_in
from shop.money import NotMoneyError, rounded, written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile
from shop.typed import amount

ACTIONS = ("prices.begun", "prices.changed", "prices.put", "prices.reopened", "prices.withdrawn")
PARTS = {"rates": "hours", "labour": "labour of fixed prices", "goods": "goods of fixed prices"}


def shown_of(listed: PriceList, rates: Iterable[Rate], fixed: Iterable[FixedPrice], places: int) -> dict[str, object]:
    """Every cell of a list by its name, as the page shows it."""
    cells: dict[str, object] = {
        "since": listed.since.isoformat(),
        "minimum": written(listed.minimum, places),
        **{f"rate-{one.skill}": written(one.per_hour, places) for one in rates},
    }
    for one in fixed:
        cells |= {
            f"words-{one.code}": one.words,
            f"labour-{one.code}": written(one.labour, places),
            f"goods-{one.code}": written(one.goods, places),
            f"gw-{one.code}": one.goods_words,
            f"days-{one.code}": str(one.ready_days),
            f"on-{one.code}": "1" if one.active else "",
        }
    return cells


def keep_table(draft: PriceList, typed: Mapping[str, str], *, seen: str, by: Person, at: datetime) -> int:
    """Keep what was typed into the table of the draft; returns how many cells changed. All or nothing.

    Raises Faults by cell, Stale when somebody changed the list since the page was opened, Refused when it is no draft.
    """
    with transaction.atomic():
        held, rates, fixed, shop = _opened(draft, seen, at=at)
        before = shown_of(held, rates, fixed, shop.places)
        after = {name: " ".join(typed.get(name, str(value)).split()) for name, value in before.items()}
        after |= {name: "1" if typed.get(name) else "" for name in before if name.startswith("on-")}
        changed = {name for name, value in before.items() if after[name] != value}
        faults: dict[str, str] = {}
        for name in sorted(changed & {"since", "minimum"} | {one for one in changed if one.startswith("rate-")}):
            _try(faults, name, lambda name=name: _keep_head(held, name, after[name], shop, by=by, at=at))
        for one in fixed:
            cells = {part: after[f"{part}-{one.code}"] for part in ("words", "labour", "goods", "gw", "days", "on")}
            if changed & {f"{part}-{one.code}" for part in cells}:
                _keep_row(held, one, cells, faults, shop, by=by, at=at)
        if faults:
            raise Faults(faults)
    return len(changed)


def _opened(draft: PriceList, seen: str, *, at: datetime) -> tuple[PriceList, list[Rate], list[FixedPrice], Profile]:
    held = PriceList.objects.select_for_update(no_key=True).filter(pk=draft.pk, draft=True).first()
    if held is None:
        raise Refused("This list is not being written any more. Look at the lists again.")
    rates, fixed, shop = rates_of(held), fixed_of(held), profile()
    not_changed_meanwhile(seen, shown_of(held, rates, fixed, shop.places), ACTIONS, shop, at=at)
    return held, rates, fixed, shop


def _keep_head(held: PriceList, name: str, text: str, shop: Profile, *, by: Person, at: datetime) -> None:
    if name == "since":
        since = day_in(text)
        if since is None:
            raise Refused("Choose the day from which the list counts.")
        prices.set_since(held, since, by=by, at=at)
    elif name == "minimum":
        prices.set_minimum(held, sum_in(text, shop.places), by=by, at=at)
    else:
        prices.set_rate(held, int(name.removeprefix("rate-")), sum_in(text, shop.places), by=by, at=at)


def _keep_row(
    held: PriceList,
    one: FixedPrice,
    cells: Mapping[str, str],
    faults: dict[str, str],
    shop: Profile,
    *,
    by: Person,
    at: datetime,
) -> None:
    sums: dict[str, Decimal] = {}
    for part in ("labour", "goods"):
        _try(faults, f"{part}-{one.code}", lambda part=part: sums.update({part: sum_in(cells[part], shop.places)}))
    if not cells["days"].isascii() or not cells["days"].isdigit() or len(cells["days"]) > 3:
        faults[f"days-{one.code}"] = "Write a number of days."
    if any(name.endswith(f"-{one.code}") for name in faults):
        return

    def keep() -> None:
        prices.set_price(
            held,
            one.code,
            labour=sums["labour"],
            goods=sums["goods"],
            ready_days=int(cells["days"]),
            words=cells["words"],
            goods_words=cells["gw"],
            active=bool(cells["on"]),
            by=by,
            at=at,
        )

    _try(faults, f"words-{one.code}", keep)


def _try(faults: dict[str, str], name: str, keep: object) -> None:
    try:
        with transaction.atomic():
            keep()  # type: ignore[operator]
    except Refused as refusal:
        faults[name] = refusal.words


def sum_in(text: str, places: int) -> Decimal:
    """A price as typed, nothing for an empty cell. Raises Refused in words."""
    if not text.strip():
        return Decimal(0)
    try:
        found = amount(text)
    except NotMoneyError as fault:
        raise Refused(f"“{text[:20]}” is not an amount.") from fault
    if found < 0:
        raise Refused("A price is not below zero.")
    if found != rounded(found, places):
        raise Refused(f"At most {places} digits after the point.")
    return found


def percent_in(text: str) -> Decimal:
    """By how many per cent prices rise: “4.5”, “-3 %”. Raises Refused in words."""
    try:
        percent = amount(text.strip().removesuffix("%").strip())
    except NotMoneyError as fault:
        raise Refused("Write by how many per cent, such as 4.5.") from fault
    if not LEAST <= percent <= MOST or not percent:
        raise Refused(f"Between {LEAST} and {MOST} per cent, and not nothing.")
    return percent


def rises(listed: PriceList, percent: Decimal, step: Decimal, parts: Iterable[str]) -> list[Rise]:
    """What each figure of the list would become. Two queries. Code: “rate-3”, “labour-RH-VN”, “goods-RH-VN”."""
    found, parts = [], set(parts)
    if "rates" in parts:
        found += [
            Rise(f"rate-{one.skill}", f"Hour, {one.words}", one.per_hour, raised(one.per_hour, percent, step))
            for one in rates_of(listed)
        ]
    for one in fixed_of(listed):
        for part, old in (("labour", one.labour), ("goods", one.goods)):
            if part in parts and old:
                words = one.words if part == "labour" else f"{one.words}: {one.goods_words}"
                found.append(Rise(f"{part}-{one.code}", words, old, raised(old, percent, step)))
    return found


def rise_all(
    draft: PriceList, percent: Decimal, step: Decimal, parts: Iterable[str], *, seen: str, by: Person, at: datetime
) -> int:
    """Take the rises as they were shown; `seen` is the mark of the list they were computed from. Returns how many changed."""
    with transaction.atomic():
        held, _, _, shop = _opened(draft, seen, at=at)
        coming = [one for one in rises(held, percent, step, parts) if one.new != one.old]
        if not coming:
            raise Refused("Nothing would change.")
        for one in coming:
            part, _, code = one.code.partition("-")
            new = rounded(one.new, shop.places)
            if part == "rate":
                prices.set_rate(held, int(code), new, by=by, at=at)
            elif part == "labour":
                prices.set_price(held, code, labour=new, by=by, at=at)
            else:
                prices.set_price(held, code, goods=new, by=by, at=at)
    return len(coming)
