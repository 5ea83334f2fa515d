"""How each room stands, in one line."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Count, Q

from jobs.catalogue.models import PriceList
from jobs.catalogue.price_reads import list_on
from jobs.custody.models import Location
from shop.clock import day_words, local
from shop.hours import closed_soon, week_words
from shop.people.models import Device
from shop.profile.models import Profile, TaxRate, Terms
from shop.profile.reads import opening, taxes_on, terms_on

SAMPLE_PRICES = date(2020, 1, 1)  # the day the list of the fixtures begins
SOON = 60  # days in which closed days are named on the front page

PAGES = {"a4": "A4", "us-letter": "Letter"}


@dataclass(frozen=True, slots=True)
class Standing:
    """The shop and the moment a line is asked for."""

    shop: Profile
    at: datetime
    today: date


def facts(here: Standing) -> str:
    """“Marrowfen Strings Workshop; EUR; A4”. No query."""
    return f"{here.shop.name}; {here.shop.currency}; {PAGES.get(here.shop.page, here.shop.page)}"


def hours(here: Standing) -> str:
    """“Mon to Fri 9 to 17, Sat 10 to 13; closed Thu 24 to Sat 26 December”. One query."""
    week = here.shop.hours_words or week_words(here.shop.hours) or "No hours yet"
    closed = closed_soon(opening(here.shop, since=here.today), here.today, days=SOON)
    return f"{week}; {closed}" if closed else week


def taxes(here: Standing) -> str:
    """“goods 8.25 %, labour 0 %; goods 9 % from Tue 1 Dec”. Two queries."""
    now = ", ".join(f"{one.words} {_rate(one.rate)}" for one in taxes_on(here.today)) or "None"
    coming = TaxRate.objects.filter(since__gt=here.today).order_by("since").select_related("tax_class").first()
    if coming is None:
        return now
    return f"{now}; {coming.tax_class.words} {_rate(coming.rate)} from {day_words(coming.since, today=here.today)}"


def _rate(rate: Decimal) -> str:
    return f"{rate.normalize():f} %"


def prices(here: Standing) -> str:
    """“Since Tue 1 Dec; one is being written for Thu 1 Jan 2027”. Two queries."""
    held = list_on(here.today)
    coming = PriceList.objects.filter(Q(draft=True) | Q(since__gt=here.today)).order_by("-draft", "since").first()
    if held is None:
        said = "None in force"
    elif held.since == SAMPLE_PRICES:
        said = "The sample list"
    else:
        said = f"Since {day_words(held.since, today=here.today)}"
    if coming is None:
        return said
    begins = day_words(coming.since, today=here.today)
    return f"{said}; {'one is being written for' if coming.draft else 'the next from'} {begins}"


def terms(here: Standing) -> str:
    """“Terms 2 since Tue 1 Dec”. Two queries."""
    held = terms_on(here.at)
    if held is None:
        return "None yet"
    coming = Terms.objects.filter(since__gt=here.at).exclude(pk=held.pk).order_by("version").first()
    said = f"Terms {held.version} since {_day(held, here)}"
    return f"{said}; terms {coming.version} from {_day(coming, here)}" if coming else said


def _day(terms: Terms, here: Standing) -> str:
    return day_words(local(terms.since, here.shop.zone).date(), today=here.today)


def places(here: Standing) -> str:
    """“45 places in 5 rooms”. One query."""
    counted = Location.objects.filter(closed_at=None).aggregate(n=Count("pk"), rooms=Count("room", distinct=True))
    return f"{_many(counted['n'], 'place')} in {_many(counted['rooms'], 'room')}"


def devices(here: Standing) -> str:
    """“1 kiosk, 2 bench devices”. One query."""
    live = Device.objects.filter(dead_at=None)
    counted = live.aggregate(kiosk=Count("pk", filter=Q(kind="kiosk")), bench=Count("pk", filter=Q(kind="bench")))
    if not any(counted.values()):
        return "None yet"
    return f"{_many(counted['kiosk'], 'kiosk')}, {_many(counted['bench'], 'bench device')}"


def _many(count: int, what: str) -> str:
    return f"{count or 'no'} {what}{'' if count == 1 else 's'}"
