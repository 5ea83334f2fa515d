"""A job's money as pages show it: its account, and what may be done about it now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from jobs.billing.models import Payment
from jobs.billing.reads import INVOICE_AT, Account, account, may_bill
from jobs.book.models import Job, Party
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

    @property
    def back(self) -> Decimal:
        """What is to be given back on the invoice."""
        return max(ZERO, -self.account.due)

    @property
    def held(self) -> Decimal:
        """A deposit that no invoice has taken, and that may be given back."""
        return ZERO if self.account.invoice else self.account.deposit_paid


def money_part(job: Job, shop: Profile, *, at: datetime) -> MoneyPart:
    """At most thirteen queries."""
    now = account(job, shop, on=local(at, shop.zone).date())
    may_issue = now.invoice is None and now.bill is not None and may_bill(job)
    if now.invoice is not None:
        return MoneyPart(now, may_issue, max(ZERO, now.due), "Balance")
    return MoneyPart(now, may_issue, now.deposit_due, "Deposit")


@dataclass(frozen=True, slots=True)
class Beside:
    """Another job of the same payer that may go on the same invoice, and what it adds before deposits."""

    job: Job
    gross: Decimal


def beside(job: Job, payer: Party | None, shop: Profile, *, at: datetime, limit: int = 12) -> list[Beside]:
    """Jobs that are as far, not invoiced, and paid by the same. One query, and at most twelve for each found."""
    if payer is None:
        return []
    found = (
        Job.objects.filter(roles__party=payer, roles__role="payer", stage__in=INVOICE_AT, closed_at=None)
        .exclude(pk=job.pk)
        .exclude(billed__live=True)
        .select_related("item")
        .order_by("number")
    )
    day = local(at, shop.zone).date()
    accounts = [(one, account(one, shop, on=day)) for one in found[:limit]]
    return [Beside(one, now.bill.gross) for one, now in accounts if now.bill]


def ways_paid(rows: Sequence[Payment]) -> list[tuple[str, Decimal]]:
    """By which methods money came in that is still here: [("card", 100.00)]. No query."""
    sums: dict[str, Decimal] = {}
    for one in rows:
        sums[one.method] = sums.get(one.method, ZERO) + one.amount
    return [(method, amount) for method, amount in sums.items() if amount > 0]
