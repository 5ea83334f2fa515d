"""What everybody may do about themselves: password, PIN, where they are signed in. And the way in, for whoever has none."""

from django.contrib import messages
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from jobs.book.refusals import Refused
from jobs.office import staff_steps
from shop.people.doors import opens, person_of
from shop.people.models import Person
from shop.people.roles import Act
from shop.people.sign_ins import open_for
from shop.people.ways_in import ask, person_at

BACKEND = "django.contrib.auth.backends.ModelBackend"
_WAY = "way_in"
CHOOSE = "choose"


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
@opens(*Act)
def me(request: HttpRequest) -> HttpResponse:
    """One's own password, PIN and sign-ins."""
    person, at, fault, where = person_of(request), timezone.now(), "", request.POST.get("do", "")
    if request.method == "POST":
        try:
            said = _changed(request, person, where)
        except Refused as refusal:
            fault = refusal.words
        else:
            messages.success(request, said)
            return redirect("office:me")
    key = request.session.session_key or ""
    page = {
        "sign_ins": staff_steps.here_now(open_for(person, at=at), key),
        "takes_in": person.may(Act.TAKE_IN),
        "fault": fault,
        "where": where,
        "section": "me",
    }
    return render(request, "office/me.html", page, status=422 if fault else 200)


def _changed(request: HttpRequest, person: Person, what: str) -> str:
    at = timezone.now()
    if what == "out":
        one = request.POST.get("one", "")
        which = int(one) if one.isdecimal() and len(one) < 18 else None
        ended = staff_steps.sign_out(person, which, by=person, at=at, but=request.session.session_key or "")
        return f"Signed out in {ended} other place{'' if ended == 1 else 's'}."
    if not person.check_password(request.POST.get("password", "")):
        raise Refused("That is not your password. Nothing was changed.")
    if what == "pin":
        staff_steps.set_pin(person, request.POST.get("pin", "").strip(), by=person, at=at)
        return "You have a new PIN for the kiosk."
    if what == "password":
        staff_steps.set_password(person, _twice(request), by=person, at=at)
        login(request, person, backend=BACKEND)
        return "You have a new password, and are signed out everywhere else."
    raise Refused("The page did not say what to change. Open it again.")


def _twice(request: HttpRequest) -> str:
    first, second = request.POST.get("new", ""), request.POST.get("again", "")
    if first != second:
        raise Refused("The two new passwords are not the same. Type both again.")
    if len(first) > 200:
        raise Refused("That password is longer than 200 letters. Choose a shorter one.")
    return first


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def welcome(request: HttpRequest, number: str, token: str) -> HttpResponse:
    """A way in: choose a password, and a PIN if one takes in. The token leaves the address at once."""
    if token != CHOOSE:
        if person_at(number, token) is None:
            return render(request, "office/way_in_shut.html", status=404)
        request.session[_WAY] = token
        return redirect("office:welcome", number, CHOOSE)
    person = person_at(number, request.session.get(_WAY, ""))
    if person is None:
        return render(request, "office/way_in_shut.html", status=404)
    fault = ""
    if request.method == "POST":
        try:
            at, pin = timezone.now(), request.POST.get("pin", "").strip()
            chosen = _twice(request)
            if pin:
                staff_steps.set_pin(person, pin, by=person, at=at)
            staff_steps.set_password(person, chosen, by=person, at=at)
        except Refused as refusal:
            fault = refusal.words
        else:
            request.session.flush()
            login(request, person, backend=BACKEND)
            messages.success(request, f"Welcome, {person.short}. You are signed in.")
            return redirect("/")
    page = {"person": person, "takes_in": person.may(Act.TAKE_IN), "fault": fault}
    return render(request, "office/welcome.html", page, status=422 if fault else 200)


@require_http_methods(["GET", "POST"])
def forgot(request: HttpRequest) -> HttpResponse:
    """Ask for a way in by staff name or e-mail; the answer is the same whoever asks."""
    asked = request.method == "POST" and bool(request.POST.get("said", "").strip())
    if asked:
        ask(request.POST["said"], at=timezone.now())
    return render(request, "office/forgot.html", {"asked": asked})
