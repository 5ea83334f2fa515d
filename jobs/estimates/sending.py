"""Sending an estimate: frozen as a paper, told to whoever may agree to it."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.catalogue.reads import minimum_on
from jobs.estimates.models import Estimate, Option
from jobs.estimates.paper_text import estimate_text
from jobs.estimates.plain_words import to_avoid
from jobs.estimates.reads import EstimateView, children, estimate_view, who_answers
from jobs.papers.steps import freeze
from shop.clock import last_day, local
from shop.money import ZERO, written
from shop.people.models import Person
from shop.profile.reads import profile


def send(estimate: Estimate, *, by: Person, at: datetime, key: str = "") -> Estimate:
    """Freeze a draft as a paper and send it: older unanswered versions are replaced, the owner's letter follows.

    Raises Refused when something an owner needs is missing, or stands there that an owner should not read.
    """
    with transaction.atomic():
        pressed = press(key, "estimate.send", at=at) if key else None
        job = Job.objects.select_for_update(no_key=True).get(pk=estimate.job_id)
        draft = Estimate.objects.select_related("made_by").get(pk=estimate.pk)
        if draft.state != "draft":
            raise Refused("This version has been sent already.")
        if job.closed_at is not None:
            raise Refused("This job is closed. Open a new one for more work.")
        shop = profile()
        today = local(at, shop.zone).date()
        view = estimate_view(draft, shop=shop, on=today)
        to = who_answers(job)
        if not to:
            raise Refused("Nobody on this job may agree to an estimate. Write down its owner first.")
        _fit_to_send(view, job)
        _not_below_minimum(view, minimum_on(today), places=shop.places)
        draft.expires_on = last_day(today, shop.estimate_days)
        draft.paper = freeze(
            estimate_text(draft, view.options, job=job, to=to[0], shop=shop, at=at, until=draft.expires_on),
            by=by,
            at=at,
            job=job,
        )
        draft.state, draft.sent_at = "sent", at
        draft.save(update_fields=["state", "sent_at", "expires_on", "paper"])
        for option in view.options:
            Option.objects.filter(pk=option.option.pk).update(deposit=option.deposit)
        job.estimates.filter(state="sent").exclude(pk=draft.pk).update(state="replaced")
        data = {
            "estimate": draft.pk,
            "version": draft.version,
            "paper": draft.paper.pk,
            "until": draft.expires_on.isoformat(),
            "party": to[0].pk,
        }
        record("estimate.sent", by=by, at=at, job=job, data=data)
        if pressed is not None:
            keep(pressed, estimate=draft.pk)
    return draft


def _fit_to_send(view: EstimateView, job: Job) -> None:
    estimate = view.estimate
    if not estimate.words.strip():
        raise Refused("Write what you found and what you propose. The owner reads that first.")
    for option in view.options:
        if not option.lines:
            raise Refused(f"Option {option.option.letter} has no line yet. Add what is to be done.")
        if option.total < 0:
            raise Refused(f"Option {option.option.letter} comes to less than nothing. Look at its lines.")
    if view.recommended and len(view.options) > 1 and not estimate.because.strip():
        raise Refused(f"Write why you would choose {view.recommended.option.letter}.")
    texts = [estimate.words, estimate.not_included, estimate.because]
    for option in view.options:
        held = option.option
        texts += [held.title, held.summary, held.gets, held.left, *(line.words for line in option.lines)]
    wrong = to_avoid("\n".join(texts), children=children(job))
    if wrong:
        raise Refused(f"The owner reads this. {wrong[0]}")


def _not_below_minimum(view: EstimateView, minimum: Decimal, *, places: int) -> None:
    for option in view.options:
        labour = [line.net for line in option.lines if line.tax_class == "labour" and line.discount is None]
        if 0 < sum(labour, ZERO) < minimum:
            letter, least = option.option.letter, written(minimum, places)
            raise Refused(
                f"The labour of option {letter} is below the least charge of {least}. Raise it, or charge nothing."
            )
