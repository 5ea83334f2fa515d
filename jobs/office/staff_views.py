"""People of the shop: the list, somebody new, one person's page and what is done on it."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.book.refusals import Again, Refused, Stale
from jobs.office import staff_steps
from jobs.office.changes import changes_of
from jobs.office.changing import Faults
from jobs.office.doors import in_room
from jobs.office.staff_fields import SKILLS
from jobs.office.staff_reads import clock_of, everybody, jobs_of
from jobs.tags.symbols import QUIET_ZONE, symbol
from shop.people.doors import opens, person_of
from shop.people.models import Person
from shop.people.roles import ROLE_WORDS, Act
from shop.people.sign_ins import open_for
from shop.people.ways_in import DAYS
from shop.profile.reads import profile

ACTIONS = ("staff.invited", "staff.changed", "staff.left", "staff.back", "staff.way_in")
NEW = {"name": "", "called": "", "username": "", "role": "technician", "skill": "2", "email": "", "hours": ""}


@require_GET
@opens(Act.SET_STAFF)
def staff(request: HttpRequest) -> HttpResponse:
    """Who works here, and who did."""
    here, gone = everybody(at=timezone.now())
    changes = changes_of(ACTIONS, profile(), at=timezone.now())
    return in_room(request, "people", "office/staff.html", {"here": here, "gone": gone, "changes": changes})


@require_http_methods(["GET", "POST"])
@opens(Act.SET_STAFF)
def invite(request: HttpRequest) -> HttpResponse:
    """Write somebody down who begins here."""
    typed, faults, words = NEW, {}, ""
    if request.method == "POST":
        typed = {name: request.POST.get(name, "") for name in NEW}
        try:
            key = request.POST.get("key", "")
            person = staff_steps.invite(typed, by=person_of(request), at=timezone.now(), key=key)
        except Again as again:
            return redirect("office:person", again.made["person"])
        except Faults as fault:
            faults, words = fault.by_field, "Nobody was written down yet. Look at the marked fields."
        except Refused as refusal:
            words = refusal.words
        else:
            if person.email:
                messages.success(request, f"{person.short} is written down. A way in goes to {person.email}.")
                return redirect("office:person", person.pk)
            return _shown(request, person)
    page = {**_choices(), "typed": typed, "faults": faults, "fault": words}
    return in_room(request, "people", "office/staff_new.html", page, status=422 if words else 200)


@require_http_methods(["GET", "POST"])
@opens(Act.SET_STAFF)
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One person: fields, way in, PIN, where they are signed in, letting them go."""
    found = get_object_or_404(Person, pk=pk)
    if request.method == "GET":
        return _page(request, found)
    try:
        changed = staff_steps.change(
            found, request.POST.dict(), seen=request.POST.get("seen", ""), by=person_of(request), at=timezone.now()
        )
    except Faults as faults:
        return _page(request, found, typed=request.POST, faults=faults.by_field, words="Nothing was changed yet.")
    except Stale as stale:
        return _page(request, found, words=stale.words, status=409)
    except Refused as refusal:
        return _page(request, found, words=refusal.words)
    messages.success(request, "Kept." if changed else "Nothing was different; all stays as it was.")
    return redirect("office:person", pk)


@require_POST
@opens(Act.SET_STAFF)
def way_in(request: HttpRequest, pk: int) -> HttpResponse:
    """A way in for whoever cannot sign in: by mail, or shown here to be scanned."""
    found = get_object_or_404(Person, pk=pk)
    if request.POST.get("do") != "send":
        return _shown(request, found)
    return _done(
        request,
        found,
        lambda: staff_steps.give_way_in(found, by=person_of(request), at=timezone.now(), send=True),
        f"A way in goes to {found.email}. It works once, within {DAYS} days.",
    )


