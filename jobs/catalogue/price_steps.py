"""Writing price lists. A list once in force is never edited: a new one begins as a copy with a day of its own.

    begin_list(since=…)                     the draft: a copy of the newest list (the one draft there is, if begun before)
    set_since / set_minimum / set_rate      its day, least charge for labour, price per hour of a skill
    set_price / add_price                   one fixed price of it; `active=False` takes it off the counter
    put_in_force                            from its day on it counts, and nobody changes it again
    reopen                                  takes a list whose day has not come back to be the draft
    withdraw                                throws the draft away

All take `by` and `at`; figures are net, before tax, rounded to the shop's currency. They raise Refused in words for the
page. Every change of a figure is an Entry with the value before and after. Each takes a lock and four to six statements.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import Max

from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.catalogue.models import FixedPrice, Operation, PriceList, Rate
from jobs.catalogue.price_guards import figures, proper_day, proper_price, proper_sum, today
from shop.money import ZERO, plain
from shop.people.models import Person
from shop.profile.reads import profile

_CODE = re.compile(r"[A-Z0-9][A-Z0-9-]{1,11}")


def begin_list(*, since: date, by: Person, at: datetime, key: str = "") -> PriceList:
    """Begin the draft as a copy of the newest list with every figure. Begun before, that draft with this day instead."""
    with transaction.atomic():
        pressed = press(key, "prices.begin", at=at) if key else None
        proper_day(since, at)
        draft = PriceList.objects.select_for_update(no_key=True).filter(draft=True).first()
        if draft is None:
            before = PriceList.objects.filter(draft=False).order_by("-since", "-pk").first()
            draft = PriceList(since=since, minimum=before.minimum if before else ZERO)
            _the_draft(draft)
            if before is not None:
                _copy(before, draft)
            data = {"list": draft.pk, "since": since.isoformat(), "copy": before.pk if before else None}
            record("prices.begun", by=by, at=at, data=data)
        else:
            _since(draft, since, by=by, at=at)
        if pressed is not None:
            keep(pressed, list=draft.pk)
    return draft


def _the_draft(prices: PriceList) -> None:
    prices.draft = True
    try:
        with transaction.atomic():
            prices.save()
    except IntegrityError as fault:
        # there is one draft at most, and somebody else's came between our look and now
        raise Refused("Somebody else began to write a list just now. Look at the page again.") from fault


def _copy(before: PriceList, draft: PriceList) -> None:
    rates, fixed = list(before.rates.all()), list(before.fixed.all())
    for rate in rates:
        rate.pk, rate.price_list = None, draft
    for price in fixed:
        price.pk, price.price_list = None, draft
    Rate.objects.bulk_create(rates)
    FixedPrice.objects.bulk_create(fixed)


def set_since(prices: PriceList, since: date, *, by: Person, at: datetime) -> None:
    """From which day on the draft is to count."""
    with _writing(prices) as draft:
        proper_day(since, at)
        _since(draft, since, by=by, at=at)


def _since(draft: PriceList, since: date, *, by: Person, at: datetime) -> None:
    if draft.since == since:
        return
    data = {"list": draft.pk, "what": "since", "from": draft.since.isoformat(), "to": since.isoformat()}
    draft.since = since
    draft.save(update_fields=["since"])
    record("prices.changed", by=by, at=at, data=data)


def set_minimum(prices: PriceList, minimum: Decimal, *, by: Person, at: datetime) -> None:
    """The least charge for labour; 0 for none."""
    with _writing(prices) as draft:
        places = profile().places
        new = proper_sum(minimum, places)
        if new == draft.minimum:
            return
        data = {"list": draft.pk, "what": "minimum", "from": plain(draft.minimum, places), "to": plain(new, places)}
        draft.minimum = new
        draft.save(update_fields=["minimum"])
        record("prices.changed", by=by, at=at, data=data)


def set_rate(prices: PriceList, skill: int, per_hour: Decimal, *, words: str = "", by: Person, at: datetime) -> Rate:
    """The price of one hour of a skill. `words` names the skill where the list has none yet."""
    with _writing(prices) as draft:
        places = profile().places
        new, words = proper_sum(per_hour, places), " ".join(words.split())[:40]
        known = Rate.objects.filter(price_list=draft, skill=skill).first()
        if known is None and (not words or not 0 < skill < 100):
            raise Refused("Say whose hour this is, such as “luthier”.")
        rate = known or Rate(price_list=draft, skill=skill, words=words)
        before = plain(known.per_hour, places) if known else None
        if before == plain(new, places) and words in {"", rate.words}:
            return rate
        rate.per_hour, rate.words = new, words or rate.words
        rate.save()
        data = {"list": draft.pk, "what": f"rate {skill}", "from": before, "to": plain(new, places)}
        record("prices.changed", by=by, at=at, data=data)
    return rate


def set_price(
    prices: PriceList,
    code: str,
    *,
    labour: Decimal | None = None,
    goods: Decimal | None = None,
    ready_days: int | None = None,
    words: str | None = None,
    goods_words: str | None = None,
    active: bool | None = None,
    by: Person,
    at: datetime,
) -> FixedPrice:
    """Change a fixed price of the draft; what is left None stays as it is."""
    with _writing(prices) as draft:
        places = profile().places
        price = FixedPrice.objects.filter(price_list=draft, code=code).first()
        if price is None:
            raise Refused("That price is not in the list any more. Look at the list again.")
        before = figures(price, places)
        given = {
            "labour": labour, "goods": goods, "ready_days": ready_days, "words": words, "goods_words": goods_words,
            "active": active,
        }  # fmt: skip
        for name, value in given.items():
            if value is not None:
                setattr(price, name, value)
        proper_price(price, places)
        after = figures(price, places)
        if after == before:
            return price
        price.save(update_fields=list(given))
        data = {"list": draft.pk, "what": price.code, "from": before, "to": after}
        record("prices.changed", by=by, at=at, data=data)
    return price


def add_price(
    prices: PriceList,
    *,
    code: str,
    words: str,
    kinds: str,
    labour: Decimal,
    goods: Decimal = ZERO,
    goods_words: str = "",
    ready_days: int,
    size: str = "",
    job_kind: str = "repair",
    operation: Operation | None = None,
    by: Person,
    at: datetime,
    key: str = "",
) -> FixedPrice:
    """Put another fixed price into the draft. `code` is short: capitals, digits, dashes."""
    with _writing(prices) as draft:
        pressed = press(key, "prices.add", at=at) if key else None
        places = profile().places
        code = code.strip().upper()
        if not _CODE.fullmatch(code):
            raise Refused("A short name has two to twelve capitals, digits and dashes, such as RH-VN.")
        if FixedPrice.objects.filter(price_list=draft, code=code).exists():
            raise Refused(f"The list has a price called {code} already. Change that one, or choose another name.")
        last = FixedPrice.objects.filter(price_list=draft).aggregate(last=Max("position"))["last"] or 0
        price = FixedPrice(
            price_list=draft, code=code, words=words, kinds=" ".join(kinds.split()), size=size.strip(),
            job_kind=job_kind, labour=labour, goods=goods, goods_words=goods_words, ready_days=ready_days,
            operation=operation, position=last + 1,
        )  # fmt: skip
        proper_price(price, places)
        price.save(force_insert=True)
        data = {"list": draft.pk, "what": code, "from": None, "to": figures(price, places)}
        record("prices.changed", by=by, at=at, data=data)
        if pressed is not None:
            keep(pressed, price=price.pk)
    return price


def put_in_force(prices: PriceList, *, by: Person, at: datetime, key: str = "") -> PriceList:
    """From its day on the draft counts. Raises Refused when its day is past, or it has no price per hour."""
    with _writing(prices) as draft:
        pressed = press(key, "prices.force", at=at) if key else None
        proper_day(draft.since, at)
        if not draft.rates.exists():
            raise Refused("This list has no price per hour yet. Write those first.")
        later = PriceList.objects.filter(draft=False, since=draft.since, pk__gt=draft.pk)
        if later.exists():
            raise Refused("Another list begins on that day. Choose another day, or reopen that one.")
        draft.draft = False
        draft.save(update_fields=["draft"])
        record("prices.put", by=by, at=at, data={"list": draft.pk, "since": draft.since.isoformat()})
        if pressed is not None:
            keep(pressed, list=draft.pk)
    return draft


def reopen(prices: PriceList, *, by: Person, at: datetime) -> PriceList:
    """A list whose day has not come becomes the draft again."""
    with transaction.atomic():
        held = PriceList.objects.select_for_update(no_key=True).get(pk=prices.pk)
        if held.draft:
            return held
        if held.since <= today(at):
            raise Refused("This list is in force and stays as it is. Begin a new one.")
        if PriceList.objects.filter(draft=True).exists():
            raise Refused("Another list is being written. Put that one in force or withdraw it first.")
        _the_draft(held)
        record("prices.reopened", by=by, at=at, data={"list": held.pk, "since": held.since.isoformat()})
    return held


def withdraw(prices: PriceList, *, by: Person, at: datetime) -> None:
    """Throw the draft away. Twice is the same as once."""
    with transaction.atomic():
        held = PriceList.objects.select_for_update(no_key=True).filter(pk=prices.pk).first()
        if held is None:
            return
        if not held.draft:
            raise Refused("This list has been put in force. Only a list that is being written can be withdrawn.")
        data = {"list": held.pk, "since": held.since.isoformat()}
        FixedPrice.objects.filter(price_list=held).delete()
        Rate.objects.filter(price_list=held).delete()
        held.delete()
        record("prices.withdrawn", by=by, at=at, data=data)


@contextmanager
def _writing(prices: PriceList) -> Iterator[PriceList]:
    """The draft, locked, inside one transaction."""
    with transaction.atomic():
        held = PriceList.objects.select_for_update(no_key=True).filter(pk=prices.pk).first()
        if held is None:
            raise Refused("This list was withdrawn. Begin a new one.")
        if not held.draft:
            raise Refused("This list is put in force and is not changed any more. Begin a new one as a copy.")
        yield held
