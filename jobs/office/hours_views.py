"""Hours by weekday, and the days the shop is closed besides."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.book.models import Job
from jobs.book.refusals import Again, Refused, Stale
from jobs.office import hours_steps
from jobs.office.changes import changes_of
from jobs.office.changing import Faults, mark
from jobs.office.doors import in_room
from jobs.office.typed_days import day_in
from shop.clock import days_words, local
from shop.hours import DAY_NAMES, DAYS, week_words
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.models import ClosedDay
from shop.profile.reads import profile


@dataclass(frozen=True, slots=True)
class Day:
    """One weekday on the page: two pairs of times, empty where closed."""

    code: str
    name: str
    times: tuple[str, str, str, str]
    fault: str = ""


@require_http_methods(["GET", "POST"])
@opens(Act.SET_SHOP)
def hours(request: HttpRequest) -> HttpResponse:
    """Look at the hours and closed days; change the week."""
    if request.method == "GET":
        return _page(request)
    typed = {day: request.POST.getlist(day)[:4] for day in DAYS}
    words, seen = request.POST.get("hours_words", ""), request.POST.get("seen", "")
    try:
        changed = hours_steps.change_week(typed, words, seen=seen, by=person_of(request), at=timezone.now())
    except Faults as faults:
        return _page(
            request, typed=typed, faults=faults.by_field, fault="Nothing was changed yet. Look at the marked days."
        )
    except Stale as stale:
        return _page(request, fault=stale.words, status=409)
    messages.success(request, "The hours are kept." if changed else "Nothing was different; the hours stay.")
    return redirect("office:hours")


@require_POST
@opens(Act.SET_SHOP)
def close(request: HttpRequest) -> HttpResponse:
    """Close days."""
    first, last = (day_in(request.POST.get(name, "")) for name in ("first", "last"))
    key = request.POST.get("key", "")
    try:
        closed = hours_steps.close_days(
            first, last, request.POST.get("words", ""), by=person_of(request), at=timezone.now(), key=key
        )
        messages.success(request, f"Closed {days_words(closed.first, closed.last)}: {closed.words}.{_promised(closed)}")
    except Again:
        pass
    except Refused as refusal:
        return _page(request, close_fault=refusal.words)
    return redirect("office:hours")


@require_POST
@opens(Act.SET_SHOP)
def open_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Take closed days back."""
    closed = ClosedDay.objects.filter(pk=pk).first()
    if closed is None:
        raise Http404
    try:
        hours_steps.open_again(closed, by=person_of(request), at=timezone.now())
    except Refused as refusal:
        return _page(request, close_fault=refusal.words)
    messages.success(request, f"Open again {days_words(closed.first, closed.last)}.")
    return redirect("office:hours")


def _promised(closed: ClosedDay) -> str:
    """Which jobs are promised for days just closed."""
    numbers = list(
        Job.objects.filter(closed_at=None, promised__gte=closed.first, promised__lte=closed.last)
        .order_by("promised")
        .values_list("number", flat=True)[:6]
    )
    return f" Promised for those days: {', '.join(numbers)}. Tell their owners another day." if numbers else ""


def _page(
    request: HttpRequest,
    *,
    typed: Mapping[str, Sequence[str]] | None = None,
    faults: Mapping[str, str] | None = None,
    fault: str = "",
    close_fault: str = "",
    status: int = 0,
) -> HttpResponse:
    shop, now = profile(), timezone.now()
    today, faults = local(now, shop.zone).date(), faults or {}
    week = []
    for code, name in zip(DAYS, DAY_NAMES, strict=True):
        times = [*(typed or shop.hours).get(code, []), "", "", "", ""]
        week.append(Day(code, name, (times[0], times[1], times[2], times[3]), faults.get(code, "")))
    page = {
        "week": week,
        "words": week_words(shop.hours),
        "hours_words": request.POST.get("hours_words", "") if typed else shop.hours_words,
        "words_fault": faults.get("hours_words", ""),
        "seen": mark(hours_steps.week_shown(shop)),
        "closed": [
            (one, days_words(one.first, one.last, today=today))
            for one in ClosedDay.objects.filter(off_at=None, last__gte=today).select_related("made_by")
        ],
        "past": [
            (one, days_words(one.first, one.last, today=today))
            for one in ClosedDay.objects.filter(off_at=None, last__lt=today).order_by("-first")[:12]
        ],
        "fault": fault,
        "close_fault": close_fault,
        "sent": request.POST if close_fault else {},
        "today": today,
        "changes": changes_of(hours_steps.ACTIONS, shop, at=now),
    }
    return in_room(request, "hours", "office/hours.html", page, status=status or (422 if fault or close_fault else 200))
