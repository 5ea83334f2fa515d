"""Invoice and credit note (issued = frozen, gap-free numbers), money received or given back, the count of the drawer.

Sums are compared after rounding: SQLite adds decimals as binary fractions, where 0.1 + 0.2 is not 0.3.
"""

from decimal import Decimal
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.expressions import Combinable
from django.db.models.functions import Round

from jobs.book.models import Job, Party
from jobs.papers.models import Paper

METHODS = {"cash": "cash", "card": "card", "transfer": "transfer", "cheque": "cheque"}
KINDS = {"deposit": "deposit", "payment": "payment", "refund": "refund"}


def _sums_to(total: str, sum_of: Combinable, name: str) -> models.CheckConstraint:
    return models.CheckConstraint(condition=Q(**{total: Round(sum_of, precision=3)}), name=name)


class Invoice(models.Model):
    """A final invoice over one or several jobs of one payer. Corrected only by a new document.

    `deposit` is what had been received when it was issued, `balance` what was then left. What is owed now: reads.due_on.
    """

    number = models.CharField(max_length=20, unique=True)
    jobs = models.ManyToManyField(Job, through="InvoiceJob", related_name="invoices")
    payer = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="invoices")
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    net = models.DecimalField(max_digits=14, decimal_places=3)
    tax = models.DecimalField(max_digits=14, decimal_places=3)
    gross = models.DecimalField(max_digits=14, decimal_places=3)
    deposit = models.DecimalField(max_digits=14, decimal_places=3, default=0)
    balance = models.DecimalField(max_digits=14, decimal_places=3)
    paper = models.OneToOneField(Paper, null=True, on_delete=models.PROTECT, related_name="invoice")

    class Meta:
        constraints: ClassVar = [
            _sums_to("gross", F("net") + F("tax"), "invoice_sums_up"),
            _sums_to("balance", F("gross") - F("deposit"), "invoice_balance_sums_up"),
        ]

    def __str__(self) -> str:
        return self.number


class InvoiceJob(models.Model):
    """A job on an invoice. `live` until a credit note took the whole back and a new invoice is to follow."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="of_jobs")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="billed")
    live = models.BooleanField(default=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["invoice", "job"], name="invoice_job_once"),
            models.UniqueConstraint(fields=["job"], condition=Q(live=True), name="job_one_live_invoice"),
        ]

    def __str__(self) -> str:
        return f"job {self.job_id} on invoice {self.invoice_id}"


class InvoiceLine(models.Model):
    """One line as issued. Its tax rate is that of the day."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=160)
    hours = models.DecimalField(max_digits=7, decimal_places=2, null=True)
    rate = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    tax_class = models.CharField(max_length=20)
    tax_rate = models.DecimalField(max_digits=6, decimal_places=3)
    net = models.DecimalField(max_digits=14, decimal_places=3)
    tax = models.DecimalField(max_digits=14, decimal_places=3)

    class Meta:
        ordering: ClassVar = ["position"]

    def __str__(self) -> str:
        return self.words

    @property
    def gross(self) -> Decimal:
        """With tax."""
        return self.net + self.tax


class CreditNote(models.Model):
    """Takes back an invoice or a part of it. Amounts stand above zero. Frozen like the invoice itself."""

    number = models.CharField(max_length=20, unique=True)
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="credits")
    net = models.DecimalField(max_digits=14, decimal_places=3)
    tax = models.DecimalField(max_digits=14, decimal_places=3)
    gross = models.DecimalField(max_digits=14, decimal_places=3)
    reason = models.CharField(max_length=160)
    anew = models.BooleanField(default=False, help_text="the whole was taken back and a new invoice is to follow")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    paper = models.OneToOneField(Paper, null=True, on_delete=models.PROTECT, related_name="credit_note")

    class Meta:
        constraints: ClassVar = [
            _sums_to("gross", F("net") + F("tax"), "credit_sums_up"),
            models.CheckConstraint(condition=Q(gross__gt=0) & ~Q(reason=""), name="credit_above_zero_with_reason"),
        ]

    def __str__(self) -> str:
        return self.number


class CreditLine(models.Model):
    """What is taken back of one line of the invoice, with that line's sign."""

    credit = models.ForeignKey(CreditNote, on_delete=models.PROTECT, related_name="lines")
    line = models.ForeignKey(InvoiceLine, on_delete=models.PROTECT, related_name="credits")
    net = models.DecimalField(max_digits=14, decimal_places=3)
    tax = models.DecimalField(max_digits=14, decimal_places=3)

    def __str__(self) -> str:
        return f"of line {self.line_id}"


