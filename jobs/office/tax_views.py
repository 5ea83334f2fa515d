"""Taxes: rates in force, to come and past."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.book.refusals import Again, Refused
from jobs.office import tax_steps
from jobs.office.changes import changes_of
from jobs.office.doors import in_room
from jobs.office.typed_days import day_in
from shop.clock import day_words, local
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.models import TaxClass, TaxRate
from shop.profile.reads import profile
from shop.profile.steps import BEGINNING


@dataclass(frozen=True, slots=True)
class Taxed:
    """A tax class with its rates: the one in force, those to come, those past (newest first)."""

    kind: TaxClass
    now: TaxRate | None
    coming: list[TaxRate]
    past: list[TaxRate]


def taxed(today: date) -> list[Taxed]:
    """Every tax class with its rates. Two queries."""
    found = []
    for kind in TaxClass.objects.order_by("pk").prefetch_related("rates"):
        rates = sorted(kind.rates.all(), key=lambda one: one.since)
        begun = [one for one in rates if one.since <= today]
        coming = [one for one in rates if one.since > today]
        found.append(Taxed(kind, begun[-1] if begun else None, coming, begun[-2::-1] if len(begun) > 1 else []))
    return found


@require_http_methods(["GET", "POST"])
@opens(Act.SET_PRICES)
def taxes(request: HttpRequest) -> HttpResponse:
    """Look at the rates; let a new one begin."""
    if request.method == "GET":
        return _page(request)
    code, since = request.POST.get("code", ""), day_in(request.POST.get("since", ""))
    try:
        rate = tax_steps.percent_in(request.POST.get("rate", ""))
        key = request.POST.get("key", "")
        made = tax_steps.set_rate(code, since, rate, by=person_of(request), at=timezone.now(), key=key)
        begins = day_words(made.since, today=timezone.localdate())
        messages.success(request, f"{rate.normalize():f} % on {made.tax_class.words} from {begins} on.")
    except Again:
        pass
    except Refused as refusal:
        return _page(request, fault=refusal.words)
    return redirect("office:taxes")


@require_POST
@opens(Act.SET_PRICES)
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a rate that is to come."""
    rate = TaxRate.objects.filter(pk=pk).first()
    if rate is None:
        raise Http404
    try:
        tax_steps.withdraw(rate, by=person_of(request), at=timezone.now())
    except Refused as refusal:
        return _page(request, fault=refusal.words)
    messages.success(request, "The rate that was to come is withdrawn.")
    return redirect("office:taxes")


def _page(request: HttpRequest, *, fault: str = "") -> HttpResponse:
    shop, now = profile(), timezone.now()
    today = local(now, shop.zone).date()
    page = {
        "taxed": taxed(today),
        "beginning": BEGINNING,
        "fault": fault,
        "sent": request.POST if fault else {},
        "today": today,
        "tomorrow": today + timedelta(days=1),
        "changes": changes_of(tax_steps.ACTIONS, shop, at=now),
    }
    return in_room(request, "taxes", "office/taxes.html", page, status=422 if fault else 200)
