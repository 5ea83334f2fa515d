"""What a price and its day must be, and a fixed price in figures: guards of `price_steps.py`."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from jobs.book.kinds import ITEM_KINDS
from jobs.book.refusals import Refused
from jobs.catalogue.models import FixedPrice
from shop.clock import day_words, local
from shop.money import exact, plain, rounded
from shop.profile.reads import profile

MOST = Decimal(10) ** 6  # beyond this a price is a slip of the pen
MOST_DAYS = 250  # a year of open days
MOST_YEARS = 5
PRICED_KINDS = ("repair", "rehair")  # kinds of job that are paid for


def today(at: datetime) -> date:
    """The shop's own day. One query."""
    return local(at, profile().zone).date()


def proper_day(since: date, at: datetime) -> None:
    """A list begins today or later. Raises Refused."""
    now = today(at)
    if since < now:
        raise Refused(f"{day_words(since, today=now)} is past. Prices begin today or later; what was agreed stays.")
    if since.year - now.year > MOST_YEARS:
        raise Refused(f"Look at the year: {since.year} is too far from now.")


def proper_sum(amount: Decimal, places: int) -> Decimal:
    """A price rounded to the currency. Raises Refused below zero or out of all measure."""
    if not 0 <= exact(amount) < MOST:
        raise Refused("A price is a sum not below zero. Look at the point in it again.")
    return rounded(amount, places)


def proper_price(price: FixedPrice, places: int) -> None:
    """Round and look over a fixed price. Raises Refused."""
    price.labour, price.goods = proper_sum(price.labour, places), proper_sum(price.goods, places)
    price.words, price.goods_words = " ".join(price.words.split()), " ".join(price.goods_words.split())
    if not price.words or len(price.words) > 100:
        raise Refused("Write what the work is, in at most 100 letters, as the owner reads it.")
    if len(price.goods_words) > 80:
        raise Refused("Say what is sold with it in at most 80 letters.")
    if price.goods and not price.goods_words:
        raise Refused("Say what is sold with it, such as “strings”.")
    if not price.kinds or any(kind not in ITEM_KINDS for kind in price.kinds.split()):
        raise Refused("Choose for what it is: violin, bow …")
    if len(price.size) > 24:
        raise Refused("The size has more than 24 letters.")
    if price.job_kind not in PRICED_KINDS:
        raise Refused("Work from the price list is a repair or a rehair.")
    if not 0 <= price.ready_days <= MOST_DAYS:
        raise Refused(f"Days until it is ready are between 0 and {MOST_DAYS}.")


def figures(price: FixedPrice, places: int) -> dict[str, Any]:
    """What an entry keeps of a fixed price."""
    return {
        "labour": plain(price.labour, places),
        "goods": plain(price.goods, places),
        "days": price.ready_days,
        "words": price.words,
        "goods_words": price.goods_words,
        "active": price.active,
    }
