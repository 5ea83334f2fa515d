"""Pages on which the sample shop's letters can be read."""

from pathlib import Path

from django.conf import settings
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from shop.starting import letters

A_PAGE = 50


def folder() -> Path:
    """Where the sink keeps its letters."""
    return Path(settings.SHOP_HOME) / letters.FOLDER


def _letter_or_404(name: str) -> letters.Letter:
    letter = letters.read(folder(), name)
    if letter is None:
        raise Http404("There is no such letter.")
    return letter


@require_safe
def sink(request: HttpRequest) -> HttpResponse:
    """All letters, the newest first."""
    page = Paginator(letters.names(folder()), A_PAGE).get_page(request.GET.get("page"))
    shown = [letter for name in page if (letter := letters.read(folder(), name))]
    return render(request, "sink/sink.html", {"page": page, "letters": shown})


@require_safe
def letter(request: HttpRequest, name: str) -> HttpResponse:
    """One letter as it was sent."""
    return render(request, "sink/letter.html", {"letter": _letter_or_404(name)})


@require_safe
def enclosure(request: HttpRequest, name: str, number: int) -> HttpResponse:
    """One enclosure, to keep as a file."""
    found = _letter_or_404(name).enclosures
    if number >= len(found):
        raise Http404("There is no such enclosure.")
    disposition = content_disposition_header(as_attachment=True, filename=found[number].name)
    return HttpResponse(
        found[number].content,
        content_type=found[number].kind,
        headers={"Content-Disposition": disposition or "attachment"},
    )
