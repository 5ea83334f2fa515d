"""What pages ask of the shop's vocabulary, operations and prices."""

from collections.abc import Collection, Mapping
from datetime import date
from decimal import Decimal

from jobs.book.refusals import Refused
from jobs.catalogue.models import Operation, Rate, Word
from jobs.catalogue.price_reads import list_on


def words_for(sort: str, kind: str) -> list[Word]:
    """The words of one sort (part, term, view) that fit a kind of item, in the shop's order. One query."""
    return [word for word in Word.objects.filter(sort=sort) if kind in word.kinds.split()]


def views_for(kind: str) -> list[Word]:
    """The views of the least photo set of a kind, in the order they are taken. One query."""
    return [view for view in words_for("view", kind) if kind in view.needed_for.split()]


def missing_views(kind: str, taken: Collection[str], reasons: Mapping[str, str]) -> list[Word]:
    """Views of the least set that were neither taken nor given a reason (`reasons`: words by view code). One query."""
    return [view for view in views_for(kind) if view.code not in taken and not reasons.get(view.code, "").strip()]


def operations_for(kind: str) -> list[Operation]:
    """Operations that fit a kind of item, in the shop's order. One query."""
    return [operation for operation in Operation.objects.all() if kind in operation.kinds.split()]


def rate_for(skill: int, day: date) -> Decimal:
    """Price of one hour of a skill by the list in force on a day. One query. Raises Refused when there is none."""
    begun = Rate.objects.filter(skill=skill, price_list__draft=False, price_list__since__lte=day)
    rate = begun.order_by("-price_list__since", "-price_list").first()
    if rate is None:
        raise Refused("No price per hour is known for this work on that day. Ask the head luthier to set one.")
    return rate.per_hour


def minimum_on(day: date) -> Decimal:
    """Least charge for labour by the list in force on a day; 0 for none. One query."""
    prices = list_on(day)
    return prices.minimum if prices else Decimal(0)
