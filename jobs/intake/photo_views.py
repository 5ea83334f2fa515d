"""Photos of a draft: one frame for each view, sent at once from the device, or by a plain form."""

import re
from typing import cast

from django.core.files.base import File
from django.http import Http404, HttpRequest, HttpResponseBase, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.refusals import Refused
from jobs.intake import drafts
from jobs.intake.doors import device_here, with_draft
from jobs.intake.models import Draft
from jobs.intake.pages import step_page
from jobs.intake.shapes import step_url
from jobs.intake.steps import KEY
from jobs.intake.views import kept, quick
from jobs.photos.models import Photo
from jobs.photos.reads import of_sitting
from jobs.photos.serving import photo_response
from jobs.photos.steps import put_aside, receive
from shop.people.doors import opens, person_of
from shop.people.roles import Act

_VIEW = re.compile(r"[a-z0-9-]{0,24}")
MOST_PHOTOS = 600


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def send(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """Take one photo into a slot: a piece and a view of it, or a condition line. The newer one takes the older one's place.

    The send key makes it one photo however often it is sent.
    """
    post, now = request.POST, timezone.now()
    slot, view, piece = post.get("slot", ""), post.get("view", ""), post.get("piece", "")
    step = "condition" if slot != piece else "photos"
    if drafts.from_json(row.data).from_list:
        step = "counter"
    try:
        photo = _received(request, row, slot=slot, view=view, piece=piece)
        for older in of_sitting(row.key, slot).filter(view=view, pk__lt=photo.pk):
            put_aside(older, by=person_of(request), at=now)
    except Refused as refusal:
        if quick(request):
            return JsonResponse({"words": refusal.words}, status=422)
        return step_page(request, row, step, piece=piece, fault=refusal.words, status=422, fault_at=view or slot)
    if quick(request):
        row.refresh_from_db()
        src = reverse("intake:picture", args=[row.key, photo.pk, "small"])
        return JsonResponse({"photo": photo.pk, "src": src, **kept(request, row, step, piece)})
    return redirect(f"{step_url(row, step, piece)}{f'?line={slot}' if step == 'condition' else ''}#f-{view or slot}")


def _received(request: HttpRequest, row: Draft, *, slot: str, view: str, piece: str) -> Photo:
    pieces = {one.key for one in drafts.from_json(row.data).pieces}
    if piece not in pieces:
        raise Refused("That item is not in the list any more. Look at the list, then take it again.")
    if not KEY.fullmatch(slot) or not _VIEW.fullmatch(view) or (slot in pieces) != bool(view):
        raise Refused("It is not clear what this picture shows. Open the page again and take it once more.")
    if "file" not in request.FILES:
        raise Refused("No picture came with it. Choose one, or take it again.")
    if of_sitting(row.key).count() >= MOST_PHOTOS:
        raise Refused(f"One note holds {MOST_PHOTOS} pictures at most. Seal this one, then begin another.")
    return receive(
        cast("File[bytes]", request.FILES["file"]),
        purpose="intake" if view else "line",
        by=person_of(request),
        at=timezone.now(),
        send_key=request.POST.get("send_key", ""),
        sitting=row.key,
        slot=slot,
        view=view,
    )


@require_GET
@opens(Act.TAKE_IN)
@with_draft()
def picture(request: HttpRequest, row: Draft, pk: int, size: str) -> HttpResponseBase:
    """A photo of this draft in one of its sizes; at a kiosk the browser may not keep it."""
    photo = Photo.objects.filter(sitting=row.key, pk=pk).first()
    if photo is None or size not in {"small", "large"}:
        raise Http404
    return photo_response(photo, size, at=timezone.now(), keep=device_here(request) is None)
