"""The estimate of a job at the desk: writing it, sending it, writing down an answer."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TypedDict

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.models import Job
from jobs.book.refusals import Again, Fault, Refused, Stale
from jobs.catalogue.models import Operation
from jobs.desk.agree_forms import ROADS
from jobs.desk.answers import key_in, number_in
from jobs.desk.estimate_forms import day_typed, number_typed, sum_typed
from jobs.desk.estimate_reads import estimate_desk
from jobs.estimates import sending, steps
from jobs.estimates.models import Estimate, Line, Option
from jobs.estimates.reads import who_answers
from shop.people.doors import opens, person_of
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.reads import profile


def job_or_404(number: str) -> Job:
    """A job with its item and owner, or 404."""
    job = Job.objects.select_related("item", "item__owner").filter(number=number).first()
    if job is None:
        raise Http404
    return job


def estimate_page(request: HttpRequest, job: Job, *, where: str, words: str, status: int) -> HttpResponse:
    """The estimate page with a refusal in one of its parts."""
    return _page(request, job, fault=Fault(where, words), status=status)


def _page(request: HttpRequest, job: Job, *, fault: Fault | None = None, status: int = 422) -> HttpResponse:
    shop, now = profile(), timezone.now()
    desk = estimate_desk(job, shop=shop, at=now)
    if fault is not None and fault.where not in desk.parts:
        fault = replace(fault, where="top")  # its part is not on the page any more
    context = {"desk": desk, "job": job, "roads": ROADS, "fault": fault or Fault(), "shop": shop}
    return render(request, "desk/estimate.html", context, status=status if fault else 200)


def pressed(request: HttpRequest, number: str, where: str, do: Callable[[Job], str]) -> HttpResponse:
    """Do one thing; a refusal is shown in the part called `where`, with what was typed there."""
    job = job_or_404(number)
    try:
        said = do(job)
    except Again:
        said = ""
    except Refused as refusal:
        typed = {name: str(value) for name, value in request.POST.items()}
        status = 409 if isinstance(refusal, Stale) else 422
        return _page(request, job_or_404(number), fault=Fault(where, refusal.words, typed), status=status)
    if said:
        messages.success(request, said)
    return redirect("desk:estimate", number=number)


def _draft(job: Job) -> Estimate:
    draft = job.estimates.filter(state="draft").first()
    if draft is None:
        raise Refused("Nothing is being written. Begin a version first.")
    return draft


def _option(request: HttpRequest, job: Job) -> Option:
    option = Option.objects.filter(estimate=_draft(job), letter=request.POST.get("option", "")).first()
    if option is None:
        raise Refused("That option is not there any more. Look at the page again.")
    return option


@require_GET
@opens(Act.EXAMINE, Act.SEND_ESTIMATE, Act.ANSWER_FOR_OWNER, Act.SEE_MONEY)
def estimate(request: HttpRequest, number: str) -> HttpResponse:
    """The draft, or the newest version and its answer."""
    return _page(request, job_or_404(number))


@require_POST
@opens(Act.EXAMINE)
def begin(request: HttpRequest, number: str) -> HttpResponse:
    """Begin the next version."""

    def do(job: Job) -> str:
        steps.begin_draft(job, by=person_of(request), at=timezone.now(), key=key_in(request))
        return ""

    return pressed(request, number, "begin", do)


@require_POST
@opens(Act.EXAMINE)
def words(request: HttpRequest, number: str) -> HttpResponse:
    """What was found, what is not included, why one option is recommended."""

    def do(job: Job) -> str:
        steps.write_words(
            _draft(job),
            words=request.POST.get("words", ""),
            not_included=request.POST.get("not_included", ""),
            because=request.POST.get("because", ""),
            by=person_of(request),
            at=timezone.now(),
        )
        return "The words are kept."

    return pressed(request, number, "words", do)


@require_POST
@opens(Act.EXAMINE)
def fee(request: HttpRequest, number: str) -> HttpResponse:
    """What is asked for the examination if the work does not go ahead."""

    def do(job: Job) -> str:
        amount = sum_typed(request.POST.get("fee", ""), "The fee", profile().places)
        steps.name_fee(_draft(job), amount, by=person_of(request), at=timezone.now())
        return "The fee is named." if amount else "No fee is named."

    return pressed(request, number, "fee", do)


@require_POST
@opens(Act.EXAMINE)
def option(request: HttpRequest, number: str) -> HttpResponse:
    """Another way to do it."""

    def do(job: Job) -> str:
        made = steps.add_option(
            _draft(job),
            title=request.POST.get("title", ""),
            by=person_of(request),
            at=timezone.now(),
            key=key_in(request),
        )
        return f"Option {made.letter} is there. Add what is to be done."

    return pressed(request, number, "option", do)


@require_POST
@opens(Act.EXAMINE)
def option_words(request: HttpRequest, number: str) -> HttpResponse:
    """What the owner reads of an option."""

    def do(job: Job) -> str:
        post, chosen = request.POST, _option(request, job)
        steps.write_option(
            chosen,
            title=post.get("title", ""),
            summary=post.get("summary", ""),
            gets=post.get("gets", ""),
            left=post.get("left", ""),
            recommended=post.get("recommended") == "yes",
            ready_from=day_typed(post.get("ready_from", ""), "Ready from"),
            ready_to=day_typed(post.get("ready_to", ""), "Ready to"),
            contingency=sum_typed(post.get("contingency", ""), "Up to so much more", profile().places),
            by=person_of(request),
            at=timezone.now(),
        )
        return f"Option {chosen.letter} is kept."

    return pressed(request, number, f"{request.POST.get('option', '')}-words", do)


@require_POST
@opens(Act.EXAMINE)
def option_off(request: HttpRequest, number: str) -> HttpResponse:
    """Take an option out."""

    def do(job: Job) -> str:
        chosen = _option(request, job)
        steps.remove_option(chosen, by=person_of(request), at=timezone.now())
        return f"Option {chosen.letter} is taken out."

    return pressed(request, number, f"{request.POST.get('option', '')}-off", do)


@require_POST
@opens(Act.EXAMINE)
def line(request: HttpRequest, number: str) -> HttpResponse:
    """Add work of the catalogue, a material, a fixed price, or a discount."""
    kind = request.POST.get("kind", "")

    def do(job: Job) -> str:
        adding = _ADDING.get(kind)
        if adding is None:
            raise Refused("Choose what to add.")
        adding(request, _option(request, job))
        return ""

    return pressed(request, number, f"{request.POST.get('option', '')}-{kind}", do)


def _add_work(request: HttpRequest, to: Option) -> None:
    operation = Operation.objects.filter(code=request.POST.get("operation", "")).first()
    if operation is None:
        raise Refused("Choose the work to be done.")
    typed = request.POST.get("hours", "").strip()
    hours = number_typed(typed, "Hours") if typed else None
    words = request.POST.get("words", "")
    steps.add_work(to, operation=operation, hours=hours, words=words, **_now(request))


def _add_material(request: HttpRequest, to: Option) -> None:
    cost = sum_typed(request.POST.get("cost", ""), "Cost", profile().places)
    steps.add_material(to, words=request.POST.get("words", ""), cost=cost, **_now(request))


def _add_fixed(request: HttpRequest, to: Option) -> None:
    net = sum_typed(request.POST.get("net", ""), "Price", profile().places)
    tax_class = request.POST.get("tax_class", "")
    steps.add_line(to, words=request.POST.get("words", ""), net=net, tax_class=tax_class, **_now(request))


def _add_discount(request: HttpRequest, to: Option) -> None:
    percent = number_typed(request.POST.get("percent", ""), "Per cent")
    steps.add_discount(to, percent=percent, reason=request.POST.get("words", ""), **_now(request))


_ADDING: dict[str, Callable[[HttpRequest, Option], None]] = {
    "work": _add_work,
    "material": _add_material,
    "fixed": _add_fixed,
    "discount": _add_discount,
}


class _Now(TypedDict):
    by: Person
    at: datetime
    key: str


def _now(request: HttpRequest) -> _Now:
    return {"by": person_of(request), "at": timezone.now(), "key": key_in(request)}


@require_POST
@opens(Act.EXAMINE)
def line_off(request: HttpRequest, number: str) -> HttpResponse:
    """Take a line out."""

    def do(job: Job) -> str:
        found = Line.objects.select_related("option").filter(pk=number_in(request, "line"), option__estimate__job=job)
        for held in found:
            steps.remove_line(held, by=person_of(request), at=timezone.now())
        return ""

    return pressed(request, number, "lines", do)


@require_POST
@opens(Act.SEND_ESTIMATE)
def send(request: HttpRequest, number: str) -> HttpResponse:
    """Freeze the draft and send it to whoever may approve."""

    def do(job: Job) -> str:
        sent = sending.send(_draft(job), by=person_of(request), at=timezone.now(), key=key_in(request))
        to = who_answers(job)[0]
        how = "by e-mail" if to.email else "by hand: print it, or telephone and read it out"
        return f"Version {sent.version} goes to {to.name} {how}."

    return pressed(request, number, "send", do)
