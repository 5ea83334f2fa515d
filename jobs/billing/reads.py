"""What is owed on a job and on an invoice, and the shop's open invoices."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from jobs.billing.amounts import Bill, Charge, bill, still_owed
from jobs.billing.models import CreditNote, Invoice, InvoiceJob, OnAccount, Payment
from jobs.book.models import Job, Party
from jobs.book.stages import Stage
from jobs.estimates.models import Answer, Line
from jobs.estimates.reads import standing_refusal
from jobs.estimates.refusals import SETTLE_AT
from shop.clock import local
from shop.money import ZERO
from shop.profile.models import Profile
from shop.profile.reads import rate_on

INVOICE_AT = frozenset({Stage.CHK, Stage.RDY})
LEAST = Decimal("0.0005")  # less than any coin: what SQLite's binary sums leave over


@dataclass(frozen=True, slots=True)
class Account:
    """Money of one job as the desk sees it. `invoice` may be over other jobs as well; sums of it are over all of them."""

    bill: Bill | None  # what would be invoiced now; None when nothing is agreed
    invoice: Invoice | None
    jobs: tuple[Job, ...]  # those of the invoice
    payer: Party | None
    payments: tuple[Payment, ...]  # every row of the job and of its invoices, mirrors too
    deposit_asked: Decimal
    deposit_paid: Decimal
    paid: Decimal  # received on the invoice, deposits included, what was given back taken off
    credited: Decimal
    on_account: OnAccount | None

    @property
    def deposit_due(self) -> Decimal:
        """Still asked before work may begin."""
        return max(ZERO, self.deposit_asked - self.deposit_paid)

    @property
    def due(self) -> Decimal:
        """Owed on the issued invoice, below zero to be given back; nothing before it is issued."""
        if self.invoice is None:
            return ZERO
        return still_owed(self.invoice.gross, credited=self.credited, received=self.paid)


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
            Charge(line.words, line.net, line.tax_class, line.tax_rate, line.hours, line.rate, job.pk) for line in lines
        )
    if job.agreed_words and job.agreed_net is not None:
        rate = rate_on("labour", local(job.opened_at, shop.zone).date())
        return (Charge(job.agreed_words, job.agreed_net, "labour", rate or ZERO, job=job.pk),)
    refusal = standing_refusal(job)
    if refusal is not None and refusal.fee:
        words = f"Examination and estimate, version {refusal.estimate.version}"
        return (Charge(words, refusal.fee, "labour", refusal.fee_tax_rate, job=job.pk),)
    return ()


def may_bill(job: Job) -> bool:
    """Whether the final invoice is issued at this stage: at the second check or Ready; a fee alone, once it is settled.

    Gone home, only anew: after a credit note that made room for it. At most one query.
    """
    stage = Stage(job.stage)
    if stage is Stage.HOME:
        return InvoiceJob.objects.filter(job=job, live=False).exists()
    return stage in INVOICE_AT or (stage in SETTLE_AT and standing_refusal(job) is not None)


def held_for(jobs: Iterable[Job], payer: Party | None) -> QuerySet[Payment]:
    """Rows that the next invoice of these jobs takes: deposits, and what lies on an invoice that was wholly taken back."""
    over = InvoiceJob.objects.filter(job__in=[job.pk for job in jobs], live=False, invoice__payer=payer)
    return Payment.objects.filter(
        Q(job__in=[job.pk for job in jobs], invoice=None) | Q(invoice__in=over.values("invoice"))
    )


def account(job: Job, shop: Profile, *, on: date) -> Account:
    """Money of one job. At most twelve queries."""
    approval = approved_answer(job)
    charges = charges_of(job, approval, shop)
    payer = payer_of(job)
    billed = list(InvoiceJob.objects.filter(job=job).select_related("invoice__payer", "invoice__paper").order_by("-pk"))
    invoice = next((one.invoice for one in billed if one.live), None)
    about = Q(job=job) | Q(invoice__in=[one.invoice_id for one in billed])
    rows = Payment.objects.filter(about).select_related("by", "count", "paper", "reversed_by__by", "party")
    payments = tuple(rows.order_by("at", "pk"))
    held = ZERO if invoice else total(held_for([job], payer))
    return Account(
        bill=bill(charges, deposit=held, exempt=exempt(payer, on), places=shop.places) if charges else None,
        invoice=invoice,
        jobs=tuple(invoice.jobs.select_related("item").order_by("pk")) if invoice else (),
        payer=payer,
        payments=payments,
        deposit_asked=approval.option.deposit if approval and approval.option else ZERO,
        deposit_paid=sum((one.amount for one in payments if one.job_id == job.pk), ZERO),
        paid=sum((one.amount for one in payments if invoice and one.invoice_id == invoice.pk), ZERO),
        credited=credited_on(invoice) if invoice else ZERO,
        on_account=OnAccount.objects.filter(job=job).select_related("by").first(),
    )


def total(rows: QuerySet[Payment]) -> Decimal:
    """Sum of rows, nothing for none. One query."""
    return sum(rows.values_list("amount", flat=True), ZERO)


def credited_on(invoice: Invoice) -> Decimal:
    """What was taken back of an invoice by credit notes. One query."""
    return sum(CreditNote.objects.filter(invoice=invoice).values_list("gross", flat=True), ZERO)


def due_on(invoice: Invoice) -> Decimal:
    """What is owed on an invoice now, below zero to be given back. Two queries."""
    received = total(Payment.objects.filter(invoice=invoice))
    return still_owed(invoice.gross, credited=credited_on(invoice), received=received)


def due_of(job: Job) -> Decimal | None:
    """What is owed on a job's invoice; None before it has one. At most three queries."""
    invoice = Invoice.objects.filter(of_jobs__job=job, of_jobs__live=True).first()
    return None if invoice is None else due_on(invoice)


