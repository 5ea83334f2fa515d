"""Signing and sealing the note, its copy and its tags, and where everything hangs."""

import json
from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.book.refusals import Again, Refused, Stale
from jobs.intake import drafts
from jobs.intake.doors import with_draft
from jobs.intake.models import Draft
from jobs.intake.notes import unsigned_words
from jobs.intake.pages import places_offered, step_page
from jobs.intake.reads import places_lately
from jobs.intake.sealing import place, seal
from jobs.intake.shapes import heading
from jobs.intake.signs import Signs
from jobs.intake.views import version_of
from jobs.intake.words import LIST_STEPS, STEP_WORDS, STEPS, UNSIGNED
from jobs.papers.models import Paper
from jobs.papers.reads import file_name, short_hash
from jobs.papers.signatures import read_strokes
from jobs.papers.steps import print_paper
from jobs.papers.texts import Signed, moment
from jobs.tags.drawing import tags_pdf
from jobs.tags.reads import texts_for
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole

_KEPT = (
    "depositor_strokes", "depositor_typed", "depositor_witness", "receiver_strokes", "receiver_typed",
    "receiver_witness", "show_photos", "unsigned_kind", "unsigned_reason",
)  # fmt: skip


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def seal_note(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """Seal the note that both have read. The paper is printed at once, so that the copy can be handed over."""
    now, by = timezone.now(), person_of(request)
    try:
        made = seal(
            row,
            seen=version_of(request),
            seen_sha256=request.POST.get("digest", ""),
            signs=_signs(request, at=now, zone=profile().zone),
            by=by,
            at=now,
            key=request.POST.get("key", ""),
        )
    except Again:
        return redirect("intake:place", row.key)
    except Refused as refusal:
        row.refresh_from_db()
        if row.dropped_at is not None:
            return redirect("intake:start")
        stale = isinstance(refusal, Stale)
        # after another text a signature would be given for words that were not read: it is asked for again
        kept = {} if stale else {name: request.POST.get(name, "") for name in _KEPT}
        return step_page(request, row, "sign", fault=refusal.words, status=409 if stale else 422, typed=kept)
    print_paper(made.paper.pk, at=timezone.now())
    return redirect("intake:place", row.key)


def _signs(request: HttpRequest, *, at: datetime, zone: ZoneInfo) -> Signs:
    post, by = request.POST, person_of(request)
    shown, name = bool(post.get("show_photos")), " ".join(post.get("depositor_name", "").split())[:160]
    receiver = _signed(request, "receiver", by.name, at=at, zone=zone)
    if not post.get("without"):
        depositor = _signed(request, "depositor", name, at=at, zone=zone)
        return Signs(receiver=receiver, depositor=depositor, show_photos=shown)
    kind, reason = post.get("unsigned_kind", ""), drafts.tidy(post.get("unsigned_reason", "")).strip()
    if kind not in UNSIGNED:
        raise Refused("Choose why it is not signed.")
    if kind == "refused" and not reason:
        raise Refused("Write down in their words why they will not sign.")
    unsigned = unsigned_words(kind, reason)
    if kind == "door":
        return Signs(receiver=receiver, unsigned=unsigned, show_photos=False)
    refusal = Signed(role="depositor", name=name, at=moment(at, zone), how="refused", reason=reason)
    return Signs(receiver=receiver, depositor=refusal, unsigned=unsigned, show_photos=False)


def _signed(request: HttpRequest, who: str, name: str, *, at: datetime, zone: ZoneInfo) -> Signed:
    """A signature drawn by finger, or a typed name with a witness. Raises Refused in words."""
    post, stamp = request.POST, moment(at, zone)
    typed = drafts.tidy(post.get(f"{who}_typed", "")).strip()[:160]
    witness = drafts.tidy(post.get(f"{who}_witness", "")).strip()[:160]
    their = "Whoever brings it in" if who == "depositor" else "Whoever takes it in"
    if typed:
        if not witness:
            raise Refused("A typed name needs a witness. Write who saw it.")
        return Signed(role=who, name=typed, at=stamp, how="typed", witness=witness)
    try:
        sent = json.loads(post.get(f"{who}_strokes") or "[]")
        strokes = read_strokes(sent)
    except (ValueError, RecursionError) as fault:
        raise Refused(f"{their}: the signature did not arrive whole. Wipe and sign again.") from fault
    except Refused as refusal:
        raise Refused(f"{their}: {refusal.words[:1].lower()}{refusal.words[1:]}") from refusal
    return Signed(
        role=who, name=name, at=stamp, strokes=strokes, device_at=_device_time(post.get("device_at", ""), zone)
    )


def _device_time(said: str, zone: ZoneInfo) -> str:
    try:
        at = datetime.fromisoformat(said)
        return moment(at, zone) if at.tzinfo is not None else ""
    except (ValueError, OverflowError):
        return ""  # a clock that is set to nonsense says nothing


@require_http_methods(["GET", "POST"])
@opens(Act.TAKE_IN)
@with_draft(sealed=True)
def place_all(request: HttpRequest, row: Draft) -> HttpResponse:
    """After sealing: the copy, the tags, and where each thing hangs. Then the page is blank for the next owner."""
    fault, draft = "", drafts.from_json(row.data)
    pieces = draft.pieces
    together = request.POST.get("place-other", "") or request.POST.get("place-all", "")
    chosen = {piece.key: request.POST.get(f"place-{piece.key}", "") or together for piece in pieces}
    if request.method == "POST":
        try:
            places = {key: whole(said) or None for key, said in chosen.items()}
            place(row, places, by=person_of(request), at=timezone.now(), key=request.POST.get("key", ""))
            messages.success(request, "Taken in.")
            return redirect("intake:start")
        except Again:
            return redirect("intake:start")
        except Refused as refusal:
            fault = refusal.words
    paper = _note(row)
    jobs = {job.number: job for job in paper.visit.jobs.prefetch_related("holds")} if paper.visit else {}
    page = {
        "row": row,
        "paper": paper,
        "short": short_hash(paper),
        "heading": heading(draft),
        "numbers": [piece.number for piece in pieces[:3]],
        "pieces": [(piece, chosen[piece.key], jobs[piece.number].holds.all()) for piece in pieces],
        "together": len(pieces) > 1 and not any(jobs[piece.number].holds.all() for piece in pieces),
        "lately": places_lately({piece.kind for piece in pieces}),
        "place_all": together,
        "rooms": places_offered(),
        "steps": _steps_done(LIST_STEPS if draft.from_list else STEPS),
        "fault": fault,
        "step": "place",
        "step_words": STEP_WORDS["place"],
    }
    return render(request, "intake/place.html", page, status=422 if fault else 200)


def _steps_done(steps: Iterable[str]) -> list[dict[str, str]]:
    return [{"words": STEP_WORDS[code], "state": "here" if code == "place" else "done", "url": ""} for code in steps]


def _note(row: Draft) -> Paper:
    return Paper.objects.select_related("visit", "visit__depositor").get(visit=row.visit_id, kind="note")


@require_GET
@opens(Act.TAKE_IN)
@with_draft(sealed=True)
def note_pdf(request: HttpRequest, row: Draft) -> HttpResponse:
    """The sealed note, to print."""
    paper = _note(row)
    pdf = print_paper(paper.pk, at=timezone.now())
    if pdf is None:
        messages.error(request, "The paper is still being printed. Wait a moment, then ask for it again.")
        return redirect("intake:place", row.key)
    return _pdf(pdf, file_name(paper))


@require_GET
@opens(Act.TAKE_IN)
@with_draft(sealed=True)
def tags(request: HttpRequest, row: Draft) -> HttpResponse:
    """The tags of this visit, one to a page, to print."""
    paper = _note(row)
    jobs = list(paper.visit.jobs.select_related("item").order_by("number")) if paper.visit else []
    return _pdf(tags_pdf(texts_for(jobs, profile()), at=timezone.now()), f"tags-{paper.number}.pdf")


def _pdf(data: bytes, name: str) -> HttpResponse:
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
