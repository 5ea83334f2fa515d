"""Price lists: in force, to come and past; printed to hang at the counter."""

from datetime import timedelta

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.refusals import Again, Refused
from jobs.catalogue import price_steps
from jobs.catalogue.models import PriceList
from jobs.catalogue.price_reads import lists
from jobs.office.changes import changes_of
from jobs.office.doors import in_room
from jobs.office.lines import SAMPLE_PRICES
from jobs.office.price_reads import Table, table
from jobs.office.price_steps import ACTIONS
from jobs.office.typed_days import day_in
from jobs.papers.lettering import printable
from jobs.papers.texts import Json
from jobs.papers.typeset import set_in_type
from shop.clock import local
from shop.money import plain
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.models import Profile, Walked
from shop.profile.reads import profile


def list_or_404(pk: int) -> PriceList:
    """A price list by its id."""
    found = PriceList.objects.filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


@require_GET
@opens(Act.SET_PRICES)
def prices(request: HttpRequest) -> HttpResponse:
    """The list in force, and every other."""
    return _page(request)


def _page(request: HttpRequest, fault: str = "") -> HttpResponse:
    shop, now = profile(), timezone.now()
    today = local(now, shop.zone).date()
    every = lists(today)
    held = next((one.prices for one in every if one.state == "in force"), None)
    page = {
        "every": every,
        "draft": next((one.prices for one in every if one.state == "draft"), None),
        "table": table(held, shop, today=today) if held else None,
        "tomorrow": today + timedelta(days=1),
        "today": today,
        "fault": fault,
        "changes": changes_of(ACTIONS, shop, at=now),
    }
    return in_room(request, "prices", "office/prices.html", page, status=422 if fault else 200)


@require_GET
@opens(Act.SET_PRICES)
def one_list(request: HttpRequest, pk: int) -> HttpResponse:
    """One list to read; the one being written opens for writing."""
    found, shop, now = list_or_404(pk), profile(), timezone.now()
    if found.draft:
        return redirect("office:price-draft", pk=pk)
    today = local(now, shop.zone).date()
    state = next((one.state for one in lists(today) if one.prices.pk == pk), "")
    page = {"table": table(found, shop, today=today), "state": state}
    return in_room(request, "prices", "office/price_list.html", page)


@require_POST
@opens(Act.SET_PRICES)
def begin(request: HttpRequest) -> HttpResponse:
    """Begin a new list as a copy of the newest."""
    since = day_in(request.POST.get("since", ""))
    if since is None:
        return _page(request, "Choose the day from which the new list counts.")
    try:
        key = request.POST.get("key", "")
        draft = price_steps.begin_list(since=since, by=person_of(request), at=timezone.now(), key=key)
    except Again as again:
        return (
            redirect("office:prices")
            if "list" not in again.made
            else redirect("office:price-draft", pk=again.made["list"])
        )
    except Refused as refusal:
        return _page(request, refusal.words)
    return redirect("office:price-draft", pk=draft.pk)


@require_POST
@opens(Act.SET_PRICES)
def reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """A list to come becomes the one being written again."""
    try:
        price_steps.reopen(list_or_404(pk), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        return _page(request, refusal.words)
    messages.success(request, "It may be written again. It counts only once it is put in force.")
    return redirect("office:price-draft", pk=pk)


@require_GET
@opens(Act.SET_PRICES)
def printed(request: HttpRequest, pk: int) -> HttpResponse:
    """A list to hang at the counter, with tax or without (`?tax=without`)."""
    shop, now = profile(), timezone.now()
    found = table(list_or_404(pk), shop, today=local(now, shop.zone).date())
    sample = found.prices.since == SAMPLE_PRICES and not Walked.objects.filter(code="prices", later=False).exists()
    words = _words(found, shop, with_tax=request.GET.get("tax") != "without", sample=sample)
    pdf = set_in_type("prices", {"words": printable(words)}, at=now)
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="prices-{found.prices.since}.pdf"'
    return answer


def _words(found: Table, shop: Profile, *, with_tax: bool, sample: bool) -> dict[str, Json]:
    hours: list[Json] = [
        {"words": one.rate.words, "price": plain(one.gross if with_tax else one.rate.per_hour, shop.places)}
        for one in found.hours
    ]
    fixed: list[Json] = [
        {
            "words": one.price.words,
            "with": one.price.goods_words,
            "days": one.price.ready_days,
            "price": plain(one.gross if with_tax else one.net, shop.places),
        }
        for one in found.fixed
        if one.price.active
    ]
    tax = "including" if with_tax else "before"
    return {
        "shop": shop.name,
        "address": list(shop.address.splitlines()),
        "ways": [way for way in (shop.telephone, shop.email) if way],
        "page": shop.page,
        "since": found.prices.since.isoformat(),
        "draft": found.prices.draft,
        "sample": sample,
        "currency": shop.currency,
        "tax": f"Prices in {shop.currency}, {tax} tax."
        if found.taxed
        else f"Prices in {shop.currency}. No tax is added.",
        "minimum": plain(found.prices.minimum, shop.places) if found.prices.minimum else "",
        "hours": hours,
        "fixed": fixed,
    }
