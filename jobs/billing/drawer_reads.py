"""What the drawer should hold, and the takings of a day or since the last count."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal

from django.db.models import QuerySet

from jobs.billing.models import DrawerCount, Payment
from jobs.billing.takings import Row, Takings, day_ends, takings_of
from jobs.book.models import Job
from shop.money import ZERO
from shop.profile.models import Profile


def rows_shown(rows: QuerySet[Payment]) -> list[Payment]:
    """Rows with whatever their line names, in the order they were written. Two queries."""
    beside = ("by", "job", "invoice", "count", "reversal_of", "reversal_of__count", "reversed_by", "paper")
    return list(rows.select_related(*beside).prefetch_related("invoice__jobs").order_by("at", "pk"))


def summed(rows: Iterable[Payment]) -> Takings:
    """Rows summed. No query when `by` is loaded."""
    return takings_of(
        Row(one.method, one.kind, one.reversal_of_id is not None, one.amount, one.by.name) for one in rows
    )


def jobs_of(row: Payment) -> list[Job]:
    """The jobs of a row of `rows_shown`. No query."""
    if row.invoice is not None:
        return sorted(row.invoice.jobs.all(), key=lambda job: job.number)
    return [row.job] if row.job is not None else []


def last_count() -> DrawerCount | None:
    """The newest count. One query."""
    return DrawerCount.objects.select_related("by").order_by("-number").first()


def uncounted() -> QuerySet[Payment]:
    """Rows that no count has closed yet."""
    return Payment.objects.filter(count=None)


def stand(last: DrawerCount | None, rows: Iterable[Payment]) -> str:
    """A word for exactly these rows after this count: when it changed, the page somebody counted by is out of date."""
    ids = [one.pk for one in rows]
    return f"{last.number if last else 0}.{len(ids)}.{max(ids, default=0)}"


@dataclass(frozen=True, slots=True)
class Drawer:
    """The drawer as it stands: what should lie in it, and out of what."""

    last: DrawerCount | None
    rows: list[Payment]
    takings: Takings
    seen: str

    @property
    def opening(self) -> Decimal:
        """What the last count left in it."""
        return self.last.kept if self.last else ZERO

    @property
    def expected(self) -> Decimal:
        """Opening and the cash since."""
        return self.opening + self.takings.cash

    @property
    def cheques(self) -> int:
        """How many cheques lie in it that nobody took back."""
        mirrored = {one.reversal_of_id for one in self.rows}
        taken = [one for one in self.rows if one.method == "cheque" and one.amount > 0 and one.reversal_of_id is None]
        return sum(1 for one in taken if one.pk not in mirrored)


def drawer() -> Drawer:
    """Everything since the last count. Three queries."""
    last = last_count()
    rows = rows_shown(uncounted())
    return Drawer(last, rows, summed(rows), stand(last, rows))


@dataclass(frozen=True, slots=True)
class DayTakings:
    """The takings of one day of the shop, counted or not."""

    day: date
    rows: list[Payment]
    takings: Takings
    counts: list[DrawerCount]


def day_takings(day: date, shop: Profile) -> DayTakings:
    """One day by the shop's own clock, from midnight to midnight. Three queries."""
    start, end = day_ends(datetime.combine(day, time(12), tzinfo=shop.zone), shop.zone)
    rows = rows_shown(Payment.objects.filter(at__gte=start, at__lt=end))
    counts = list(DrawerCount.objects.filter(at__gte=start, at__lt=end).select_related("by").order_by("number"))
    return DayTakings(day, rows, summed(rows), counts)


def lately_counted(limit: int = 14) -> list[DrawerCount]:
    """Counts, newest first. One query."""
    return list(DrawerCount.objects.select_related("by", "corrects").order_by("-number")[:limit])
