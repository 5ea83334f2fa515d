"""The takings: since the last count, of a day, and the drawer counted."""

from datetime import date, timedelta
from decimal import Decimal

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.billing.counting import count_drawer
from jobs.billing.drawer_reads import day_takings, drawer, lately_counted, rows_shown, summed
from jobs.billing.models import DrawerCount
from jobs.book.refusals import Again, Refused, Stale
from jobs.till.asked import MOST_COINS, coins_in, key_in, maybe_amount
from shop.clock import local
from shop.money import ZERO
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole

FREE_ROWS = 3  # empty rows for coins and notes beside those counted last time


@require_GET
@opens(Act.SEE_MONEY)
def takings(request: HttpRequest) -> HttpResponse:
    """What was taken since the last count, and what the drawer should hold."""
    return _takings_page(request)


@require_POST
@opens(Act.COUNT_DRAWER)
def close(request: HttpRequest) -> HttpResponse:
    """The drawer was counted: close what was taken since the last count."""
    places = profile().places
    try:
        made = count_drawer(
            total=maybe_amount(request, "total", places),
            coins=coins_in(request, places),
            removed=maybe_amount(request, "removed", places) or ZERO,
            opening=maybe_amount(request, "opening", places) or ZERO,
            reason=request.POST.get("reason", ""),
            corrects=whole(request.POST.get("corrects", "")),
            seen=request.POST.get("seen", ""),
            by=person_of(request),
            at=timezone.now(),
            key=key_in(request),
        )
    except Again as again:
        return redirect("till:count", number=again.made["count"])
    except Stale as stale:
        return _takings_page(request, stale.words, status=409)
    except Refused as refusal:
        return _takings_page(request, refusal.words, status=422)
    return redirect("till:count", number=made.number)


def _takings_page(request: HttpRequest, fault: str = "", *, status: int = 200) -> HttpResponse:
    shop, now = profile(), drawer()
    page = {
        "now": now,
        "today": local(timezone.now(), shop.zone).date(),
        "coins": _coin_rows(request, now.last),
        "counts": lately_counted(),
        "corrects": whole(request.POST.get("corrects") or request.GET.get("corrects", "")),
        "fault": fault,
        "typed": request.POST,
        "section": "money",
    }
    return render(request, "till/takings.html", page, status=status)


def _coin_rows(request: HttpRequest, last: DrawerCount | None) -> list[tuple[str, str]]:
    """Worths and numbers: as typed, else the worths of the last count that had a sheet; and a few free rows."""
    if request.method == "POST":
        typed = zip(request.POST.getlist("worth"), request.POST.getlist("many"), strict=False)
        return [(worth, many) for worth, many in typed][:MOST_COINS]
    counted = DrawerCount.objects.exclude(sheet=[]).order_by("-number").first() if last else None
    worths = [(str(worth), "") for worth, _ in counted.sheet] if counted else []
    return worths + [("", "")] * FREE_ROWS


@require_GET
@opens(Act.SEE_MONEY)
def day(request: HttpRequest, on: date) -> HttpResponse:
    """The takings of one day by the shop's clock."""
    shop = profile()
    today = local(timezone.now(), shop.zone).date()
    if not date(2000, 1, 1) <= on <= today:
        raise Http404
    page = {
        "page": day_takings(on, shop),
        "before": on - timedelta(days=1),
        "after": on + timedelta(days=1) if on < today else None,
        "section": "money",
    }
    return render(request, "till/day.html", page)


@require_GET
@opens(Act.SEE_MONEY)
def count(request: HttpRequest, number: int) -> HttpResponse:
    """One count as it was closed."""
    beside = ("by", "after", "after__by", "corrects", "paper")
    found = DrawerCount.objects.select_related(*beside).filter(number=number).first()
    if found is None:
        raise Http404
    rows = rows_shown(found.payments.all())
    page = {
        "count": found,
        "rows": rows,
        "takings": summed(rows),
        "corrections": found.corrections.select_related("by").order_by("number"),
        "newest": not DrawerCount.objects.filter(number__gt=number).exists(),
        "coins": [(worth, many, Decimal(worth) * many) for worth, many in found.sheet],
        "section": "money",
    }
    return render(request, "till/count.html", page)