def deposit_held(job: Job) -> Decimal:
    """What was paid for a job before its invoice, less what was given back. One query."""
    return total(Payment.objects.filter(job=job))


def received_on(invoice: OuterRef | F) -> Combinable:
    """Sum of an invoice's rows, for use in a query over invoices."""
    rows = Payment.objects.filter(invoice=invoice).order_by().values("invoice")
    return Coalesce(Subquery(rows.annotate(sum=Sum("amount")).values("sum")), Value(ZERO))


def taken_back_on(invoice: OuterRef | F) -> Combinable:
    """Sum of an invoice's credit notes, for use in a query over invoices."""
    notes = CreditNote.objects.filter(invoice=invoice).order_by().values("invoice")
    return Coalesce(Subquery(notes.annotate(sum=Sum("gross")).values("sum")), Value(ZERO))


@dataclass(frozen=True, slots=True)
class OpenInvoice:
    """An invoice and what is owed on it; below zero it is to be given back."""

    invoice: Invoice
    due: Decimal
    jobs: tuple[Job, ...]

    @property
    def on_account(self) -> bool:
        """Whether somebody wrote down why it may wait. No query."""
        return any(hasattr(job, "on_account") for job in self.jobs)

    @property
    def gone_home(self) -> bool:
        """Everything has gone home and money is still owed, though nobody gave leave: a payment was taken back. No query."""
        return self.due > 0 and not self.on_account and all(job.closed_at is not None for job in self.jobs)


def open_invoices(payer: Party | None = None) -> list[OpenInvoice]:
    """Invoices on which something is owed either way, one payer's or all, oldest first. At most four queries."""
    owed = F("gross") - taken_back_on(OuterRef("pk")) - received_on(OuterRef("pk"))
    found = (
        Invoice.objects.filter(**({"payer": payer} if payer else {}))
        .annotate(owed=owed)
        .filter(Q(owed__gt=LEAST) | Q(owed__lt=-LEAST))
        .select_related("payer", "paper")
        .prefetch_related("jobs__item", "jobs__on_account")
        .order_by("issued_at", "pk")
    )
    return [
        OpenInvoice(one, still_owed(one.owed, credited=ZERO, received=ZERO), tuple(one.jobs.all())) for one in found
    ]
