"""Money of one job at the counter: the final invoice, a payment, leave to go home unpaid, a deposit given back."""

from collections.abc import Mapping
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.billing.giving_back import refund_deposit
from jobs.billing.models import METHODS
from jobs.billing.part import beside, money_part, ways_paid
from jobs.billing.steps import go_on_account, issue_together, take_payment
from jobs.book.models import Job
from jobs.book.refusals import Again, Refused
from jobs.till.asked import asked_amount, key_in, maybe_amount
from jobs.till.refunding import refunded
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole


def _job_or_404(number: str) -> Job:
    job = Job.objects.select_related("item").filter(number=number).first()
    if job is None:
        raise Http404
    return job


@require_http_methods(["GET", "POST"])
@opens(Act.INVOICE)
def invoice(request: HttpRequest, number: str) -> HttpResponse:
    """The final invoice as it would be issued, with what else the same payer has ready; issue it."""
    job, shop, fault = _job_or_404(number), profile(), ""
    chosen = {whole(pk) for pk in request.POST.getlist("also")}
    if request.method == "POST":
        try:
            jobs = [job, *Job.objects.filter(pk__in=chosen)]
            made = issue_together(jobs, by=person_of(request), at=timezone.now(), key=key_in(request))
            messages.success(request, f"Invoice {made.number} is issued. Its paper is being sealed.")
            return redirect("desk:job", number=job.number)
        except Again:
            return redirect("desk:job", number=job.number)
        except Refused as refusal:
            fault = refusal.words
    now = timezone.now()
    part = money_part(job, shop, at=now)
    page = {
        "job": job,
        "part": part,
        "beside": beside(job, part.account.payer, shop, at=now) if part.may_issue else [],
        "chosen": chosen,
        "fault": fault,
        "section": "money",
    }
    return render(request, "till/invoice.html", page, status=422 if fault else 200)


@require_http_methods(["GET", "POST"])
@opens(Act.TAKE_PAYMENT)
def payment(request: HttpRequest, number: str) -> HttpResponse:
    """Write down money received; then its receipt is one press away."""
    job, shop = _job_or_404(number), profile()
    if request.method == "GET":
        return _payment_page(request, job, "")
    try:
        taken = take_payment(
            job,
            asked_amount(request, shop.places),
            request.POST.get("method", ""),
            given=maybe_amount(request, "given", shop.places) or None,
            reference=request.POST.get("reference", ""),
            by=person_of(request),
            at=timezone.now(),
            key=key_in(request),
        )
    except Again as again:
        return redirect("till:received", pk=again.made["payment"])
    except Refused as refusal:
        return _payment_page(request, job, refusal.words)
    return redirect("till:received", pk=taken.pk)


def _payment_page(request: HttpRequest, job: Job, fault: str) -> HttpResponse:
    page = {
        "job": job,
        "part": money_part(job, profile(), at=timezone.now()),
        "methods": METHODS,
        "fault": fault,
        "typed": request.POST,
        "section": "money",
    }
    return render(request, "till/payment.html", page, status=422 if fault else 200)


@require_POST
@opens(Act.TAKE_PAYMENT)
def on_account(request: HttpRequest, number: str) -> HttpResponse:
    """Let it go home unpaid, with a reason."""
    job, reason = _job_or_404(number), request.POST.get("reason", "")
    try:
        go_on_account(job, reason, by=person_of(request), at=timezone.now(), key=key_in(request))
        messages.success(request, "It may go home on account.")
    except Again:
        pass
    except Refused as refusal:
        return _payment_page(request, job, refusal.words)
    return redirect("desk:job", number=job.number)


@require_http_methods(["GET", "POST"])
@opens(Act.REFUND)
def refund_held(request: HttpRequest, number: str) -> HttpResponse:
    """Give back a deposit that no invoice has taken."""
    job, shop, fault = _job_or_404(number), profile(), ""
    if request.method == "POST":
        try:
            return refunded(request, partial(refund_deposit, job), places=shop.places)
        except Refused as refusal:
            fault = refusal.words
    part = money_part(job, shop, at=timezone.now())
    held = [one for one in part.account.payments if one.job_id and one.invoice_id is None]
    page: Mapping[str, Any] = {
        "what": f"Deposit for job {job.number}",
        "back_to": job,
        "most": part.held,
        "ways": ways_paid(held),
        "methods": METHODS,
        "fault": fault,
        "typed": request.POST,
        "section": "money",
    }
    return render(request, "till/refund.html", page, status=422 if fault else 200)
