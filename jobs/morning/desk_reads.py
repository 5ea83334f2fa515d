"""What waits at the desk besides jobs: letters and calls, questions, intakes, money. One question for each."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.apps import apps
from django.db.models import Case, Count, F, OuterRef, Q, Value, When, Window
from django.db.models.lookups import GreaterThan

from jobs.billing.amounts import still_owed
from jobs.billing.models import Invoice
from jobs.billing.reads import LEAST, received_on, taken_back_on
from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.estimates.models import Question
from jobs.morning.lists import SHOWN
from jobs.moves.facts import with_facts
from jobs.updates.models import Message
from shop.clock import local
from shop.money import ZERO

# a minor's name is never said
_NAME = Case(When(party__minor=True, then=Value("a young player")), default=F("party__name"))
_DEPOSIT = frozenset({"deposit_asked", "deposit_paid"})


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter somebody must tell by hand, or that did not go for certain."""

    pk: int
    to: str
    subject: str
    phone: str
    number: str
    by_hand: bool


@dataclass(frozen=True, slots=True)
class Counted:
    """The first of something, and how many there are in all."""

    first: tuple[Any, ...]
    count: int


@dataclass(frozen=True, slots=True)
class Owed:
    """Money that is asked: of whom or for which job, how much, since when."""

    words: str
    number: str
    amount: Decimal
    since: date | None = None
    asked: str = ""


def letters_to_do(*, most: int | None = SHOWN) -> Counted:
    """Letters to tell by hand and letters that did not go for certain, oldest first. One query."""
    waiting = Message.objects.filter(
        Q(state="byhand") | Q(state__in=("failed", "perhaps"), seen_at__isnull=True)
    ).annotate(of=Window(Count("pk")), name=_NAME)
    rows = list(
        waiting.order_by("made_at", "pk").values_list(
            "pk", "name", "subject", "party__phone", "job__number", "state", "of"
        )[:most]
    )
    first = tuple(
        Letter(pk, name, subject, phone, number or "", state == "byhand")
        for pk, name, subject, phone, number, state, _ in rows
    )
    return Counted(first, rows[0][-1] if rows else 0)


def questions() -> Counted:
    """What owners asked and nobody has read, oldest first: (words, who, number). One query."""
    asked = Question.objects.filter(seen_at__isnull=True).annotate(of=Window(Count("pk")), name=_NAME)
    rows = list(asked.order_by("at", "pk").values_list("words", "name", "job__number", "of")[:SHOWN])
    return Counted(tuple(row[:3] for row in rows), rows[0][-1] if rows else 0)


@dataclass(frozen=True, slots=True)
class Sitting:
    """An intake that is not finished."""

    key: str
    who: str
    saved_at: datetime
    pieces: int
    above: tuple[str, ...]  # values above the cover that the head luthier has not accepted


def sittings(*, limit: Decimal | None) -> list[Sitting]:
    """Intakes nobody has finished or given up, the oldest first, at most fifty. One query."""
    # pages do not know each other; the row is the app's own
    drafts = apps.get_model("jobs", "Draft").objects.filter(placed_at__isnull=True, dropped_at__isnull=True)
    rows = drafts.order_by("saved_at").values_list("key", "by__name", "saved_at", "data")[:50]
    return [
        Sitting(str(key), name.split()[0], saved, len(data.get("pieces", ())), tuple(_above(data, limit)))
        for key, name, saved, data in rows
    ]


def _above(data: dict[str, Any], limit: Decimal | None) -> Iterable[str]:
    for piece in data.get("pieces", ()):
        typed = str(piece.get("value") or "").replace(",", "")
        above = limit is not None and typed.replace(".", "", 1).isdecimal() and Decimal(typed) > limit
        if above and not piece.get("accepted"):
            yield typed


def deposits_due() -> Counted:
    """Agreed work that waits for its deposit, as the gate reads it. One query."""
    waiting = (
        with_facts(Job.objects.filter(closed_at__isnull=True, stage__in=(Stage.ANS, Stage.QUE)), _DEPOSIT)
        .filter(GreaterThan(F("deposit_asked"), F("deposit_paid") + LEAST))
        .annotate(of=Window(Count("pk")))
        .order_by("stage_since", "pk")
        .values_list("number", "item__title", "deposit_asked", "deposit_paid", "of")[:SHOWN]
    )
    rows = list(waiting)
    first = tuple(Owed(item, number, asked - paid) for number, item, asked, paid, _ in rows)
    return Counted(first, rows[0][-1] if rows else 0)


def owed_invoices(zone: ZoneInfo) -> Counted:
    """Invoices on which something is still to pay, the oldest first. One query."""
    owed = F("gross") - taken_back_on(OuterRef("pk")) - received_on(OuterRef("pk"))
    found = (
        Invoice.objects.annotate(owed=owed)
        .filter(owed__gt=LEAST)
        .annotate(of=Window(Count("pk")))
        .order_by("issued_at", "pk")
        .values_list("number", "payer__name", "payer__minor", "owed", "issued_at", "of")[:SHOWN]
    )
    rows = list(found)
    first = tuple(
        Owed(
            "a young player" if minor else name,
            number,
            still_owed(owed, credited=ZERO, received=ZERO),
            local(at, zone).date(),
        )
        for number, name, minor, owed, at, _ in rows
    )
    return Counted(first, rows[0][-1] if rows else 0)
