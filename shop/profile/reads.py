"""The shop's profile, its terms and its tax rates by day."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from shop.clock import Opening
from shop.hours import closed_soon, week_words
from shop.prepared import Prepared
from shop.profile.models import ClosedDay, Profile, TaxRate, Terms

_only = Prepared(lambda: Profile.objects.filter(pk=1))


def profile() -> Profile:
    """The one profile row. One query. Raises Profile.DoesNotExist before the shop is set up."""
    found = profile_if_any()
    if found is None:
        raise Profile.DoesNotExist
    return found


def profile_if_any() -> Profile | None:
    """The one profile row, None before the shop is set up. One query."""
    return _only.first()


def opening(shop: Profile, *, since: date) -> Opening:
    """When the shop is open from a day on: its week and its closed days. One query."""
    shut = ClosedDay.objects.filter(off_at__isnull=True, last__gte=since).order_by("first", "pk")
    return Opening(shop.hours, shop.zone, tuple(shut.values_list("first", "last", "words")))


def terms_now() -> Terms | None:
    """The terms in force at this moment. One query, a second where no version has begun."""
    return terms_on(timezone.now())


def terms_on(at: datetime) -> Terms | None:
    """The newest terms that have begun; the first version counts even before its day, so that a clock set back stops nobody."""
    begun = Terms.objects.filter(since__lte=at).order_by("-version").first()
    return begun or Terms.objects.order_by("version").first()


def opening_words(shop: Profile, today: date) -> str:
    """“Mon to Fri 9 to 17, closed Thu 24 to Sat 26 December”: the week in words, then closed days soon. One query."""
    said = [shop.hours_words or week_words(shop.hours), closed_soon(opening(shop, since=today), today)]
    return ", ".join(words for words in said if words)


def rate_on(code: str, day: date) -> Decimal | None:
    """Per cent a tax class is taxed at on a day; None when the class or its rate is not known. One query."""
    newest = TaxRate.objects.filter(tax_class__code=code, since__lte=day).order_by("-since")
    return newest.values_list("rate", flat=True).first()


@dataclass(frozen=True, slots=True)
class TaxToday:
    """A tax class with its rate on a day, in per cent."""

    code: str
    words: str
    rate: Decimal


def taxes_on(day: date) -> list[TaxToday]:
    """Every tax class that has a rate on a day, by code. One query."""
    dated = TaxRate.objects.filter(since__lte=day).order_by("tax_class__code", "since")
    newest = {
        code: TaxToday(code, words, rate)
        for code, words, rate in dated.values_list("tax_class__code", "tax_class__words", "rate")
    }
    return list(newest.values())
