"""What the front page of the money shows."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Sum

from jobs.billing.drawer_reads import DayTakings, day_takings, last_count, uncounted
from jobs.billing.models import DrawerCount, Payment
from jobs.billing.reads import LEAST, OpenInvoice, open_invoices
from jobs.billing.takings import AGES, age_words
from jobs.book.models import Job
from shop.clock import local
from shop.money import ZERO, rounded
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class Aged:
    """Open invoices of one age, and their sum."""

    words: str
    owed: tuple[OpenInvoice, ...]
    sum: Decimal


@dataclass(frozen=True, slots=True)
class MoneyPage:
    """The drawer, today, what is owed to the shop and what the shop owes."""

    last: DrawerCount | None
    expected: Decimal
    today: DayTakings
    aged: tuple[Aged, ...]
    owed: Decimal
    back: tuple[OpenInvoice, ...]
    held: list[tuple[Job, Decimal]]


def by_age(found: Iterable[OpenInvoice], shop: Profile, *, at: datetime) -> tuple[Aged, ...]:
    """Open invoices by how many days ago they were issued; ages with none are left out. No query."""
    today = local(at, shop.zone).date()
    ages: dict[str, list[OpenInvoice]] = {words: [] for words in AGES}
    for one in found:
        ages[age_words((today - local(one.invoice.issued_at, shop.zone).date()).days)].append(one)
    return tuple(Aged(words, tuple(owed), sum((one.due for one in owed), ZERO)) for words, owed in ages.items() if owed)


def held_on_closed(limit: int = 50) -> list[tuple[Job, Decimal]]:
    """Deposits still held for jobs that are closed without an invoice: to be given back. Two queries."""
    rows = Payment.objects.filter(invoice=None, job__closed_at__isnull=False).order_by().values("job")
    sums = rows.annotate(held=Sum("amount")).filter(held__gt=LEAST).values_list("job", "held")
    held = {job: rounded(amount, 3) for job, amount in sums[:limit]}
    jobs = Job.objects.filter(pk__in=held).select_related("item").order_by("number")
    return [(job, held[job.pk]) for job in jobs]


def money_page(shop: Profile, *, at: datetime) -> MoneyPage:
    """At most twelve queries."""
    found = open_invoices()
    owed = tuple(one for one in found if one.due > 0)
    last = last_count()
    cash = sum(uncounted().filter(method="cash").values_list("amount", flat=True), ZERO)
    return MoneyPage(
        last=last,
        expected=(last.kept if last else ZERO) + cash,
        today=day_takings(local(at, shop.zone).date(), shop),
        aged=by_age(owed, shop, at=at),
        owed=sum((one.due for one in owed), ZERO),
        back=tuple(one for one in found if one.due < 0),
        held=held_on_closed(),
    )
