"""What is owed to the shop: all of it by age, and one payer's account with a statement to print."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.billing.statements import payer_account, statement_pdf
from jobs.book.models import Party
from jobs.till.reads import money_page
from shop.people.doors import opens
from shop.people.roles import Act
from shop.profile.reads import profile


@require_GET
@opens(Act.SEE_MONEY)
def money(request: HttpRequest) -> HttpResponse:
    """The drawer, today's takings, invoices not paid by age, and what is to be given back."""
    page = money_page(profile(), at=timezone.now())
    return render(request, "till/money.html", {"page": page, "section": "money"})


@require_GET
@opens(Act.SEE_MONEY)
def payer(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything one payer was invoiced and has paid, each with its paper."""
    party = get_object_or_404(Party, pk=pk)
    page = payer_account(party, profile(), at=timezone.now())
    return render(request, "till/payer.html", {"party": party, "page": page, "section": "money"})


@require_GET
@opens(Act.SEE_MONEY)
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """What one payer owes, to print and hand over."""
    party, at = get_object_or_404(Party, pk=pk), timezone.now()
    answer = HttpResponse(statement_pdf(party, profile(), at=at), content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="statement.pdf"'
    answer["X-Content-Type-Options"] = "nosniff"
    return answer
