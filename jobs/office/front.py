"""The front page of the shop's own rooms."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.office.lines import Standing
from jobs.office.rooms import ROOMS
from shop.clock import local
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.models import Walked
from shop.profile.reads import profile


@require_GET
@opens(Act.SET_SHOP, Act.SET_PRICES, Act.SET_STAFF, Act.SEE_COPIES)
def front(request: HttpRequest) -> HttpResponse:
    """Every room this person may enter, each with one line on how it stands."""
    shop, now, person = profile(), timezone.now(), person_of(request)
    here = Standing(shop, now, local(now, shop.zone).date())
    confirmed = set(Walked.objects.filter(later=False).values_list("code", flat=True))
    rooms = [room for room in ROOMS if person.may(room.act)]
    page = {
        "doors": [(room, room.line(here), room.sample and room.code not in confirmed) for room in rooms],
        "waiting": sum(room.code not in confirmed for room in rooms) if person.may(Act.SET_SHOP) else 0,
        "section": "shop",
    }
    return render(request, "office/front.html", page)
