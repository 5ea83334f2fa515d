"""Invoice (issued = frozen, gap-free number), its lines, and Payment."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.book.models import Job, Party
from jobs.papers.models import Paper


class Invoice(models.Model):
    """A final invoice. Corrected only by a new document."""

    number = models.CharField(max_length=20, unique=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="invoices")
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
            models.CheckConstraint(condition=Q(gross=F("net") + F("tax")), name="invoice_adds_up"),
            models.CheckConstraint(condition=Q(balance=F("gross") - F("deposit")), name="invoice_balance_adds_up"),
        ]

    def __str__(self) -> str:
        return self.number


class InvoiceLine(models.Model):
    """One line as issued."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
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


class Payment(models.Model):
    """Money received for a job. A deposit is held until the invoice takes it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="payments")
    invoice = models.ForeignKey(Invoice, null=True, blank=True, on_delete=models.PROTECT, related_name="payments")
    party = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=8, choices=[("deposit", "deposit"), ("payment", "payment")])
    method = models.CharField(
        max_length=10, choices=[("cash", "cash"), ("card", "card"), ("transfer", "transfer"), ("cheque", "cheque")]
    )
    amount = models.DecimalField(max_digits=14, decimal_places=3)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=Q(amount__gt=0), name="payment_above_zero")]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"


class OnAccount(models.Model):
    """Leave to go home unpaid: a recorded reason and person."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="on_account")
    reason = models.CharField(max_length=160)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.reason
