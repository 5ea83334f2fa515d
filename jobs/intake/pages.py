"""The step pages, put together from a sitting. Reads only."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.book.beside import open_on, still_open
from jobs.book.kinds import ITEM_KINDS, PARTY_ROLES, silhouette
from jobs.book.models import Item, Party
from jobs.condition.scales import FRESHNESS, SEVERITY, STABILITY
from jobs.custody.reads import locations
from jobs.intake import drafts
from jobs.intake.counter import counter_facts
from jobs.intake.lacking import LONGEST, at_step
from jobs.intake.models import Draft
from jobs.intake.notes import lay_out, note_text, with_consent
from jobs.intake.reads import Sitting, items_of, sit
from jobs.intake.shapes import (
    BY_PIECE,
    around,
    frames,
    heading,
    lacks_by_step,
    lines_shown,
    owner_name,
    photos_sentence,
    piece_shown,
    steps_shown,
)
from jobs.intake.steps import KEY, new_key
from jobs.intake.words import BASES, COVERS, JOBS_OFFERED, OFFERED, REASONS, STEP_WORDS, TENSIONS, UNSIGNED
from jobs.papers.canonical import short
from jobs.papers.frozen import words_sha256
from shop.people.doors import person_of

_SAME = {"depositor": "whoever brings it in", "owner": "the owner"}


def step_page(
    request: HttpRequest,
    row: Draft,
    step: str,
    *,
    piece: str = "",
    draft: drafts.Draft | None = None,
    fault: str = "",
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    """Render one step. `draft` is what was typed but not kept; `fault` says why. Six to ten queries."""
    if step not in _OF_STEP:
        raise Http404
    sitting = sit(row, receiver=person_of(request), draft=draft)
    if step in BY_PIECE and sitting.draft.pieces:
        piece = piece or sitting.draft.pieces[0].key
    if piece and piece not in {one.key for one in sitting.draft.pieces}:
        raise Http404
    lacks = at_step(sitting.lacks, step, piece if step in BY_PIECE else "")
    page: dict[str, Any] = {
        "section": "take-in",
        "row": row,
        "draft": sitting.draft,
        "sitting": sitting,
        "step": step,
        "step_words": STEP_WORDS[step],
        "steps": steps_shown(sitting, step),
        "heading": heading(sitting.draft),
        "numbers": [one.number for one in sitting.draft.pieces[:3] if one.number],
        "owner_name": owner_name(sitting),
        "stops": lacks[0].words if lacks else "",
        "more_lacks": len(lacks) - 1 if lacks else 0,
        "back": around(sitting.draft, step, piece, -1),
        "next": around(sitting.draft, step, piece, 1),
        "piece_key": piece,
        "pieces": [piece_shown(one, sitting) for one in sitting.draft.pieces],
        "fault": fault,
        "longest": {name: most for name, (most, _) in LONGEST.items()},
    }
    page |= _OF_STEP[step](sitting, piece, request) | more
    if step in {"items", "sign", "counter"}:
        page["beside"] = _beside(sitting)
    return render(request, f"intake/{step}.html", page, status=status)


def _beside(sitting: Sitting) -> list[tuple[str, str]]:
    """What is still open on what was brought in: its number, and that the note opens a second job. At most two queries."""
    pieces = {piece.item: piece for piece in sitting.draft.pieces if piece.item is not None}
    still = open_on(pieces) if pieces else {}
    items = Item.objects.in_bulk(list(still))
    return [
        (one.number, still_open(one, items[item]))
        for item, jobs in still.items()
        for one in jobs
        if one.number != pieces[item].number
    ]


def _who(sitting: Sitting, _piece: str, request: HttpRequest) -> dict[str, Any]:
    asked = request.GET.get("role", "")
    role = asked if asked in drafts.ROLES else "" if sitting.draft.depositor else "depositor"
    roles = []
    for code in drafts.ROLES:
        said: int | None = getattr(sitting.draft, code)
        party = sitting.parties.get(sitting.draft.role(code) or 0)
        same = _SAME[drafts.SAME_AS[code]] if code in drafts.SAME_AS and said is None else ""
        roles.append({"code": code, "words": PARTY_ROLES[code], "party": party, "same": same, "said": said is not None})
    return {"role": role, "role_words": PARTY_ROLES.get(role, ""), "roles": roles, "typed": {}, "found": None}


def _items(sitting: Sitting, _piece: str, _request: HttpRequest) -> dict[str, Any]:
    taken = {one.item for one in sitting.draft.pieces}
    known = [one for one in items_of(sitting.draft.role("owner")) if one.item.pk not in taken]
    return {
        "known": [(one, silhouette(one.item.kind, one.item.size)) for one in known],
        "offered": [(kind, ITEM_KINDS[kind].capitalize(), silhouette(kind)) for kind in OFFERED],
    }


def _said(_sitting: Sitting, _piece: str, _request: HttpRequest) -> dict[str, Any]:
    return {"tensions": TENSIONS, "job_kinds": list(JOBS_OFFERED.items())}


def _photos(sitting: Sitting, piece: str, _request: HttpRequest) -> dict[str, Any]:
    if not piece:
        return {"shown": None}
    one = sitting.draft.piece(piece)
    said, missing = photos_sentence(one, sitting)
    shown = frames(one, sitting)
    return {
        "shown": piece_shown(one, sitting),
        "frames": [frame for frame in shown if frame.needed],
        "others": [frame for frame in shown if not frame.needed],
        "said": said,
        "missing": missing,
        "reasons": REASONS,
    }


def _condition(sitting: Sitting, piece: str, request: HttpRequest) -> dict[str, Any]:
    if not piece:
        return {"shown": None}
    one = sitting.draft.piece(piece)
    lines = lines_shown(one, sitting)
    asked = request.GET.get("line", "") or request.POST.get("line", "") or request.POST.get("slot", "")
    held = next((shown for shown in lines if shown.line.key == asked), None)
    sent = asked if KEY.fullmatch(asked) else ""
    fresh = held is None and (asked == "new" or bool(sent) or (not lines and not one.nothing_found))
    said, missing = photos_sentence(one, sitting)
    line = held.line if held else drafts.Found(key=sent or new_key(), where=request.GET.get("where", "")[:120])
    return {
        "shown": piece_shown(one, sitting),
        "outline": f"parts/outline-{silhouette(one.kind, one.size)}.svg" if sitting.words.views(one.kind) else "",
        "lines": lines,
        "line": line if held or fresh else None,
        "line_number": held.number if held else len(lines) + 1,
        "line_photo": held.photo if held else sitting.photo_of(line.key),
        "line_is_new": held is None,
        "terms": sitting.words.of("term", one.kind),
        "parts": sitting.words.of("part", one.kind),
        "severities": list(SEVERITY.items()),
        "stabilities": list(STABILITY.items()),
        "freshnesses": list(FRESHNESS.items()),
        "frames": [frame for frame in frames(one, sitting) if frame.needed],
        "said": said,
        "missing": missing,
    }


def _value(sitting: Sitting, _piece: str, _request: HttpRequest) -> dict[str, Any]:
    return {
        "bases": [(words, words.capitalize()) for words in BASES],
        "covers": [("yes", "Yes"), ("no", "No"), ("unknown", "Not known")],
        "cover_words": COVERS,
        "limit": sitting.shop.cover_limit,
    }


def _sign(sitting: Sitting, _piece: str, _request: HttpRequest) -> dict[str, Any]:
    if sitting.lacks:
        return {"text": None, "lacks": lacks_by_step(sitting)}
    text = note_text(sitting.draft, sitting.beside)
    depositor: Party = sitting.parties[sitting.draft.role("depositor") or 0]
    digest, shown = words_sha256(text), words_sha256(with_consent(text, show_photos=True))
    return {
        "text": text,
        "laid": lay_out(sitting.draft, sitting.beside),
        "depositor": depositor,
        "digest": digest,
        "short": short(digest),
        "short_shown": short(shown),
        "unsigned_kinds": list(UNSIGNED.items()),
        "typed": {},
    }


def places_offered() -> list[tuple[str, list[Any]]]:
    """Every place, room by room. One query."""
    rooms: dict[str, list[Any]] = {}
    for location in locations():
        rooms.setdefault(location.room or "Elsewhere", []).append(location)
    return list(rooms.items())


_OF_STEP = {
    "counter": counter_facts,
    "who": _who,
    "items": _items,
    "said": _said,
    "photos": _photos,
    "condition": _condition,
    "value": _value,
    "sign": _sign,
}
