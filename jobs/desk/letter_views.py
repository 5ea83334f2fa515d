"""Letters at the desk: tell by hand, print, send again, questions from owners."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.refusals import Fault, Refused
from jobs.desk.letter_reads import body_to_print, letters_page
from jobs.estimates.models import Question
from jobs.estimates.questions import seen
from jobs.updates import steps
from jobs.updates.again import send_again
from jobs.updates.models import Message
from jobs.updates.reads import not_sent
from shop.clock import days_words, local
from shop.packing.reads import is_a_copy
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


def _page(request: HttpRequest, *, fault: Fault | None = None) -> HttpResponse:
    context = {
        "page": letters_page(),
        "fault": fault or Fault(),
        "wait": is_a_copy(),
        "section": "letters",
    }
    return render(request, "desk/letters.html", context, status=422 if fault else 200)


def _pressed(request: HttpRequest, pk: int, do: Callable[[], str]) -> HttpResponse:
    """Do one thing to a letter; a refusal is shown beside it, with what was typed."""
    try:
        said = do()
    except Refused as refusal:
        typed = {name: str(value) for name, value in request.POST.items()}
        return _page(request, fault=Fault(str(pk), refusal.words, typed))
    messages.success(request, said)
    return redirect("desk:letters")


@require_GET
@opens(Act.SEE_LETTERS)
def letters(request: HttpRequest) -> HttpResponse:
    """What is to be told by hand, what did not go, what owners ask, what went out."""
    return _page(request)


@require_GET
@opens(Act.SEE_LETTERS)
def letter(request: HttpRequest, pk: int) -> HttpResponse:
    """One letter, to read or print."""
    found = get_object_or_404(
        Message.objects.select_related("party", "job", "job__item", "link", "link__job", "paper"), pk=pk
    )
    shop = profile()
    made = local(found.made_at, shop.zone).date()
    context = {
        "letter": found,
        "body": body_to_print(found),
        "day": f"{days_words(made)} {made.year}",
        "section": "letters",
        "shop": shop,
    }
    return render(request, "desk/letter.html", context)


@require_POST
@opens(Act.SEE_LETTERS)
def told(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody has told or posted it."""
    found = get_object_or_404(Message, pk=pk)

    def do() -> str:
        steps.tell(found, how=request.POST.get("how", ""), by=person_of(request), at=timezone.now())
        return "Written down as told."

    return _pressed(request, pk, do)


@require_POST
@opens(Act.SEND_AGAIN)
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Send it again, perhaps to a corrected address."""
    found = get_object_or_404(Message, pk=pk)

    def do() -> str:
        sent = send_again(found, by=person_of(request), at=timezone.now(), address=request.POST.get("address", ""))
        return f"It goes to {sent.address} again."

    return _pressed(request, pk, do)


@require_POST
@opens(Act.SEND_AGAIN)
def all_again(request: HttpRequest) -> HttpResponse:
    """Send every letter that failed again, for instance once the mail server is back."""
    failed = list(not_sent().filter(state="failed"))
    sent = sum(_sent_again(one, request) for one in failed)
    messages.success(request, f"{sent} letter{'' if sent == 1 else 's'} will be sent again.")
    return redirect("desk:letters")


def _sent_again(letter: Message, request: HttpRequest) -> bool:
    try:
        send_again(letter, by=person_of(request), at=timezone.now())
    except Refused:
        return False  # somebody else has just done it
    return True


@require_POST
@opens(Act.SEND_AGAIN)
def arrived(request: HttpRequest, pk: int) -> HttpResponse:
    """A letter that was perhaps sent did arrive."""
    steps.arrived(get_object_or_404(Message, pk=pk), by=person_of(request), at=timezone.now())
    messages.success(request, "Written down: it arrived.")
    return redirect("desk:letters")


@require_POST
@opens(Act.SEE_LETTERS)
def question_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """An owner's question has been dealt with."""
    found = get_object_or_404(Question.objects.select_related("job"), pk=pk)
    seen(found, by=person_of(request), at=timezone.now())
    messages.success(request, "Written down as answered.")
    return redirect("desk:letters")
