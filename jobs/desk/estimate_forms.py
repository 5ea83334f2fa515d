"""What is typed into the estimate page, read into numbers and days, or refused in words."""

import re
from datetime import date
from decimal import Decimal

from jobs.book.refusals import Refused
from shop.money import NotMoneyError, rounded
from shop.typed import amount as typed_amount

_NUMBER = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}")


def number_typed(text: str, what: str) -> Decimal:
    """A decimal number with a point or a comma: “1.5”, “1,5”. `what` begins the sentence of a refusal."""
    plain = text.strip().replace(" ", "")
    if plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    if not _NUMBER.fullmatch(plain):
        raise Refused(f"{what}: “{text[:40]}” is not a number. Write it like 1.5.")
    return Decimal(plain)


def sum_typed(text: str, what: str, places: int) -> Decimal:
    """A sum not below zero: “234”, “1,234.50”; "" counts as nothing."""
    if not text.strip():
        return Decimal(0)
    try:
        amount = typed_amount(text)
    except NotMoneyError as fault:
        raise Refused(f"{what}: “{text}” is not an amount. Write it like 1,234.50.") from fault
    if not 0 <= amount < Decimal(10) ** 9:
        raise Refused(f"{what}: an amount is not below zero, and not beyond reason. Look at it again.")
    if amount != rounded(amount, places):
        raise Refused(f"{what}: the currency has {places} digits after the point. Write the amount that way.")
    return amount


def day_typed(text: str, what: str) -> date | None:
    """A day as a date field sends it, None when empty."""
    if not text.strip():
        return None
    try:
        found = date.fromisoformat(text.strip())
    except ValueError as fault:
        raise Refused(f"{what}: “{text[:40]}” is not a day. Write it like 2026-11-27.") from fault
    if not 2000 <= found.year < 2200:
        raise Refused(f"{what}: look at the year, {found.year}.")
    return found
