"""What was brought in: putting on the list and taking off it; lines of its condition; a value above the cover."""

from functools import partial

from django.contrib.auth import authenticate
from django.http import HttpRequest, HttpResponseBase, JsonResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.book.models import Item, Job
from jobs.book.refusals import Again, Refused, Stale
from jobs.intake import drafts, steps
from jobs.intake.doors import with_draft
from jobs.intake.edits import with_line, without_line, without_piece
from jobs.intake.models import Draft
from jobs.intake.pages import step_page
from jobs.intake.shapes import step_url
from jobs.intake.views import kept, onward, quick, said_only, version_of
from shop.people.doors import opens, person_of
from shop.people.forms import MOST_NAME
from shop.people.models import Person
from shop.people.roles import Act
from shop.typed import whole


def refused(request: HttpRequest, row: Draft, step: str, refusal: Refused, **more: object) -> HttpResponseBase:
    """Show a refusal where it happened, or tell it to the page that asked."""
    status = 409 if isinstance(refusal, Stale) else 422
    if quick(request):
        return JsonResponse({"words": refusal.words}, status=status)
    row.refresh_from_db()
    return step_page(request, row, step, fault=refusal.words, status=status, **more)  # type: ignore[arg-type]


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def add(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """Put something on the list: of a kind, or one the book has, or one that was expected."""
    post = request.POST
    try:
        steps.add_piece(
            row,
            seen=version_of(request),
            by=person_of(request),
            at=timezone.now(),
            key=post.get("key", ""),
            kind=post.get("kind", ""),
            item=Item.objects.filter(pk=whole(post.get("item", ""))).first(),
            job=Job.objects.filter(pk=whole(post.get("job", ""))).first(),
        )
    except Again:
        pass
    except Refused as refusal:
        return refused(request, row, "items", refusal)
    return redirect("intake:step", row.key, "items")


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def remove(request: HttpRequest, row: Draft, piece: str) -> HttpResponseBase:
    """Take something off the list."""
    try:
        change = partial(without_piece, key=piece)
        steps.save(row, change, seen=version_of(request), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        return refused(request, row, "items", refusal)
    return redirect("intake:step", row.key, "items")


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def line(request: HttpRequest, row: Draft, piece: str) -> HttpResponseBase:
    """Keep one condition line, at each change or with its button. The line's key makes it one line however often sent."""
    key = request.POST.get("line", "")
    if not steps.KEY.fullmatch(key) or piece not in {one.key for one in drafts.from_json(row.data).pieces}:
        return refused(request, row, "condition", Refused("That item is not in the list any more. Look again."))
    typed = request.POST.dict()
    change = partial(with_line, piece_key=piece, line_key=key, typed=typed)
    try:
        row = steps.save(row, change, seen=version_of(request), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        row.refresh_from_db()
        unkept = drafts.from_json(row.data)
        if isinstance(refusal, Stale) and piece in {one.key for one in unkept.pieces}:
            return refused(
                request, row, "condition", refusal, piece=piece, draft=with_line(unkept, piece, key, said_only(typed))
            )
        return refused(request, row, "condition", refusal)
    if quick(request):
        return JsonResponse(kept(request, row, "condition", piece))
    return onward(request, row, "condition", piece)


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def line_remove(request: HttpRequest, row: Draft, piece: str) -> HttpResponseBase:
    """Take a condition line away."""
    try:
        change = partial(without_line, piece_key=piece, line_key=request.POST.get("line", ""))
        steps.save(row, change, seen=version_of(request), by=person_of(request), at=timezone.now())
    except (Refused, KeyError) as fault:
        refusal = fault if isinstance(fault, Refused) else Refused("That item is not in the list any more. Look again.")
        return refused(request, row, "condition", refusal)
    return redirect(step_url(row, "condition", piece))


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def accept(request: HttpRequest, row: Draft, piece: str) -> HttpResponseBase:
    """The head luthier accepts a value above the shop's cover: signed in here, or by staff name and PIN."""
    post, here = request.POST, person_of(request)
    words = drafts.tidy(post.get("words", ""))
    try:
        head = here if here.may(Act.OVERRIDE) else _by_pin(request)
        steps.accept_value(row, piece, seen=version_of(request), by=here, head=head, words=words, at=timezone.now())
    except Refused as refusal:
        return refused(request, row, "value", refusal, accept_words={piece: words})
    return redirect("intake:step", row.key, "value")


def _by_pin(request: HttpRequest) -> Person:
    name, pin = request.POST.get("username", ""), request.POST.get("pin", "")
    head = authenticate(request, username=name, pin=pin) if name and pin and len(name) <= MOST_NAME else None
    if not isinstance(head, Person) or not head.may(Act.OVERRIDE):
        raise Refused(
            "That name and PIN do not go together, or are not the head luthier’s. Look at both and try again."
        )
    return head
