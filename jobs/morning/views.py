"""The day of whoever is signed in, and today's list to print."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_GET

from jobs.morning.pages import day_of
from jobs.morning.printing import FOR, list_of, lists_for, printed
from shop.people.doors import may_or_403, opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


@require_GET
@opens(Act.SEE_DAY)
def today(request: HttpRequest) -> HttpResponse:
    """The day; only its changing part when the page asks for that. Sixteen queries at most."""
    shop, person = profile(), person_of(request)
    part = bool(getattr(request, "htmx", False))
    page = {
        "day": day_of(person, shop=shop, at=timezone.now()),
        "lists": lists_for(person),
        "shop": shop,
        "section": "today",
    }
    response = render(request, "morning/day.html" if part else "morning/today.html", page)
    patch_vary_headers(response, ["HX-Request"])
    return response


@require_GET
@opens(Act.SEE_DAY)
def list_pdf(request: HttpRequest) -> HttpResponse:
    """Today's list on paper: `for` the bench, by person, or for the desk, with who comes and whom to call."""
    person = person_of(request)
    mine = lists_for(person)
    kind = request.GET.get("for", "")
    if kind not in FOR:
        kind = mine[0][0]
    may_or_403(person, FOR[kind].act)
    at = timezone.now()
    response = HttpResponse(
        printed(list_of(kind, person, shop=profile(), at=at), at=at), content_type="application/pdf"
    )
    response["Content-Disposition"] = f'inline; filename="today-{kind}.pdf"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
