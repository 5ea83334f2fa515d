"""Answers a request for a photo. The page decides who may see it; here is how it leaves."""

from datetime import datetime

from django.http import FileResponse, HttpResponse

from jobs.book.refusals import Refused
from jobs.photos.looking import ENDINGS
from jobs.photos.models import Photo
from jobs.photos.reads import open_size


def photo_response(
    photo: Photo, size: str, *, at: datetime, staff: bool = False, keep: bool = True
) -> FileResponse | HttpResponse:
    """The photo in one size, or 404 with words. The original goes to staff only, as a download.

    `keep=False` forbids the browser to keep it: for a kiosk that the next person will stand at.
    """
    if size == "original" and not staff:
        return _no("There is no such size.")
    try:
        file, content_type = open_size(photo, size, at=at)
    except Refused as refusal:
        return _no(refusal.words)
    # a name of ours: what the sender called it may hold a person's name
    ending = ENDINGS[photo.format] if size == "original" else "jpg"
    name = f"photo-{photo.pk}-{size}.{ending}"
    response = FileResponse(file, as_attachment=size == "original", filename=name, content_type=content_type)
    made = size == "original" or photo.state == "made"
    response["Cache-Control"] = "private, max-age=86400, immutable" if keep and made else "no-store, private"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _no(words: str) -> HttpResponse:
    return HttpResponse(words, status=404, content_type="text/plain; charset=utf-8")
