"""Writing the price list that is to come: the table, a row more, all at once by per cent, putting it in force."""

from collections.abc import Mapping
from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.book.kinds import ITEM_KINDS
from jobs.book.refusals import Again, Refused, Stale
from jobs.catalogue import price_steps as catalogue
from jobs.catalogue.models import PriceList
from jobs.catalogue.price_reads import fixed_of, rates_of
from jobs.office import price_steps
from jobs.office.changing import Faults, mark
from jobs.office.doors import in_room
from jobs.office.price_views import list_or_404
from jobs.office.rises import STEPS
from shop.clock import day_words, local
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole


@require_http_methods(["GET", "POST"])
@opens(Act.SET_PRICES)
def draft(request: HttpRequest, pk: int) -> HttpResponse:
    """The table of the list being written; keep what was typed into it."""
    found = list_or_404(pk)
    if not found.draft:
        return redirect("office:price-list", pk=pk)
    if request.method == "GET":
        return _page(request, found)
    seen, by, now = request.POST.get("seen", ""), person_of(request), timezone.now()
    try:
        changed = price_steps.keep_table(found, request.POST.dict(), seen=seen, by=by, at=now)
        if request.POST.get("do") == "force":
            put = catalogue.put_in_force(found, by=by, at=now, key=request.POST.get("key", ""))
            messages.success(request, f"These prices count from {day_words(put.since, today=_today())} on.")
            return redirect("office:prices")
    except Faults as faults:
        return _page(request, found, faults=faults.by_field, fault="Nothing was kept yet. Look at the marked figures.")
    except Stale as stale:
        return _page(request, found, fault=stale.words, status=409)
    except Again:
        return redirect("office:prices")
    except Refused as refusal:
        return _page(request, found, fault=refusal.words)
    messages.success(
        request, f"Kept: {changed} figure{'' if changed == 1 else 's'}." if changed else "Nothing was different."
    )
    return redirect("office:price-draft", pk=pk)


@require_POST
@opens(Act.SET_PRICES)
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Another fixed price in the list being written."""
    found, shop, sent = list_or_404(pk), profile(), request.POST
    try:
        price = catalogue.add_price(
            found,
            code=sent.get("code", ""),
            words=sent.get("words", ""),
            kinds=" ".join(sent.getlist("kinds")),
            labour=price_steps.sum_in(sent.get("labour", ""), shop.places),
            goods=price_steps.sum_in(sent.get("goods", ""), shop.places),
            goods_words=sent.get("goods_words", ""),
            ready_days=whole(sent.get("ready_days", "")),
            job_kind="rehair" if sent.get("job_kind") == "rehair" else "repair",
            by=person_of(request),
            at=timezone.now(),
            key=sent.get("key", ""),
        )
        messages.success(request, f"{price.words} is in the list.")
    except Again:
        pass
    except Refused as refusal:
        return _page(request, found, add_fault=refusal.words)
    return redirect("office:price-draft", pk=pk)


@require_POST
@opens(Act.SET_PRICES)
def rise(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what every price would become; take it when the button says so."""
    found, sent = list_or_404(pk), request.POST
    parts = [part for part in price_steps.PARTS if sent.get(part)]
    try:
        percent = price_steps.percent_in(sent.get("percent", ""))
        step = next((one for one in STEPS if str(one) == sent.get("step")), STEPS[0])
        if not parts:
            raise Refused("Choose what rises.")
        if sent.get("do") == "take":
            by, seen = person_of(request), sent.get("seen", "")
            changed = price_steps.rise_all(found, percent, step, parts, seen=seen, by=by, at=timezone.now())
            messages.success(request, f"Taken: {changed} prices changed by {percent.normalize():f} per cent.")
            return redirect("office:price-draft", pk=pk)
    except Stale as stale:
        return _page(request, found, rise_fault=stale.words, status=409)
    except Refused as refusal:
        return _page(request, found, rise_fault=refusal.words)
    coming = price_steps.rises(found, percent, step, parts)
    changing = sum(one.new != one.old for one in coming)
    return _page(request, found, coming={"rows": coming, "percent": percent, "step": step, "changing": changing})


@require_POST
@opens(Act.SET_PRICES)
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw away the list being written."""
    found = PriceList.objects.filter(pk=pk).first()
    try:
        if found is not None:
            catalogue.withdraw(found, by=person_of(request), at=timezone.now())
            messages.success(request, "The list that was being written is withdrawn.")
    except Refused as refusal:
        messages.error(request, refusal.words)
    return redirect("office:prices")


def _today() -> date:
    return local(timezone.now(), profile().zone).date()


def _page(
    request: HttpRequest,
    found: PriceList,
    *,
    faults: Mapping[str, str] | None = None,
    fault: str = "",
    add_fault: str = "",
    rise_fault: str = "",
    coming: Mapping[str, object] | None = None,
    status: int = 0,
) -> HttpResponse:
    shop, rates, fixed = profile(), rates_of(found), fixed_of(found)
    stands = price_steps.shown_of(found, rates, fixed, shop.places)
    typed = request.POST if faults else {}
    cells = {
        name: typed.get(name, value) if not name.startswith("on-") or not typed else typed.get(name, "")
        for name, value in stands.items()
    }
    faults = faults or {}

    def cell(name: str) -> dict[str, object]:
        return {"name": name, "value": cells[name], "fault": faults.get(name, "")}

    page = {
        "prices": found,
        "since": cell("since"),
        "minimum": cell("minimum"),
        "rates": [(one, cell(f"rate-{one.skill}")) for one in rates],
        "rows": [
            (one, {part: cell(f"{part}-{one.code}") for part in ("words", "labour", "goods", "gw", "days", "on")})
            for one in fixed
        ],
        "seen": mark(stands),
        "kinds": ITEM_KINDS.items(),
        "parts": price_steps.PARTS.items(),
        "steps": [(str(one), f"{one:.2f}") for one in STEPS],
        "coming": coming,
        "sent": request.POST,
        "fault": fault,
        "add_fault": add_fault,
        "rise_fault": rise_fault,
        "today": local(timezone.now(), shop.zone).date(),
    }
    bad = fault or add_fault or rise_fault
    return in_room(request, "prices", "office/price_draft.html", page, status=status or (422 if bad else 200))
