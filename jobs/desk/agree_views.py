"""Writing down an answer at the desk: signed, read back on the telephone, by order, by slip; and taking one back."""

from dataclasses import replace
from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.book.models import Job
from jobs.book.refusals import Again, Refused, Stale
from jobs.desk.agree_forms import Wanted, came, wanted
from jobs.desk.answers import key_in, number_in
from jobs.desk.estimate_forms import sum_typed
from jobs.desk.estimate_views import estimate_page, job_or_404, pressed
from jobs.estimates.agreement_text import read_aloud
from jobs.estimates.answers import answer, words_to_sign
from jobs.estimates.ceilings import set_ceiling
from jobs.estimates.reads import EstimateView, estimate_view, newest_sent, who_answers
from jobs.estimates.renewing import renew as renew_step
from jobs.moves.withdrawing import withdraw as withdraw_step
from jobs.papers.frozen import words_sha256
from jobs.papers.steps import print_paper
from shop.clock import local
from shop.money import written
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


@require_http_methods(["GET", "POST"])
@opens(Act.ANSWER_FOR_OWNER)
def agree(request: HttpRequest, number: str) -> HttpResponse:
    """One page a road: read aloud, sign, name the order. Nothing is answered by opening it."""
    job, shop, at = job_or_404(number), profile(), timezone.now()
    post = request.method == "POST"
    view = _newest(job)
    try:
        asked = wanted(job, request.POST if post else request.GET, view)
    except Refused as refusal:
        return estimate_page(request, job, where="answer", words=refusal.words, status=422 if post else 200)
    if not post:
        return _road(request, job, asked)
    try:
        made = answer(
            asked.estimate,
            option=asked.chosen.option if asked.chosen else None,
            came=came(asked, request.POST, by=person_of(request), at=at, shop=shop),
            at=at,
            key=key_in(request),
        )
    except Again:
        return redirect("desk:estimate", number=number)
    except Stale as stale:
        return _stale(request, job, asked, stale)
    except Refused as refusal:
        return _road(request, job, asked, fault=refusal.words)
    if made.paper_id is not None:
        print_paper(made.paper_id, at=timezone.now())
    messages.success(request, "The answer is written down.")
    return redirect("desk:estimate", number=number)


def _newest(job: Job) -> EstimateView | None:
    newest, shop = newest_sent(job), profile()
    return estimate_view(newest, shop=shop, on=local(timezone.now(), shop.zone).date()) if newest else None


def _stale(request: HttpRequest, job: Job, asked: Wanted, stale: Stale) -> HttpResponse:
    """Somebody was first: back to the estimate; or only the words changed: the same page with the new ones."""
    now = _newest(job)
    if now is not None and now.estimate.pk == asked.estimate.pk and now.open:
        return _road(request, job, replace(asked, view=now, typed={}), fault=stale.words, status=409)
    return estimate_page(request, job, where="answer", words=stale.words, status=409)


def _road(request: HttpRequest, job: Job, asked: Wanted, *, fault: str = "", status: int = 422) -> HttpResponse:
    shop, at = profile(), timezone.now()
    context = {"job": job, "asked": asked, "fault": fault, "shop": shop, "typed": asked.typed if fault else {}}
    try:
        if asked.chosen is not None:
            # the same guards for every road, before anybody reads aloud or signs
            text = words_to_sign(job, asked.view, asked.chosen, party=asked.party, by=person_of(request), at=at)
            context |= {"text": text, "digest": words_sha256(text)}
            context["aloud"] = read_aloud(job, asked.view, asked.chosen, shop=shop)
        elif not asked.view.open:
            raise Refused("This estimate can no longer be answered. Look at it again.")
    except Refused as refusal:
        code = 409 if isinstance(refusal, Stale) else 422
        return estimate_page(request, job, where="answer", words=refusal.words, status=code)
    return render(request, "desk/agree.html", context, status=status if fault else 200)


@require_POST
@opens(Act.ANSWER_FOR_OWNER)
def withdraw(request: HttpRequest, number: str) -> HttpResponse:
    """Take back an answer that was written down wrongly."""

    def do(job: Job) -> str:
        withdraw_step(
            job,
            number_in(request, "answer"),
            reason=request.POST.get("reason", ""),
            by=person_of(request),
            at=timezone.now(),
            key=key_in(request),
        )
        return "The answer is taken back and kept. The estimate waits for its answer again."

    return pressed(request, number, "withdraw", do)


@require_POST
@opens(Act.SEND_ESTIMATE)
def renew(request: HttpRequest, number: str) -> HttpResponse:
    """Write an estimate that ran out again, with the prices of today."""

    def do(job: Job) -> str:
        made, places = renew_step(job, by=person_of(request), at=timezone.now(), key=key_in(request)), profile().places
        said = "; ".join(
            f"{one.letter} comes to {written(one.now, places)}, before {written(one.was, places)}"
            if one.now != one.was
            else f"{one.letter} stays at {written(one.now, places)}"
            for one in made.changes
        )
        return f"Version {made.draft.version} has the prices of today: {said}. Look at it, name its days, then send it."

    return pressed(request, number, "renew", do)


@require_POST
@opens(Act.ANSWER_FOR_OWNER)
def ceiling(request: HttpRequest, number: str) -> HttpResponse:
    """The most somebody may agree to for the owner."""

    def do(job: Job) -> str:
        party = next((one for one in who_answers(job) if one.pk == number_in(request, "party")), None)
        if party is None:
            raise Refused("Choose who may agree for the owner.")
        typed = request.POST.get("most", "").strip()
        most: Decimal | None = sum_typed(typed, "May agree up to", profile().places) if typed else None
        set_ceiling(job, party, most, by=person_of(request), at=timezone.now())
        return f"{party.name} may agree up to {typed}." if typed else f"{party.name} may agree to any sum."

    return pressed(request, number, "ceiling", do)
