"""The shop’s facts: name, address, papers and money, and the figures it computes with."""

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import available_timezones

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.book.refusals import Refused, Stale
from jobs.office.changes import changes_of
from jobs.office.changing import Faults, mark
from jobs.office.doors import in_room
from jobs.office.facts import GROUPS, Fact
from jobs.office.facts_steps import change_facts, shown_of
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.models import Profile
from shop.profile.reads import profile


@dataclass(frozen=True, slots=True)
class Row:
    """One field on the page: its value, what is wrong with it, and what was typed into an old page."""

    fact: Fact
    value: str
    fault: str = ""
    typed: str = ""


@require_http_methods(["GET", "POST"])
@opens(Act.SET_SHOP)
def facts(request: HttpRequest) -> HttpResponse:
    """Look at the facts and figures; change one group of them."""
    if request.method == "GET":
        return _page(request)
    group = request.POST.get("group", "")
    if group not in GROUPS:
        return _page(
            request, words="Nothing was changed: the page did not say which fields. Open it again.", status=422
        )
    seen = request.POST.get("seen", "")
    try:
        changed = change_facts(group, request.POST.dict(), seen=seen, by=person_of(request), at=timezone.now())
    except Faults as faults:
        return _page(
            request,
            group=group,
            faults=faults.by_field,
            words="Nothing was changed yet. Look at the marked fields.",
            status=422,
        )
    except Stale as stale:
        return _page(request, group=group, words=stale.words, status=409)
    except Refused as refusal:
        return _page(request, group=group, words=refusal.words, status=422)
    messages.success(
        request, f"Kept: {', '.join(changed)}." if changed else "Nothing was different; all stays as it was."
    )
    return redirect("office:facts")


def _page(
    request: HttpRequest,
    *,
    group: str = "",
    faults: Mapping[str, str] | None = None,
    words: str = "",
    status: int = 200,
) -> HttpResponse:
    shop = profile()
    page = {
        "head": _rows(shop, "head", group, request.POST, faults or {}),
        "figures": _rows(shop, "figures", group, request.POST, faults or {}),
        "marks": {name: mark(shown_of(shop, name)) for name in GROUPS},
        "zones": sorted(available_timezones()),
        "changes": changes_of(("settings.changed",), shop, at=timezone.now()),
        "fault": words,
    }
    return in_room(request, "facts", "office/facts.html", page, status=status)


def _rows(shop: Profile, name: str, group: str, typed: Mapping[str, str], faults: Mapping[str, str]) -> list[Row]:
    rows = []
    for fact in GROUPS[name]:
        stands = shown_of(shop, name)[fact.code]
        sent = typed.get(fact.code, stands) if name == group else stands
        if faults and name == group:
            rows.append(Row(fact, sent, faults.get(fact.code, "")))
        else:
            rows.append(Row(fact, stands, typed=sent if sent != stands else ""))
    return rows
