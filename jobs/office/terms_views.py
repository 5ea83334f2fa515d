"""The terms an owner signs: the version in force, those to come and past, and a new one."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from jobs.book.refusals import Again, Refused
from jobs.office import terms_steps
from jobs.office.doors import in_room
from jobs.office.paragraphs import compared, paragraphs, summed
from jobs.office.typed_days import day_in
from shop.clock import local
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.models import Terms
from shop.profile.reads import profile, terms_on
from shop.typed import whole


@require_GET
@opens(Act.SET_SHOP)
def terms(request: HttpRequest) -> HttpResponse:
    """The terms in force, and every version."""
    now = timezone.now()
    every = list(Terms.objects.select_related("made_by").order_by("-version"))
    held = terms_on(now)
    page = {
        "every": every,
        "held": held,
        "coming": [one for one in every if one.since > now],
        "words": paragraphs(held.text) if held else [],
    }
    return in_room(request, "terms", "office/terms.html", page)


@require_GET
@opens(Act.SET_SHOP)
def version(request: HttpRequest, number: int) -> HttpResponse:
    """One version, and what it changed in the one before."""
    one = Terms.objects.select_related("made_by").filter(version=number).first()
    if one is None:
        raise Http404
    before = Terms.objects.filter(version__lt=number).order_by("-version").first()
    pieces = compared(before.text, one.text) if before else []
    page = {
        "one": one,
        "before": before,
        "pieces": pieces,
        "summed": summed(pieces) if before else "",
        "words": paragraphs(one.text),
    }
    return in_room(request, "terms", "office/terms_version.html", page)


@require_http_methods(["GET", "POST"])
@opens(Act.SET_SHOP)
def new(request: HttpRequest) -> HttpResponse:
    """Write a new version: type, look at what is different, keep."""
    newest = Terms.objects.order_by("-version").first()
    shop, now = profile(), timezone.now()
    today = local(now, shop.zone).date()
    text = request.POST.get("text", newest.text if newest else "")
    since = day_in(request.POST.get("since", "")) or today
    after = whole(request.POST.get("after", "")) if request.method == "POST" else (newest.version if newest else 0)
    fault, status, looked = "", 200, False
    if request.method == "POST":
        try:
            if request.POST.get("do") == "keep":
                key = request.POST.get("key", "")
                made = terms_steps.write_terms(text, since, after=after, by=person_of(request), at=now, key=key)
                messages.success(request, f"Terms {made.version} are kept.")
                return redirect("office:terms")
            terms_steps.proper(text, newest)
            looked = True
        except Again:
            return redirect("office:terms")
        except Refused as refusal:
            fault, status = refusal.words, 422
    pieces = compared(newest.text if newest else "", text)
    page = {
        "newest": newest,
        "text": text,
        "since": since,
        "today": today,
        "after": newest.version if newest else 0,
        "looked": looked,
        "pieces": pieces,
        "summed": summed(pieces),
        "fault": fault,
    }
    return in_room(request, "terms", "office/terms_new.html", page, status=status)
