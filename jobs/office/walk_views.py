"""The first walk through the shop's rooms: one after the other, each may be left for later, going on where it stopped."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.refusals import Refused
from jobs.office.doors import WALKING
from jobs.office.lines import Standing
from jobs.office.rooms import ROOMS, Room
from jobs.office.walk_steps import walk
from shop.clock import local
from shop.people.doors import opens, person_of
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Walked
from shop.profile.reads import profile


@dataclass(frozen=True, slots=True)
class Step:
    """One room on the walk: its place in the row, and how it was left (“done”, “later”, “” when not looked at)."""

    number: int
    room: Room
    state: str
    line: str = ""


def steps_of(person: Person) -> list[Step]:
    """The rooms this person may enter, in order, with what was said of each. One query."""
    said = dict(Walked.objects.values_list("code", "later"))
    rooms = [room for room in ROOMS if person.may(room.act)]
    states = {code: "later" if later else "done" for code, later in said.items()}
    return [Step(number, room, states.get(room.code, "")) for number, room in enumerate(rooms, 1)]


@require_GET
@opens(Act.SET_SHOP)
def begin(request: HttpRequest) -> HttpResponse:
    """Every room, and the one that comes next."""
    shop, now = profile(), timezone.now()
    steps = steps_of(person_of(request))
    wanted = request.GET.get("room", "")
    ahead = next((step for step in steps if step.room.code == wanted), None)
    ahead = ahead or next((step for step in steps if not step.state), None)
    here = Standing(shop, now, local(now, shop.zone).date())
    page = {
        "steps": steps,
        "ahead": ahead,
        "line": ahead.room.line(here) if ahead else "",
        "done": sum(step.state == "done" for step in steps),
        "later": [step for step in steps if step.state == "later"],
        "section": "shop",
    }
    return render(request, "office/begin.html", page)


@require_GET
@opens(Act.SET_SHOP)
def enter(request: HttpRequest, code: str) -> HttpResponse:
    """Go into a room on the walk: it carries a bar that leads on."""
    room = next((room for room in ROOMS if room.code == code), None)
    if room is None:
        raise Http404
    request.session[WALKING] = code
    return redirect(room.address)


@require_POST
@opens(Act.SET_SHOP)
def said(request: HttpRequest, code: str) -> HttpResponse:
    """A room is right, or left for later; on to the next."""
    try:
        walk(code, later=request.POST.get("do") == "later", by=person_of(request), at=timezone.now())
    except Refused as refusal:
        messages.error(request, refusal.words)
    request.session.pop(WALKING, None)
    return redirect("office:begin")
