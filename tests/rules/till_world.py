"""Money for the world of the rules: an invoice partly paid, a count, and a payment after it."""

from dataclasses import dataclass

from django.utils import timezone

from jobs.billing.models import DrawerCount, Invoice, Payment
from jobs.book.models import Party
from tests.billing.till import bow, count_it, invoice, pay, taken_off


@dataclass(frozen=True)
class Till:
    """What rows of the route table may name."""

    invoice: Invoice
    payment: Payment
    count: DrawerCount
    late: Payment


def till(owner: Party) -> Till:
    """An invoice over two bows, one line of it partly taken back; one payment counted, one not."""
    at = timezone.now()
    bows = [bow(owner=owner), bow(owner=owner)]
    made = invoice(*bows, at=at)
    first = made.lines.all()[0]
    taken_off(made, {first.pk: first.net / 2}, at=at)
    paid = pay(bows[0], "20.00", at=at)
    count = count_it("20.00", at=at)
    return Till(made, paid, count, pay(bows[1], "10.00", "card", at=at))
