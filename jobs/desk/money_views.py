"""Money at the desk: what is owed, payments, the final invoice, leave to go home on account."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.billing.models import METHODS
from jobs.billing.steps import amount_in, go_on_account, issue, take_payment
from jobs.book.models import Job
from jobs.book.refusals import Again, Refused
from jobs.desk.money_reads import money_page, money_part
from shop.money import written
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


def _job_or_404(number: str) -> Job:
    job = Job.objects.select_related("item").filter(number=number).first()
    if job is None:
        raise Http404
    return job


@require_GET
@opens(Act.SEE_MONEY)
def money(request: HttpRequest) -> HttpResponse:
    """Invoices not paid yet, and today's takings."""
    page = money_page(profile(), at=timezone.now())
    return render(request, "desk/money.html", {"page": page, "section": "money"})


@require_http_methods(["GET", "POST"])
@opens(Act.INVOICE)
def invoice(request: HttpRequest, number: str) -> HttpResponse:
    """The final invoice as it would be issued; issue it."""
    job, fault = _job_or_404(number), ""
    if request.method == "POST":
        try:
            made = issue(job, by=person_of(request), at=timezone.now(), key=request.POST.get("key", ""))
            messages.success(request, f"Invoice {made.number} is issued. Its paper is being sealed.")
            return redirect("desk:job", number=job.number)
        except Again:
            return redirect("desk:job", number=job.number)
        except Refused as refusal:
            fault = refusal.words
    part = money_part(job, profile(), at=timezone.now())
    page = {"job": job, "part": part, "fault": fault, "section": "money"}
    return render(request, "desk/invoice.html", page, status=422 if fault else 200)


@require_http_methods(["GET", "POST"])
@opens(Act.TAKE_PAYMENT)
def payment(request: HttpRequest, number: str) -> HttpResponse:
    """Write down money received."""
    job, shop, fault = _job_or_404(number), profile(), ""
    if request.method == "POST":
        try:
            amount = amount_in(request.POST.get("amount", ""), shop.places)
            method = request.POST.get("method", "")
            taken = take_payment(
                job, amount, method, by=person_of(request), at=timezone.now(), key=request.POST.get("key", "")
            )
            messages.success(request, f"{written(taken.amount, shop.places)} taken, {taken.get_method_display()}.")
            return redirect("desk:job", number=job.number)
        except Again:
            return redirect("desk:job", number=job.number)
        except Refused as refusal:
            fault = refusal.words
    page = {
        "job": job,
        "part": money_part(job, shop, at=timezone.now()),
        "methods": METHODS,
        "fault": fault,
        "typed": request.POST,
        "section": "money",
    }
    return render(request, "desk/payment.html", page, status=422 if fault else 200)


@require_POST
@opens(Act.TAKE_PAYMENT)
def on_account(request: HttpRequest, number: str) -> HttpResponse:
    """Let it go home unpaid, with a reason."""
    job = _job_or_404(number)
    try:
        go_on_account(
            job,
            request.POST.get("reason", ""),
            by=person_of(request),
            at=timezone.now(),
            key=request.POST.get("key", ""),
        )
        messages.success(request, "It may go home on account.")
    except Again:
        pass
    except Refused as refusal:
        part = money_part(job, profile(), at=timezone.now())
        page = {
            "job": job,
            "part": part,
            "methods": METHODS,
            "fault": refusal.words,
            "typed": request.POST,
            "section": "money",
        }
        return render(request, "desk/payment.html", page, status=422)
    return redirect("desk:job", number=job.number)