class DrawerCount(models.Model):
    """The drawer counted and the takings closed. Never opened again: a later count says which one it corrects.

    `cash` is the cash taken less given back since the count before; `kept` stays in the drawer as the next opening.
    """

    number = models.PositiveIntegerField(unique=True)
    after = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="next")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    opening = models.DecimalField(max_digits=14, decimal_places=3)
    cash = models.DecimalField(max_digits=14, decimal_places=3)
    expected = models.DecimalField(max_digits=14, decimal_places=3)
    counted = models.DecimalField(max_digits=14, decimal_places=3)
    difference = models.DecimalField(max_digits=14, decimal_places=3)
    reason = models.CharField(max_length=200, blank=True)
    removed = models.DecimalField(max_digits=14, decimal_places=3, default=0, help_text="taken out, to the bank")
    kept = models.DecimalField(max_digits=14, decimal_places=3)
    sheet = models.JSONField(default=list, help_text='coins and notes as counted: [["50.00", 3], …]')
    corrects = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrections")
    paper = models.OneToOneField(Paper, null=True, on_delete=models.PROTECT, related_name="drawer_count")

    class Meta:
        constraints: ClassVar = [
            _sums_to("expected", F("opening") + F("cash"), "count_expected_sums_up"),
            _sums_to("difference", F("counted") - F("expected"), "count_difference_sums_up"),
            _sums_to("kept", F("counted") - F("removed"), "count_kept_sums_up"),
            models.CheckConstraint(
                condition=Q(counted__gte=0, removed__gte=0, kept__gte=0, opening__gte=0), name="count_not_below_zero"
            ),
            models.CheckConstraint(condition=Q(difference=0) | ~Q(reason=""), name="count_difference_has_reason"),
        ]

    def __str__(self) -> str:
        return f"count {self.number}"


_MIRROR = Q(reversal_of__isnull=False)
_INWARD = Q(kind__in=("deposit", "payment"))


class Payment(models.Model):
    """Money over the counter or the bank: `amount` above zero came in, below zero went out. Never changed, never erased.

    A deposit is held for its job until the invoice takes it (`invoice` is set then); a payment is of an invoice. One that
    was written down wrongly keeps its row and gets a mirror (`reversal_of`). `count` is the count of the drawer that
    closed it; none yet: it belongs to the next.
    """

    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.PROTECT, related_name="payments")
    invoice = models.ForeignKey(Invoice, null=True, blank=True, on_delete=models.PROTECT, related_name="payments")
    party = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=8, choices=list(KINDS.items()))
    method = models.CharField(max_length=10, choices=list(METHODS.items()))
    amount = models.DecimalField(max_digits=14, decimal_places=3)
    given = models.DecimalField(
        max_digits=14, decimal_places=3, null=True, help_text="cash handed over; the rest went back as change"
    )
    reference = models.CharField(max_length=60, blank=True, help_text="number of the terminal’s slip, of the transfer")
    reason = models.CharField(max_length=160, blank=True)
    reversal_of = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    count = models.ForeignKey(DrawerCount, null=True, blank=True, on_delete=models.PROTECT, related_name="payments")
    paper = models.OneToOneField(Paper, null=True, on_delete=models.PROTECT, related_name="payment")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~_MIRROR & (_INWARD & Q(amount__gt=0) | Q(kind="refund", amount__lt=0))
                | _MIRROR & (_INWARD & Q(amount__lt=0) | Q(kind="refund", amount__gt=0)),
                name="payment_has_its_sign",
            ),
            models.CheckConstraint(
                condition=Q(kind="deposit", job__isnull=False)
                | Q(kind="payment", job__isnull=True, invoice__isnull=False)
                | Q(kind="refund") & (Q(job__isnull=False) | Q(invoice__isnull=False)),
                name="payment_is_of_something",
            ),
            models.CheckConstraint(condition=_INWARD & ~_MIRROR | ~Q(reason=""), name="payment_back_has_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"

    @property
    def words(self) -> str:
        """“deposit”, “payment reversed”, “refund”."""
        return self.kind if self.reversal_of_id is None else f"{self.kind} reversed"

    @property
    def size(self) -> Decimal:
        """The amount without its sign."""
        return abs(self.amount)

    @property
    def change(self) -> Decimal | None:
        """What went back of the cash handed over."""
        return None if self.given is None else self.given - self.amount


class OnAccount(models.Model):
    """Leave to go home unpaid: a recorded reason and person."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="on_account")
    reason = models.CharField(max_length=160)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.reason
