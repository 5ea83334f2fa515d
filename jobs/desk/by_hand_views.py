"""What owners are told by hand: letters to print and post, calls to make, each ticked off."""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.refusals import Refused
from jobs.updates.by_hand import nobody_answered, posted
from jobs.updates.models import Message
from jobs.updates.on_paper import calls_in, calls_pdf, letters_pdf
from jobs.updates.reads import by_hand
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile

MOST_SHEETS = 200


def _whole(letters: QuerySet[Message]) -> QuerySet[Message]:
    return letters.select_related("party", "job", "job__item", "link", "link__job", "paper")


@require_GET
@opens(Act.SEE_LETTERS)
def letters_to_post(request: HttpRequest) -> HttpResponse:
    """Every letter that waits and has an address, a sheet each."""
    waiting = [letter for letter in _whole(by_hand())[:MOST_SHEETS] if letter.party.address.strip()]
    return _pdf(letters_pdf(waiting, shop=profile(), at=timezone.now()), "letters-to-post")


@require_GET
@opens(Act.SEE_LETTERS)
def one_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """One letter told by hand, on paper. A letter by e-mail keeps its link to its reader."""
    found = get_object_or_404(_whole(Message.objects.filter(state__in=("byhand", "told"))), pk=pk)
    return _pdf(letters_pdf([found], shop=profile(), at=timezone.now()), f"letter-{found.pk}")


@require_GET
@opens(Act.SEE_LETTERS)
def calls(request: HttpRequest) -> HttpResponse:
    """The calls to make, on one list."""
    return _pdf(calls_pdf(calls_in(by_hand()), shop=profile(), at=timezone.now()), "calls")


def _pdf(pdf: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer


@require_POST
@opens(Act.SEE_LETTERS)
def all_posted(request: HttpRequest) -> HttpResponse:
    """The letters of the sheet that was printed have gone to the post."""
    ids = [int(one) for one in request.POST.getlist("letter") if one.isdecimal() and len(one) < 18]
    count = posted(ids, by=person_of(request), at=timezone.now())
    messages.success(request, f"Written down: {count} letter{'' if count == 1 else 's'} posted.")
    return redirect("desk:letters")


@require_POST
@opens(Act.SEE_LETTERS)
def tried(request: HttpRequest, pk: int) -> HttpResponse:
    """Nobody answered the telephone."""
    try:
        nobody_answered(get_object_or_404(Message, pk=pk), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        messages.error(request, refusal.words)
    else:
        messages.success(request, "Written down: nobody answered. It stays on the list.")
    return redirect("desk:letters")
