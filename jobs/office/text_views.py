"""Letters to owners: which there are, and the shop's own words for each, written as versions with a look before."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from jobs.book.refusals import Refused, Stale
from jobs.office.doors import in_room
from jobs.office.text_samples import sample
from jobs.updates import wording_steps
from jobs.updates.models import OwnWords
from jobs.updates.wording import TEXTS, Text, Wording
from jobs.updates.wording_reads import newest
from jobs.updates.wording_steps import WordFaults
from shop.people.doors import opens, person_of
from shop.people.roles import Act


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of letter, and the shop's own words for it if they stand."""

    text: Text
    own: OwnWords | None


@require_GET
@opens(Act.SET_SHOP)
def texts(request: HttpRequest) -> HttpResponse:
    """Every kind of letter, in the order of a job's life."""
    held = newest()
    rows = [Row(text, held[code] if code in held and held[code].body else None) for code, text in TEXTS.items()]
    return in_room(request, "letters", "office/texts.html", {"rows": rows})


@require_http_methods(["GET", "POST"])
@opens(Act.SET_SHOP)
def text(request: HttpRequest, kind: str) -> HttpResponse:
    """One kind of letter: read it, try other words, keep them, or go back to ours."""
    if kind not in TEXTS:
        raise Http404("There is no such letter.")
    if request.method == "GET":
        return _page(request, kind)
    typed = Wording(request.POST.get("subject", ""), request.POST.get("body", ""))
    do, by, at = request.POST.get("do", ""), person_of(request), timezone.now()
    seen = request.POST.get("seen", "")
    version = int(seen) if seen.isdecimal() and len(seen) < 9 else 0
    try:
        if do == "ours":
            wording_steps.back_to_ours(kind, seen=version, by=by, at=at)
            messages.success(request, "From now on this letter uses our words.")
        elif do == "keep":
            made = wording_steps.write_words(kind, typed, seen=version, by=by, at=at)
            messages.success(request, f"From now on this letter uses your words, version {made.version}.")
        else:
            wording_steps.looked_through(kind, typed)
            return _page(request, kind, typed=typed, looked=True)
    except WordFaults as faults:
        return _page(request, kind, typed=typed, faults=faults.by_field, status=422)
    except Stale as stale:
        return _page(request, kind, typed=typed, fault=stale.words, status=409)
    except Refused as refusal:
        return _page(request, kind, typed=typed, fault=refusal.words, status=422)
    return redirect("office:text", kind)


def _page(
    request: HttpRequest,
    kind: str,
    *,
    typed: Wording | None = None,
    faults: dict[str, str] | None = None,
    fault: str = "",
    looked: bool = False,
    status: int = 200,
) -> HttpResponse:
    every = list(OwnWords.objects.filter(kind=kind).select_related("made_by").order_by("-version"))
    stands = Wording(every[0].subject, every[0].body) if every and every[0].body else TEXTS[kind].ours
    shown = typed or stands
    page = {
        "text": TEXTS[kind],
        "ours": stands == TEXTS[kind].ours,
        "shown": shown,
        "seen": every[0].version if every else 0,
        "versions": every,
        "faults": faults or {},
        "fault": fault,
        "looked": looked,
        "sample": sample(kind, shown) if not faults else None,
        "pieces": [(name, words, name in TEXTS[kind].needed) for name, words in TEXTS[kind].pieces.items()],
    }
    return in_room(request, "letters", "office/text.html", page, status=status)
