"""An item's page: its whole history, its facts put right, its tag and papers printed again."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.corrections import OF_ITEM, correct_item
from jobs.book.kinds import ITEM_KINDS
from jobs.book.models import Item, Job
from jobs.book.refusals import Fault, Refused
from jobs.register.item_reads import find_item, item_page, twins
from jobs.register.presses import fault_of, filled, id_in, seen, status_of, wanted
from jobs.tags.drawing import tags_pdf
from jobs.tags.reads import live_tag, tag_text
from jobs.tags.steps import print_again, reissue
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole


def _item_or_404(pk: int) -> Item:
    found = find_item(pk)
    if found is None:
        raise Http404
    return found


def _answer(request: HttpRequest, item: Item, *, fault: Fault | None = None, status: int = 200) -> HttpResponse:
    page = item_page(item, person_of(request), page=whole(request.GET.get("page", "")) or 1)
    context = {
        "page": page,
        "fields": filled(page.facts, fault or Fault()),
        "item": item,
        "twins": twins(item),
        "kinds": ITEM_KINDS.items(),
        "fault": fault or Fault(),
        "shop": profile(),
    }
    return render(request, "register/item.html", context, status=status)


@require_GET
@opens(Act.SEE_JOB)
def item(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything about one instrument or bow, over all its jobs and owners."""
    return _answer(request, _item_or_404(pk))


@require_POST
@opens(Act.CORRECT_JOB)
def right(request: HttpRequest, pk: int) -> HttpResponse:
    """Put its kind, size, title, label text, marks or asset number right."""
    found = _item_or_404(pk)
    try:
        made = correct_item(
            found.pk, wanted(request, OF_ITEM), seen=seen(request, OF_ITEM), by=person_of(request), at=timezone.now()
        )
    except Refused as refusal:
        return _answer(request, _item_or_404(pk), fault=fault_of("facts", refusal, request), status=status_of(refusal))
    if made:
        messages.success(
            request, f"Put right: {', '.join(one.get_what_display() for one in made)}. Both values are kept."
        )
    return redirect("register:item", pk=pk)


@require_POST
@opens(Act.PRINT_TAG)
def tag_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Print its tag again: the old code stays good, or is dead from now and a new one is bound."""
    found, person, now = _item_or_404(pk), person_of(request), timezone.now()
    try:
        if request.POST.get("code") == "same":
            print_again(found, tag=id_in(request, "tag"), by=person, at=now)
            return redirect("register:item-tag", pk=pk)
        if request.POST.get("code") != "dead":
            raise Refused("Say whether the old code stays good or is dead.")
        reason, torn = request.POST.get("reason", ""), whole(request.POST.get("tag", "")) or None
        if torn is not None and not reason.strip():
            raise Refused("Write what happened to the old tag.")
        made = reissue(found, torn=torn, reason=reason, by=person, at=now, job=_open_job(found))
    except Refused as refusal:
        return _answer(request, _item_or_404(pk), fault=fault_of("tag", refusal, request), status=status_of(refusal))
    if made is not None:
        said = (
            "The old code is dead. Print the new tag and hang it on."
            if torn
            else "A tag is bound. Print it and hang it on."
        )
        messages.success(request, said)
    return redirect("register:item", pk=pk)


def _open_job(item: Item) -> Job | None:
    return item.jobs.filter(closed_at__isnull=True).order_by("opened_at", "pk").first()


@require_GET
@opens(Act.PRINT_TAG)
def tag_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The tag in use on an item, to print: 62 × 100 mm."""
    found = _item_or_404(pk)
    tag = live_tag(found)
    if tag is None:
        raise Http404
    tag.item = found
    pdf = tags_pdf([tag_text(tag, _open_job(found), profile())], at=timezone.now())
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="tag-{tag.code}.pdf"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
