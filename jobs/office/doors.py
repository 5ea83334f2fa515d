"""What every room's page carries besides its own: whether it was confirmed, and the bar of the first walk."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.office.rooms import ROOMS
from shop.profile.models import Walked

WALKING = "first_walk"


def in_room(
    request: HttpRequest, code: str, template: str, page: Mapping[str, Any], *, status: int = 200
) -> HttpResponse:
    """Render a page of a room. One query besides the page's own."""
    room = next(room for room in ROOMS if room.code == code)
    confirmed = Walked.objects.filter(code=code, later=False).exists()
    more = {"room": room, "confirmed": confirmed, "walking": request.session.get(WALKING) == code, "section": "shop"}
    return render(request, template, {**page, **more}, status=status)
