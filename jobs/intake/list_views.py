"""Price-list work on one page: who, how many of what, which is which; then read and signed once."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.book.refusals import Refused, Stale
from jobs.intake import list_steps
from jobs.intake.counter import counted_pieces, foot_of, ready_words
from jobs.intake.doors import with_draft
from jobs.intake.drafts import from_json
from jobs.intake.models import Draft
from jobs.intake.pages import step_page
from jobs.intake.priced import changed, total_of
from jobs.intake.reads import sit
from jobs.intake.views import quick, version_of
from shop.clock import time_words
from shop.money import written
from shop.people.doors import opens, person_of
from shop.people.roles import Act


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def keep(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """Keep what the page holds, at each change or with its buttons; “Read and sign” numbers the pieces and goes on."""
    typed, now, by = request.POST.dict(), timezone.now(), person_of(request)
    to = typed.get("to", "")
    try:
        row = list_steps.write(row, typed, seen=version_of(request), by=by, at=now)
        if to == "sign":
            row = list_steps.to_be_read(row, seen=row.version, by=by, at=now)
    except Refused as refusal:
        return _refused(request, row, refusal)
    if quick(request):
        return JsonResponse(_figures(request, row))
    if to == "aside":
        messages.success(request, "Put aside. It waits here for you.")
        return redirect("intake:start")
    return redirect("intake:step", row.key, to if to in {"sign", "who"} else "counter")


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def apart(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """One work of a piece is for another of its kind: “<piece>/<code>”."""
    piece, _, code = request.POST.get("what", "").partition("/")
    try:
        list_steps.put_apart(row, piece, code, seen=version_of(request), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        return _refused(request, row, refusal)
    return redirect("intake:step", row.key, "counter")


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def fully(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """It needs a closer look: on with all the steps."""
    try:
        list_steps.take_in_fully(row, seen=version_of(request), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        return _refused(request, row, refusal)
    return redirect("intake:step", row.key, "items")


def _refused(request: HttpRequest, row: Draft, refusal: Refused) -> HttpResponse:
    status = 409 if isinstance(refusal, Stale) else 422
    if quick(request):
        return JsonResponse({"words": refusal.words}, status=status)
    row.refresh_from_db()
    if row.visit_id is not None or row.dropped_at is not None:
        return redirect("intake:start")
    step = "counter" if from_json(row.data).from_list else "who"
    return step_page(request, row, step, fault=refusal.words, status=status)


def _figures(request: HttpRequest, row: Draft) -> dict[str, object]:
    """What the page is told after a save: version, what stops it, the pieces anew, the sum and the day."""
    sitting = sit(row, receiver=person_of(request))
    places, draft = sitting.shop.places, sitting.draft
    page = {"row": row, "sitting": sitting, "counted": counted_pieces(sitting), "shop": sitting.shop}
    foot = foot_of(sitting)
    return {
        "version": row.version,
        "kept": time_words(row.saved_at, sitting.shop.zone),
        "stops": foot["stops"],
        "more": foot["more_lacks"],
        "html": render_to_string("intake/_counted.html", page, request),
        "total": written(total_of(draft.pieces, places).gross, places),
        "ready": ready_words(draft),
        "changed": " ".join(changed(draft, sitting.seen.prices, places)),
    }
