"""Writes what a shop begins with: its terms and its tax classes."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from shop.profile.models import TaxClass, Terms


def begin_terms(text: str, *, at: datetime) -> bool:
    """Keep `text` as terms 1 when the shop has no terms yet. True when it was kept."""
    if Terms.objects.exists():
        return False
    return Terms.objects.get_or_create(version=1, defaults={"text": text, "since": at})[1]


def begin_taxes(classes: Iterable[tuple[str, str, Decimal]]) -> int:
    """Add the tax classes (code, words, per cent) that are not there; rates a shop has set are left alone."""
    return sum(
        TaxClass.objects.get_or_create(code=code, defaults={"words": words, "rate": rate})[1]
        for code, words, rate in classes
    )
