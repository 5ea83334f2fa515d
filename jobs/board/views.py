"""The rails, one tag unfolded, the steps from there, the pulse, and the wall."""

from collections.abc import Callable
from dataclasses import asdict

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_GET, require_POST

from jobs.bench.rest_reads import asked_of
from jobs.bench.waits import set_wait
from jobs.board.leaf import cords_for, find_hung, unfold, who_may_have
from jobs.board.reads import Look, pulse_now
from jobs.board.reads import rails as read_rails
from jobs.book.models import Hold, Job
from jobs.book.parties import assign as give
from jobs.book.parties import lay_hold, lift_hold
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import OPEN_STAGES
from jobs.moves import steps as moves
from jobs.moves.resting import move_as_asked
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole

FOLD = "rails_fold"
_STAGES = {stage.value: stage for stage in OPEN_STAGES}
_ONLY = {"mine", "taped"}


def _part(request: HttpRequest) -> bool:
    """Whether a page asks for a part of itself."""
    return bool(getattr(request, "htmx", False))


def _look(request: HttpRequest) -> Look:
    asked = request.GET
    fold = asked.get("fold", request.COOKIES.get(FOLD, ""))
    only = asked.get("only", "")
    return Look(
        only=only if only in _ONLY else "",
        alone=_STAGES.get(asked.get("cord", "")),
        current=_STAGES.get(asked.get("at", "")),
        folded=fold == "1",
    )


@require_GET
@opens(Act.SEE_RAILS)
def rails(request: HttpRequest) -> HttpResponse:
    """All ten cords; only the cords themselves when a page asks for a part. Ten queries."""
    shop, look = profile(), _look(request)
    shown = read_rails(person_of(request), look, shop=shop, at=timezone.now())
    template = "board/cords.html" if _part(request) else "board/rails.html"
    response = render(request, template, {"rails": shown, "look": look, "shop": shop, "section": "rails"})
    patch_vary_headers(response, ["HX-Request"])
    if request.GET.get("fold") in {"0", "1"}:
        response.set_cookie(FOLD, request.GET["fold"], max_age=5 * 365 * 86400, samesite="Lax", httponly=True)
    return response


@require_GET
@opens(Act.SEE_RAILS)
def wall(request: HttpRequest) -> HttpResponse:
    """The folded rails for a screen on the wall: no controls, no money, names on request hidden. Ten queries."""
    shop, at = profile(), timezone.now()
    look = Look(folded=True, names=request.GET.get("names") != "hide")
    shown = read_rails(person_of(request), look, shop=shop, at=at)
    template = "board/wall_cords.html" if _part(request) else "board/wall.html"
    response = render(request, template, {"rails": shown, "look": look, "shop": shop, "at": at})
    patch_vary_headers(response, ["HX-Request"])
    return response


@require_GET
@opens(Act.SEE_RAILS)
def pulse(request: HttpRequest) -> HttpResponse:
    """204 when nothing changed since `seen`, else the new number. One query more than knowing who asks."""
    beats = str(pulse_now())
    if request.GET.get("seen") == beats:
        return HttpResponse(status=204)
    return HttpResponse(beats, content_type="text/plain")


@require_GET
@opens(Act.SEE_RAILS)
def tag(request: HttpRequest, number: str) -> HttpResponse:
    """One tag unfolded: a page of its own, or the leaf beside its tag."""
    return _leaf(request, number)


@require_GET
@opens(Act.MOVE)
def offers(request: HttpRequest, number: str) -> JsonResponse:
    """What each cord says to the tag in hand."""
    shop, at = profile(), timezone.now()
    found = find_hung(number, shop=shop, at=at)
    if found is None:
        raise Http404
    job, facts, _ = found
    cords = cords_for(job, facts, shop=shop, at=at)
    said = {"revision": job.revision, "stage": job.stage, "cords": {code: asdict(cord) for code, cord in cords.items()}}
    return JsonResponse(said)


