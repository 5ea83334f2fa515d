"""What the job page and the money page show."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal

from jobs.billing.models import METHODS, Invoice
from jobs.billing.reads import Account, account, may_bill, open_invoices, takings
from jobs.book.models import Job
from shop.clock import local
from shop.money import ZERO
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class MoneyPart:
    """The account of a job, and what the desk may do about it now."""

    account: Account
    may_issue: bool
    ask: Decimal  # what to take now: the deposit still due, or the balance; zero when nothing is owed
    ask_words: str


def money_part(job: Job, shop: Profile, *, at: datetime) -> MoneyPart:
    """At most ten queries."""
    now = account(job, shop, on=local(at, shop.zone).date())
    may_issue = now.invoice is None and now.bill is not None and may_bill(job)
    if now.invoice is not None:
        return MoneyPart(now, may_issue, max(ZERO, now.due), "Balance")
    return MoneyPart(now, may_issue, now.deposit_due, "Deposit")


@dataclass(frozen=True, slots=True)
class Owed:
    """One open invoice."""

    invoice: Invoice
    jobs: tuple[Job, ...]
    due: Decimal
    days: int


@dataclass(frozen=True, slots=True)
class MoneyPage:
    """Open invoices, and what came in today by method."""

    owed: list[Owed]
    owed_sum: Decimal
    taken: list[tuple[str, Decimal]]
    taken_sum: Decimal


def money_page(shop: Profile, *, at: datetime) -> MoneyPage:
    """Four queries."""
    today = local(at, shop.zone).date()
    start = datetime.combine(today, time.min, tzinfo=shop.zone)
    owed = [
        Owed(one.invoice, one.jobs, one.due, (today - local(one.invoice.issued_at, shop.zone).date()).days)
        for one in open_invoices()
        if one.due > 0
    ]
    taken = [(METHODS[method], amount) for method, amount in takings(start, start + timedelta(days=1))]
    return MoneyPage(owed, sum((one.due for one in owed), ZERO), taken, sum((amount for _, amount in taken), ZERO))
