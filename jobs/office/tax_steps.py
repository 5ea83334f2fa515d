"""Tax rates by day: a new rate begins on a day; one that has begun is never edited."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import IntegrityError, transaction

from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from shop.clock import days_words, local
from shop.money import NotMoneyError, rounded
from shop.people.models import Person
from shop.profile.models import Profile, TaxClass, TaxRate
from shop.typed import amount

ACTIONS = ("tax.set", "tax.withdrawn")
MOST_AHEAD = timedelta(days=3 * 366)


def percent_in(text: str) -> Decimal:
    """A typed rate: “20”, “8.25 %”. Raises Refused in words."""
    plain = text.strip().removesuffix("%").strip()
    try:
        rate = amount(plain)
    except NotMoneyError as fault:
        raise Refused(f"“{text.strip()[:20]}” is not a rate. Write it like 8.25.") from fault
    if not 0 <= rate < 100:
        raise Refused("A tax rate is from 0 to less than 100 per cent.")
    if rate != rounded(rate, 3):
        raise Refused("A tax rate has three digits after the point at most.")
    return rounded(rate, 3)


def set_rate(code: str, since: date | None, rate: Decimal, *, by: Person, at: datetime, key: str) -> TaxRate:
    """A new rate of a tax class from a day on: today or later. A rate that is to come is replaced on its own day.

    Raises Refused for a day that is past, or a rate that begins today twice; Again for a second press.
    """
    if since is None:
        raise Refused("Choose the day from which the rate counts.")
    with transaction.atomic():
        pressed = press(key, "tax.set", at=at)
        shop = Profile.objects.get(pk=1)
        today = local(at, shop.zone).date()
        kind = TaxClass.objects.select_for_update(no_key=True).filter(code=code).first()
        if kind is None:
            raise Refused("Choose what is taxed.")
        if since < today:
            raise Refused("A rate that is past is not changed. Choose today or a day to come.")
        if since > today + MOST_AHEAD:
            raise Refused(f"Look at the year: {since.year} is too far from now.")
        before = kind.rates.filter(since__lt=since).order_by("-since").first()
        same = kind.rates.filter(since=since).first()
        if same is not None and since == today and same.rate != rate:
            raise Refused(
                f"A rate of {_said(same.rate)} % has begun today and lines may carry it. Let the new one begin tomorrow."
            )
        if before is not None and before.rate == rate and same is None:
            raise Refused(f"It is {_said(rate)} % on that day already.")
        try:
            with transaction.atomic():
                made, _ = TaxRate.objects.update_or_create(
                    tax_class=kind, since=since, defaults={"rate": rate, "made_at": at, "made_by": by}
                )
        except IntegrityError as taken:
            raise Refused("Somebody set a rate for that day just now. Look at the page again.") from taken
        was = same or before
        data = {"code": code, "since": since.isoformat(), "from": _said(was.rate) if was else None, "to": _said(rate)}
        record("tax.set", by=by, at=at, data=data)
        keep(pressed, rate=made.pk)
    return made


def withdraw(rate: TaxRate, *, by: Person, at: datetime) -> None:
    """Take back a rate whose day has not come. Twice is the same as once."""
    with transaction.atomic():
        shop = Profile.objects.select_for_update(no_key=True).get(pk=1)
        held = TaxRate.objects.select_related("tax_class").filter(pk=rate.pk).first()
        if held is None:
            return
        if held.since <= local(at, shop.zone).date():
            raise Refused(f"This rate is in force since {days_words(held.since)} and stays. Set a new one instead.")
        data = {"code": held.tax_class.code, "since": held.since.isoformat(), "rate": _said(held.rate)}
        held.delete()
        record("tax.withdrawn", by=by, at=at, data=data)


def _said(rate: Decimal) -> str:
    return f"{rate.normalize():f}"