def _leaf(request: HttpRequest, number: str, *, status: int = 200, fault: str = "") -> HttpResponse:
    shop, at = profile(), timezone.now()
    found = find_hung(number, shop=shop, at=at)
    if found is None:
        job = Job.objects.filter(number=number).select_related("item").first()
        if job is None:
            raise Http404
        gone = {"job": job, "shop": shop, "section": "rails", "fault": fault}
        return render(request, "board/gone_part.html" if _part(request) else "board/gone.html", gone, status=status)
    typed = request.POST if fault else request.GET
    context = {
        "leaf": unfold(found, person_of(request), shop=shop, at=at),
        "fault": fault,
        "chosen": typed.get("to", ""),
        "reason": typed.get("reason", ""),
        "kind": typed.get("kind", ""),
        "words": typed.get("words", ""),
        "typed": typed,
        "shop": shop,
        "section": "rails",
    }
    response = render(request, "board/leaf.html" if _part(request) else "board/tag.html", context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _job(number: str) -> Job:
    job = Job.objects.filter(number=number).first()
    if job is None:
        raise Http404
    return job


def _seen(request: HttpRequest) -> int:
    seen = request.POST.get("seen", "")
    if not whole(seen):
        raise Refused("This page is out of date. Open it again and repeat the last step.")
    return whole(seen)


def _tried(
    request: HttpRequest, number: str, step: Callable[[], object], done: Callable[[], HttpResponse]
) -> HttpResponse:
    """One step and its answer: done (a second press the same), refused 422, moved meanwhile 409."""
    try:
        step()
    except Again:
        return done()
    except Stale as no:
        return _leaf(request, number, status=409, fault=no.words)
    except Refused as no:
        return _leaf(request, number, status=422, fault=no.words)
    return done()


def _to_rails(request: HttpRequest, number: str) -> HttpResponse:
    """Back to the rails as they were looked at; a page without script begins with the cord the tag hangs on now."""
    seen = QueryDict(request.POST.get("look", "").removeprefix("?"))
    look = QueryDict(mutable=True)
    for name in ("only", "cord", "at"):
        if name in seen:
            look[name] = seen[name]
    if not _part(request):
        look["at"] = _job(number).stage
    query = f"?{look.urlencode()}" if look else ""
    response = redirect(f"{reverse('board:rails')}{query}#t{number}")
    response.status_code = 303
    return response


@require_POST
@opens(Act.MOVE)
def move(request: HttpRequest, number: str) -> HttpResponse:
    """Hang a job on another cord."""
    job, at = _job(number), timezone.now()

    def step() -> None:
        to = _STAGES.get(request.POST.get("to", ""))
        if to is None:
            raise Refused("Choose where it may hang next.")
        key = request.POST.get("key", "") or "-"
        move_as_asked(job, to, request.POST, by=person_of(request), at=at, seen=_seen(request), key=key)

    return _tried(request, number, step, lambda: _to_rails(request, number))


@require_POST
@opens(Act.MOVE)
def undo(request: HttpRequest, number: str) -> HttpResponse:
    """Take back one's own last move."""
    job, at = _job(number), timezone.now()

    def step() -> None:
        key = request.POST.get("key", "") or "-"
        moves.undo(job.pk, by=person_of(request), at=at, seen=_seen(request), key=key)

    return _tried(request, number, step, lambda: _to_rails(request, number))


def _to_tag(request: HttpRequest, number: str, words: str) -> HttpResponse:
    if not _part(request):
        messages.success(request, words)
    response = redirect("board:tag", number)
    response.status_code = 303
    return response


@require_POST
@opens(Act.ASSIGN)
def assign(request: HttpRequest, number: str) -> HttpResponse:
    """Give a job to another, or to nobody."""
    job, at, chosen = _job(number), timezone.now(), request.POST.get("person", "")
    to = next((person for person in who_may_have() if str(person.pk) == chosen), None)

    def step() -> None:
        if chosen and to is None:
            raise Refused("Choose someone who works here.")
        give(job, to, by=person_of(request), at=at)

    words = f"{job.short}: {to.short if to else 'nobody'} has it now."
    return _tried(request, number, step, lambda: _to_tag(request, number, words))


@require_POST
@opens(Act.HOLD)
def hold(request: HttpRequest, number: str) -> HttpResponse:
    """Lay tape: it waits. The same tape twice is one strip."""
    job, at = _job(number), timezone.now()

    def step() -> None:
        words = " ".join(request.POST.get("words", "").split())[:80]
        lay_hold(job, request.POST.get("kind", ""), words, by=person_of(request), at=at)

    return _tried(request, number, step, lambda: _to_tag(request, number, f"Tape lies on {job.short}."))


@require_POST
@opens(Act.MOVE)
def rest(request: HttpRequest, number: str) -> HttpResponse:
    """Say until when it rests, or put that right. The same again changes nothing."""
    job, at, shop = _job(number), timezone.now(), profile()

    def step() -> None:
        asked = asked_of(job, {name: str(value) for name, value in request.POST.items()}, shop=shop, at=at)
        set_wait(job, asked, by=person_of(request), at=at, zone=shop.zone)

    return _tried(
        request, number, step, lambda: _to_tag(request, number, f"{job.short}: the end of its rest is written down.")
    )


@require_POST
@opens(Act.HOLD)
def lift(request: HttpRequest, number: str) -> HttpResponse:
    """Lift tape. Twice is the same as once."""
    job, at, pk = _job(number), timezone.now(), whole(request.POST.get("hold", ""))
    laid = Hold.objects.filter(job=job, pk=pk).first()

    def step() -> None:
        if laid is None:
            raise Refused("That tape is not on this job. Look again, then choose.")
        lift_hold(laid, by=person_of(request), at=at)

    return _tried(request, number, step, lambda: _to_tag(request, number, f"Tape lifted from {job.short}."))
