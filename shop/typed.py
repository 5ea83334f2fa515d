"""What hands typed into a field, read strictly: ids and amounts. Pure."""

import re
from decimal import Decimal

from shop.money import NotMoneyError, exact

_MOST_DIGITS = 15  # below what any database takes for a whole number
_AMOUNT = re.compile(r"-?(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,18})(?:\.[0-9]{0,9})?")
_GAPS = str.maketrans("", "", " \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}’'")


def whole(text: str) -> int:
    """The id or number a form sent: digits and nothing else, else 0, which no row has."""
    return int(text) if text.isdecimal() and len(text) <= _MOST_DIGITS else 0


def amount(text: str) -> Decimal:
    """An amount as typed: “2400”, “2,400.50”, “2 400”. Raises NotMoneyError for anything else.

    A comma stands between groups of three only: “284,24” is refused, since it is no amount a hundred times as large.
    """
    plain = text.translate(_GAPS).strip()
    if not _AMOUNT.fullmatch(plain):
        raise NotMoneyError(f"“{text.strip()[:40]}” is not an amount.")
    return exact(plain.replace(",", ""))
