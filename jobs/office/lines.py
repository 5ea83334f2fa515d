"""How each room stands, in one line."""

from dataclasses import dataclass
from datetime import date, datetime

from shop.profile.models import Profile

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
