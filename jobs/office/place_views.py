"""Where things hang: rooms and places, their names, order, and closing one that is empty."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.book.refusals import Again, Refused, Stale
from jobs.custody import place_steps
from jobs.custody.models import Location
from jobs.custody.place_reads import every_place, how_many
from jobs.office.changes import changes_of
from jobs.office.doors import in_room
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


@dataclass(frozen=True, slots=True)
class Spot:
    """One place and how many things hang there."""

    place: Location
    count: int
    fault: str = ""


@require_http_methods(["GET", "POST"])
@opens(Act.SET_SHOP)
def places(request: HttpRequest) -> HttpResponse:
    """Look at the places; put up another."""
    if request.method == "GET":
        return _page(request)
    name, room, key = (request.POST.get(part, "") for part in ("name", "room", "key"))
    try:
        made = place_steps.add_place(name, room, by=person_of(request), at=timezone.now(), key=key)
        messages.success(request, f"{made.name} is put up.")
    except Again:
        pass
    except Refused as refusal:
        return _page(request, fault=refusal.words)
    return redirect("office:places")


@require_POST
@opens(Act.SET_SHOP)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename a place, move it, close or open it: the pressed button says which."""
    place, by, now = Location.objects.filter(pk=pk).first(), person_of(request), timezone.now()
    if place is None:
        raise Http404
    do = request.POST.get("do", "")
    try:
        if do in {"up", "down"}:
            place_steps.move_place(place, do == "up", by=by, at=now)
        elif do == "shut":
            place_steps.shut_place(place, by=by, at=now)
            messages.success(request, f"{place.name} is closed.")
        elif do == "open":
            place_steps.open_place(place, by=by, at=now)
            messages.success(request, f"{place.name} is open again.")
        else:
            name, room, seen = (request.POST.get(part, "") for part in ("name", "room", "seen"))
            if place_steps.change_place(place, name, room, seen=seen, by=by, at=now):
                messages.success(
                    request,
                    f"{seen} is now {' '.join(name.split())}." if seen != name else f"{name} is in another room.",
                )
    except Stale as stale:
        return _page(request, at=pk, fault=stale.words, status=409)
    except Refused as refusal:
        return _page(request, at=pk, fault=refusal.words)
    return redirect(f"{reverse('office:places')}#place-{pk}")


def _page(request: HttpRequest, *, at: int = 0, fault: str = "", status: int = 0) -> HttpResponse:
    shop, counts = profile(), how_many()
    rooms: dict[str, list[Spot]] = {}
    shut: list[Spot] = []
    for place in every_place():
        spot = Spot(place, counts[place.pk], fault if place.pk == at else "")
        if place.closed_at is None:
            rooms.setdefault(place.room, []).append(spot)
        else:
            shut.append(spot)
    page = {
        "rooms": list(rooms.items()),
        "shut": shut,
        "fault": fault,
        "at": at,
        "sent": request.POST if fault and not at else {},
        "changes": changes_of(place_steps.ACTIONS, shop, at=timezone.now()),
    }
    return in_room(request, "places", "office/places.html", page, status=status or (422 if fault else 200))
