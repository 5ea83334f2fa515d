"""One issued invoice, and one row of the book of money: looking, correcting, giving back."""

from decimal import Decimal
from functools import partial

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.billing.crediting import WHOLE, LineLeft, lines_left
from jobs.billing.crediting import credit as write_credit
from jobs.billing.drawer_reads import jobs_of, rows_shown
from jobs.billing.giving_back import refund_on, reverse
from jobs.billing.models import METHODS, Invoice, Payment
from jobs.billing.part import ways_paid
from jobs.billing.reads import due_on
from jobs.billing.steps import amount_in
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.till.asked import key_in
from jobs.till.refunding import refunded
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


def _invoice_or_404(number: str) -> Invoice:
    found = Invoice.objects.select_related("payer", "paper", "issued_by").filter(number=number).first()
    if found is None:
        raise Http404
    return found


@require_GET
@opens(Act.SEE_MONEY)
def issued(request: HttpRequest, number: str) -> HttpResponse:
    """An invoice with its jobs, lines, payments and credit notes, and what is owed on it now."""
    invoice = _invoice_or_404(number)
    due = due_on(invoice)
    page = {
        "invoice": invoice,
        "jobs": invoice.jobs.select_related("item").order_by("number"),
        "lines": lines_left(invoice),
        "rows": rows_shown(Payment.objects.filter(invoice=invoice)),
        "credits": invoice.credits.select_related("by", "paper").order_by("pk"),
        "due": due,
        "back": max(Decimal(0), -due),
        "section": "money",
    }
    return render(request, "till/issued.html", page)


@require_http_methods(["GET", "POST"])
@opens(Act.CREDIT)
def credit(request: HttpRequest, number: str) -> HttpResponse:
    """Take an invoice back, whole or line by line, by a credit note."""
    invoice, fault = _invoice_or_404(number), ""
    left = lines_left(invoice)
    if request.method == "POST":
        try:
            made = write_credit(
                invoice,
                _parts(request, left),
                reason=request.POST.get("reason", ""),
                anew=request.POST.get("anew") == "yes",
                by=person_of(request),
                at=timezone.now(),
                key=key_in(request),
            )
            messages.success(request, f"Credit note {made.number} is issued. Its paper is being sealed.")
            return redirect("till:issued", number=invoice.number)
        except Again:
            return redirect("till:issued", number=invoice.number)
        except Refused as refusal:
            fault = refusal.words
    page = {
        "invoice": invoice,
        "lines": left,
        "left": sum((one.left.gross for one in left), Decimal(0)),
        "due": due_on(invoice),
        "fault": fault,
        "typed": request.POST,
        "chosen": request.POST.getlist("line"),
        "section": "money",
    }
    return render(request, "till/credit.html", page, status=422 if fault else 200)


def _parts(request: HttpRequest, left: list[LineLeft]) -> dict[int, Decimal | None]:
    open_lines = {one.line.pk: one for one in left if one.left.net or one.left.tax}
    if request.POST.get("what") == "all":
        return dict.fromkeys(open_lines, WHOLE)
    places = profile().places
    parts: dict[int, Decimal | None] = {}
    for pk in request.POST.getlist("line"):
        line = open_lines.get(int(pk) if pk.isascii() and pk.isdecimal() and len(pk) < 16 else 0)
        if line is None:
            raise Refused("This page is out of date. Open it again and repeat the last step.")
        typed = request.POST.get(f"amount-{line.line.pk}", "").strip()
        parts[line.line.pk] = WHOLE if line.left.gross < 0 or not typed else amount_in(typed, places)
    return parts


@require_http_methods(["GET", "POST"])
@opens(Act.REFUND)
def refund(request: HttpRequest, number: str) -> HttpResponse:
    """Give back what is overpaid on an invoice."""
    invoice, shop, fault = _invoice_or_404(number), profile(), ""
    if request.method == "POST":
        try:
            return refunded(request, partial(refund_on, invoice), places=shop.places)
        except Refused as refusal:
            fault = refusal.words
    page = {
        "what": f"Invoice {invoice.number}",
        "invoice": invoice,
        "most": max(Decimal(0), -due_on(invoice)),
        "ways": ways_paid(list(invoice.payments.all())),
        "methods": METHODS,
        "fault": fault,
        "typed": request.POST,
        "section": "money",
    }
    return render(request, "till/refund.html", page, status=422 if fault else 200)


@require_GET
@opens(Act.SEE_MONEY)
def received(request: HttpRequest, pk: int) -> HttpResponse:
    """One row of the book of money: its receipt, and the change to give."""
    return _received_page(request, pk, "")


@require_POST
@opens(Act.REVERSE_PAYMENT)
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a row that was written down wrongly."""
    row, reason = get_object_or_404(Payment, pk=pk), request.POST.get("reason", "")
    try:
        reverse(row, reason=reason, by=person_of(request), at=timezone.now(), key=key_in(request))
        messages.success(request, "It is reversed. Both rows stay in the book.")
    except Again:
        pass
    except Refused as refusal:
        return _received_page(request, pk, refusal.words)
    return redirect("till:received", pk=row.pk)


def _received_page(request: HttpRequest, pk: int, fault: str) -> HttpResponse:
    row = next(iter(rows_shown(Payment.objects.filter(pk=pk).select_related("party"))), None)
    if row is None:
        raise Http404
    jobs = jobs_of(row)
    due = due_on(row.invoice) if row.invoice else None
    page = {
        "row": row,
        "jobs": jobs,
        "due": due,
        "may_leave": [one for one in jobs if one.stage == Stage.RDY] if due is not None and due <= 0 else [],
        "fault": fault,
        "typed": request.POST,
        "section": "money",
    }
    return render(request, "till/received.html", page, status=422 if fault else 200)
