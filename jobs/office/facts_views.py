"""The shop's facts: name, money, papers."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from shop.people.doors import opens
from shop.people.roles import Act


@require_http_methods(["GET", "POST"])
@opens(Act.SET_SHOP)
def facts(request: HttpRequest) -> HttpResponse:
    """Name, money and papers."""
    return render(request, "office/facts.html", {"section": "shop"})
