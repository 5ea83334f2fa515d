"""What the job page shows of a job's money."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from jobs.billing.models import Invoice, Payment
from jobs.book.models import Job
from shop.money import ZERO


@dataclass(frozen=True, slots=True)
class MoneyPart:
    """The invoice, if issued, and what has been paid."""

    invoice: str = ""
    gross: Decimal = ZERO
    paid: Decimal = ZERO


def money_part(job: Job) -> MoneyPart:
    """Two queries."""
    invoice = Invoice.objects.filter(job=job).order_by("-pk").first()
    paid = Payment.objects.filter(job=job).aggregate(sum=Sum("amount"))["sum"] or ZERO
    return MoneyPart(invoice.number if invoice else "", invoice.gross if invoice else ZERO, paid)
