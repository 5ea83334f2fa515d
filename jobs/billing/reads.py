"""What is owed on a job, and the shop's open invoices."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import DecimalField, ExpressionWrapper, F, Sum, Value
from django.db.models.functions import Coalesce

from jobs.billing.amounts import Bill, Charge, bill
from jobs.billing.models import Invoice, OnAccount, Payment
from jobs.book.models import Job, Party
from jobs.estimates.models import Answer, Line
from shop.clock import local
from shop.money import ZERO
from shop.profile.models import Profile
from shop.profile.reads import rate_on


@dataclass(frozen=True, slots=True)
class Account:
    """Money of one job as the desk sees it."""

    bill: Bill | None  # what would be invoiced now; None when nothing is agreed
    invoice: Invoice | None
    payer: Party | None
    payments: tuple[Payment, ...]
    deposit_asked: Decimal
    deposit_paid: Decimal
    paid: Decimal
    on_account: OnAccount | None

    @property
    def deposit_due(self) -> Decimal:
        """Still asked before work may begin."""
        return max(ZERO, self.deposit_asked - self.deposit_paid)

    @property
    def due(self) -> Decimal:
        """Still owed on the issued invoice; nothing before it is issued."""
        return ZERO if self.invoice is None else self.invoice.balance - self.paid


def payer_of(job: Job) -> Party | None:
    """Who pays: the payer, else the owner. One query."""
    roles = list(job.roles.select_related("party").filter(role__in=("payer", "owner")))
    roles.sort(key=lambda held: held.role != "payer")
    return roles[0].party if roles else None


def exempt(party: Party | None, on: date) -> bool:
    """Whether a party has a tax-exempt paper that is still good on a day."""
    return bool(party and party.tax_exempt_paper and party.tax_exempt_until and party.tax_exempt_until >= on)


def approved_answer(job: Job) -> Answer | None:
    """The approval that stands: the newest one. One query."""
    return (
        Answer.objects.filter(estimate__job=job, approved=True, estimate__state="answered")
        .select_related("estimate", "option")
        .order_by("-estimate__version")
        .first()
    )


def charges_of(job: Job, approval: Answer | None, shop: Profile) -> tuple[Charge, ...]:
    """Agreed lines, taxed as on the day they were agreed: the approved option’s, or the price-list work of the desk."""
    if approval is not None:
        lines = Line.objects.filter(option=approval.option)
        return tuple(
            Charge(line.words, line.net, line.tax_class, line.tax_rate, line.hours, line.rate) for line in lines
        )
    if job.agreed_words and job.agreed_net is not None:
        rate = rate_on("labour", local(job.opened_at, shop.zone).date())
        return (Charge(job.agreed_words, job.agreed_net, "labour", rate or ZERO),)
    return ()


def account(job: Job, shop: Profile, *, on: date) -> Account:
    """Money of one job. At most six queries."""
    approval = approved_answer(job)
    charges = charges_of(job, approval, shop)
    payments = tuple(Payment.objects.filter(job=job).select_related("by").order_by("at", "pk"))
    deposit = sum((one.amount for one in payments if one.kind == "deposit"), ZERO)
    payer = payer_of(job)
    invoice = Invoice.objects.filter(job=job).select_related("payer", "paper").order_by("-pk").first()
    return Account(
        bill=bill(charges, deposit=deposit, exempt=exempt(payer, on), places=shop.places) if charges else None,
        invoice=invoice,
        payer=payer,
        payments=payments,
        deposit_asked=approval.option.deposit if approval and approval.option else ZERO,
        deposit_paid=deposit,
        paid=sum((one.amount for one in payments if one.kind == "payment"), ZERO),
        on_account=OnAccount.objects.filter(job=job).select_related("by").first(),
    )


def open_invoices() -> list[tuple[Invoice, Decimal]]:
    """Invoices not paid in full with what is still to pay, oldest first. One query."""
    received = Coalesce(Sum("payments__amount"), Value(ZERO))
    found = (
        Invoice.objects.select_related("job", "job__item", "payer")
        .annotate(still=ExpressionWrapper(F("balance") - received, output_field=DecimalField()))
        .filter(still__gt=0)
        .order_by("issued_at")
    )
    return [(invoice, invoice.still) for invoice in found]


def takings(start: datetime, end: datetime) -> list[tuple[str, Decimal]]:
    """Money received between two moments, by method. One query."""
    rows = Payment.objects.filter(at__gte=start, at__lt=end).values_list("method")
    return list(rows.annotate(sum=Sum("amount")).order_by("method"))
