"""Writes what a shop begins with: its terms and its tax classes."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from shop.profile.models import TaxClass, TaxRate, Terms

BEGINNING = date(2000, 1, 1)  # before any line in any book


def begin_terms(text: str, *, at: datetime) -> bool:
    """Keep `text` as terms 1 when the shop has no terms yet. True when it was kept."""
    if Terms.objects.exists():
        return False
    return Terms.objects.get_or_create(version=1, defaults={"text": text, "since": at})[1]


def begin_taxes(classes: Iterable[tuple[str, str, Decimal]]) -> int:
    """Add the tax classes (code, words, per cent) that are not there; rates a shop has set are left alone."""
    return sum(_begin_tax(code, words, rate) for code, words, rate in classes)


@transaction.atomic
def _begin_tax(code: str, words: str, rate: Decimal) -> bool:
    kind, _ = TaxClass.objects.get_or_create(code=code, defaults={"words": words})
    if kind.rates.exists():
        return False
    return TaxRate.objects.get_or_create(tax_class=kind, since=BEGINNING, defaults={"rate": rate})[1]
