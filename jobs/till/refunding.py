"""Money refunded from a form, whichever it is refunded on."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from jobs.billing.models import Payment
from jobs.book.refusals import Again
from jobs.till.asked import asked_amount, key_in
from shop.people.doors import person_of


def refunded(request: HttpRequest, refund: Callable[..., Payment], *, places: int) -> HttpResponse:
    """Refund as the form says and lead to the row; a second press leads to the same. Raises Refused.

    `refund` takes amount and method, and by name reason, reference, by, at and key.
    """
    try:
        made = refund(
            asked_amount(request, places),
            request.POST.get("method", ""),
            reason=request.POST.get("reason", ""),
            reference=request.POST.get("reference", ""),
            by=person_of(request),
            at=timezone.now(),
            key=key_in(request),
        )
    except Again as again:
        return redirect("till:received", pk=again.made["payment"])
    return redirect("till:received", pk=made.pk)