def _shown(request: HttpRequest, found: Person) -> HttpResponse:
    try:
        path = staff_steps.give_way_in(found, by=person_of(request), at=timezone.now(), send=False)
    except Refused as refusal:
        return _page(request, found, words=refusal.words)
    address = f"{settings.PUBLIC_ADDRESS}{path}"
    square = symbol(address)
    side = len(square.modules) + 2 * QUIET_ZONE
    runs = [(column + QUIET_ZONE, row + QUIET_ZONE, length) for row, column, length in square.runs]
    page = {"person": found, "address": address, "runs": runs, "side": side, "days": DAYS}
    return in_room(request, "people", "office/staff_way_in.html", page)


@require_POST
@opens(Act.SET_STAFF)
def pin(request: HttpRequest, pk: int) -> HttpResponse:
    """A new PIN for somebody."""
    found = get_object_or_404(Person, pk=pk)
    said = request.POST.get("pin", "").strip()
    step = partial(staff_steps.set_pin, found, said, by=person_of(request), at=timezone.now())
    return _done(request, found, step, f"{found.short} has a new PIN for the kiosk.")


@require_POST
@opens(Act.SET_STAFF)
def sign_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Sign somebody out, in one place or everywhere."""
    found = get_object_or_404(Person, pk=pk)
    one = request.POST.get("one", "")
    own = (request.session.session_key or "") if found == person_of(request) else ""
    ended = staff_steps.sign_out(
        found,
        int(one) if one.isdecimal() and len(one) < 18 else None,
        by=person_of(request),
        at=timezone.now(),
        but=own,
    )
    messages.success(request, f"Signed out in {ended} place{'' if ended == 1 else 's'}.")
    return redirect("office:person", pk)


@require_POST
@opens(Act.SET_STAFF)
def leave(request: HttpRequest, pk: int) -> HttpResponse:
    """Let somebody go, or let them come back."""
    found, by, at = get_object_or_404(Person, pk=pk), person_of(request), timezone.now()
    if request.POST.get("do") == "back":
        return _done(
            request, found, lambda: staff_steps.come_back(found, by=by, at=at), f"{found.short} works here again."
        )
    to = request.POST.get("jobs_to", "")
    other = Person.objects.filter(pk=int(to)).first() if to.isdecimal() and len(to) < 18 else None
    try:
        left = staff_steps.leave(found, jobs_to=other, by=by, at=at)
    except Refused as refusal:
        return _page(request, found, words=refusal.words)
    said = [f"{found.short} cannot sign in any more. What they did stays theirs."]
    if left.stopped_on:
        said.append(f"Their clock on {left.stopped_on} was stopped.")
    if left.given and other is not None:
        said.append(f"{other.short} has {left.given} of their jobs now.")
    messages.success(request, " ".join(said))
    return redirect("office:person", pk)


def _done(request: HttpRequest, found: Person, step: Callable[[], Any], words: str) -> HttpResponse:
    try:
        step()
    except Refused as refusal:
        return _page(request, found, words=refusal.words)
    messages.success(request, words)
    return redirect("office:person", found.pk)


def _choices() -> dict[str, Any]:
    return {"roles": [(role.value, words) for role, words in ROLE_WORDS.items()], "skills": SKILLS.items()}


def _page(
    request: HttpRequest,
    found: Person,
    *,
    typed: Mapping[str, str] | None = None,
    faults: Mapping[str, str] | None = None,
    words: str = "",
    status: int = 422,
) -> HttpResponse:
    found.refresh_from_db()
    at = timezone.now()
    theirs = jobs_of(found)
    others = Person.objects.filter(is_active=True).exclude(pk=found.pk).order_by("name") if theirs else []
    page = {
        **_choices(),
        "person": found,
        "typed": typed or staff_steps.shown_of(found),
        "faults": faults or {},
        "seen": staff_steps.mark_of(found),
        "theirs": theirs,
        "others": others,
        "clock": clock_of(found),
        "sign_ins": staff_steps.here_now(open_for(found, at=at), request.session.session_key or ""),
        "me": found == person_of(request),
        "fault": words,
        "section": "shop",
    }
    return in_room(request, "people", "office/staff_person.html", page, status=status if words else 200)
