"""Brings the trade's words, operations and first prices into the book. What a shop changed since is left alone.

The words are the trade's own (common practice, no source); hours and prices are figures to plan and begin with.
"""

import json
from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models, transaction

from jobs.book.steps import record
from jobs.catalogue.models import FixedPrice, Operation, PriceList, Rate, Word

_HOURS = ("low", "likely", "high")


def load_words(at: datetime) -> int:
    """Add the parts, terms and views that are not in the book yet. Returns how many. Three statements when it adds."""
    positions: dict[str, int] = {}
    words = []
    for row in _rows("words"):
        positions[row["sort"]] = positions.get(row["sort"], 0) + 1
        words.append(Word(**row, position=positions[row["sort"]]))
    known = set(Word.objects.values_list("sort", "code"))
    return _add("words", (word for word in words if (word.sort, word.code) not in known), at)


def load_operations(at: datetime) -> int:
    """Add the operations that are not in the book yet. Returns how many. Three statements when it adds."""
    operations = [
        Operation(**{**row, **{name: Decimal(row[name]) for name in _HOURS}}, position=position)
        for position, row in enumerate(_rows("operations"), 1)
    ]
    known = set(Operation.objects.values_list("code", flat=True))
    return _add("operations", (operation for operation in operations if operation.code not in known), at)


def load_prices(at: datetime) -> int:
    """Add the first price list when the book has none. Returns how many rates."""
    if PriceList.objects.exists():
        return 0
    first = _rows("prices")
    with transaction.atomic():
        prices = PriceList.objects.create(since=date.fromisoformat(first["since"]), minimum=Decimal(first["minimum"]))
        rates = [Rate(price_list=prices, **{**row, "per_hour": Decimal(row["per_hour"])}) for row in first["rates"]]
        return _add("rates", rates, at)


def load_fixed_prices(at: datetime) -> int:
    """Add the sample prices of price-list work to every list of a book that has none at all. Returns how many.

    Lists in force get them too: there was no figure before, so none is changed.
    """
    if FixedPrice.objects.exists():
        return 0
    operations = {one.code: one for one in Operation.objects.all()}
    rows = _rows("prices")["fixed"]
    fixed = [
        FixedPrice(
            **{
                **row,
                "labour": Decimal(row["labour"]),
                "goods": Decimal(row.get("goods", "0")),
                "operation": operations.get(row["operation"]),
            },
            price_list=prices,
            position=position,
        )
        for prices in PriceList.objects.all()
        for position, row in enumerate(rows, 1)
    ]
    return _add("fixed", fixed, at)


def _rows(name: str) -> Any:
    return json.loads((settings.ROOT / "fixtures" / f"{name}.json").read_text(encoding="utf-8"))


def _add(what: str, rows: Iterable[models.Model], at: datetime) -> int:
    rows = list(rows)
    if not rows:
        return 0
    with transaction.atomic():
        type(rows[0])._default_manager.bulk_create(rows)
        record("catalogue.added", by=None, at=at, data={what: len(rows)})
    return len(rows)
