"""Safe copies: how old the last good one is, all of them, one more now, and how to put one back."""

from contextlib import suppress

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.book.nudge import nudge
from jobs.book.refusals import Again, Refused
from jobs.book.steps import keep, press
from jobs.office.copies_reads import copies_page
from jobs.office.doors import in_room
from jobs.updates.restored_steps import take_up
from shop.packing.faults import CannotPackError
from shop.packing.reads import being_made
from shop.packing.steps import ask
from shop.people.doors import opens, person_of
from shop.people.models import Person
from shop.people.roles import Act


@require_GET
@opens(Act.SEE_COPIES)
def copies(request: HttpRequest) -> HttpResponse:
    """Every copy with its age, its size, and whether it is good."""
    return _page(request)


def _page(request: HttpRequest, *, fault: str = "", status: int = 200) -> HttpResponse:
    context = {"page": copies_page(timezone.now()), "fault": fault}
    return in_room(request, "copies", "office/copies.html", context, status=status)


@never_cache
@require_GET
@opens(Act.SEE_COPIES)
def now(request: HttpRequest) -> HttpResponse:
    """How far the copy being made is, for the page to ask while it is made."""
    copy = being_made()
    return JsonResponse({"making": copy is not None, "doing": (copy.doing or "waits for the worker") if copy else ""})


@require_POST
@opens(Act.SEE_COPIES)
def make(request: HttpRequest) -> HttpResponse:
    """Have one more made now."""
    try:
        with suppress(Again):  # a second press of the same button: it is being made
            _ask(request.POST.get("press", ""), person_of(request))
    except (CannotPackError, Refused) as refusal:
        return _page(request, fault=str(refusal), status=422)
    return redirect("office:copies")


def _ask(key: str, by: Person) -> None:
    at = timezone.now()
    with transaction.atomic():
        claimed = press(key, "copy.ask", at=at)
        copy = ask(by=by, at=at)
        keep(claimed, copy=copy.pk)
        nudge("packing.make", copy.pk)


@require_POST
@opens(Act.SEE_COPIES)
def is_the_shop(request: HttpRequest) -> HttpResponse:
    """This shop, put back from a copy, is the shop from now on. Twice is the same as once."""
    count = take_up(by=person_of(request), at=timezone.now())
    if count:
        asked = "1 letter was" if count == 1 else f"{count} letters were"
        words = f"Letters go out from here. {asked} waiting then and may have gone out since: look at Letters."
        messages.success(request, words)
    elif count == 0:
        messages.success(request, "Letters go out from here.")
    return redirect("office:copies")
