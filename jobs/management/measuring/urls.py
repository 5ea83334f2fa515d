"""The shop's addresses, an empty view that loads the signed-in user, and the admin's list as a yardstick."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path

from jobs.management.measuring.admin import site
from shop.people.doors import person_of


def empty(request: HttpRequest) -> HttpResponse:
    """Loads the signed-in user and answers nothing."""
    return HttpResponse(status=204 if person_of(request).pk else 403)


urlpatterns = [path("measure-empty/", empty), path("measure-admin/", site.urls), path("", include("shop.urls"))]
