"""Beginning, walking through the steps, saving as it is typed, putting aside, giving up."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.book.refusals import Again, Refused, Stale
from jobs.intake import drafts, steps
from jobs.intake.doors import device_here, with_draft
from jobs.intake.edits import with_fields
from jobs.intake.lacking import above_cover, at_step
from jobs.intake.models import Draft
from jobs.intake.pages import step_page
from jobs.intake.reads import begun, sit
from jobs.intake.shapes import BY_PIECE, photos_sentence, step_url
from jobs.intake.words import STEPS
from shop.clock import time_words
from shop.people.doors import opens, person_of
from shop.people.roles import Act


def quick(request: HttpRequest) -> bool:
    """Whether the page itself sent this in the background and wants figures back instead of a page."""
    return request.headers.get("X-Quick") == "1"


def version_of(request: HttpRequest) -> int:
    """The version of the draft that the page was showing; 0, which none has, when it says nothing sensible."""
    said = request.POST.get("version", "")
    return int(said) if said.isdecimal() and len(said) < 10 else 0


@require_http_methods(["GET", "POST"])
@opens(Act.TAKE_IN)
def start(request: HttpRequest) -> HttpResponse:
    """The blank page between owners: begin, or go on with what was put aside."""
    person, device = person_of(request), device_here(request)
    fault = ""
    if request.method == "POST":
        try:
            from_list = request.POST.get("way") == "list"
            row = steps.begin(
                by=person,
                at=timezone.now(),
                device=device,
                key=request.POST.get("key") or "-",
                draft=drafts.Draft(from_list=from_list),
            )
            return redirect("intake:step", row.key, "counter" if from_list else "who")
        except Again as again:
            return redirect("intake:step", str(again.made["draft"]), "counter")
        except Refused as refusal:
            fault = refusal.words
    page = {"section": "take-in", "begun": begun(person, device), "fault": fault}
    return render(request, "intake/start.html", page, status=422 if fault else 200)


@require_GET
@opens(Act.TAKE_IN)
@with_draft()
def step(request: HttpRequest, row: Draft, step: str, piece: str = "") -> HttpResponseBase:
    """One step of a draft; price-list work has its own few, and each way leads to the first of its own."""
    from_list = drafts.from_json(row.data).from_list
    if from_list and step not in {"counter", "who", "sign"} and step in STEPS:
        return redirect("intake:step", row.key, "counter")
    if step == "counter" and not from_list:
        return redirect("intake:step", row.key, "who")
    return step_page(request, row, step, piece=piece)


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def save(request: HttpRequest, row: Draft, step: str) -> HttpResponseBase:
    """Keep what a step's page holds, at each change or with its buttons. What was typed stays on the page either way."""
    typed = request.POST.dict()
    piece = request.POST.get("piece", "")
    change = partial(with_fields, step=step, typed=typed)
    try:
        row = steps.save(row, change, seen=version_of(request), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        status = 409 if isinstance(refusal, Stale) else 422
        if quick(request):
            return JsonResponse({"words": refusal.words}, status=status)
        row.refresh_from_db()
        if row.visit_id is not None or row.dropped_at is not None:
            return redirect("intake:start")
        unkept = with_fields(drafts.from_json(row.data), step, said_only(typed))
        return step_page(request, row, step, piece=piece, draft=unkept, fault=refusal.words, status=status)
    if quick(request):
        return JsonResponse(kept(request, row, step, piece))
    return onward(request, row, step, piece)


def said_only(typed: dict[str, str]) -> dict[str, str]:
    """What holds words: an old page's empty fields never wipe what was typed elsewhere."""
    return {name: words for name, words in typed.items() if words.strip()}


def kept(request: HttpRequest, row: Draft, step: str, piece: str) -> dict[str, object]:
    """What the page is told after a save: the new version, when, and the one thing that stops it now."""
    sitting = sit(row, receiver=person_of(request))
    lacks = at_step(sitting.lacks, step, piece if step in BY_PIECE else "")
    answer: dict[str, object] = {
        "version": row.version,
        "kept": time_words(row.saved_at, sitting.shop.zone),
        "stops": lacks[0].words if lacks else "",
        "more": max(0, len(lacks) - 1),
    }
    if step == "value":
        limit = sitting.shop.cover_limit
        answer["above"] = [one.key for one in sitting.draft.pieces if above_cover(one, limit) and not one.accepted]
    if step in BY_PIECE and piece in {one.key for one in sitting.draft.pieces}:
        answer["said"], answer["missing"] = photos_sentence(sitting.draft.piece(piece), sitting)
    return answer


def onward(request: HttpRequest, row: Draft, step: str, piece: str = "") -> HttpResponse:
    """Go where the pressed button leads: “photos/ab12…”, a step, or stay."""
    to, _, to_piece = request.POST.get("to", "").partition("/")
    if to == "aside":
        messages.success(request, "Put aside. It waits here for you.")
        return redirect("intake:start")
    if to in {*STEPS[:-1], "counter"} and (not to_piece or to_piece.isalnum()):
        return redirect(step_url(row, to, to_piece))
    return redirect(step_url(row, step, piece if piece.isalnum() else ""))


@require_POST
@opens(Act.TAKE_IN)
def awake(request: HttpRequest) -> HttpResponse:
    """A finger on the glass keeps the kiosk open; the middleware has noted it."""
    return HttpResponse(status=204)


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def give_up(request: HttpRequest, row: Draft) -> HttpResponse:
    """Nothing is taken in after all."""
    try:
        steps.give_up(row, by=person_of(request), at=timezone.now())
    except Refused as refusal:
        messages.error(request, refusal.words)
        return redirect("intake:start")
    messages.success(request, "Given up. Nothing was taken in, and what was typed is wiped.")
    return redirect("intake:start")
