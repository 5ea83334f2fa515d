"""Sending an estimate, its answer, and questions about it."""

from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.catalogue.reads import minimum_on
from jobs.estimates.models import Answer, Estimate, Option, Question
from jobs.estimates.paper_text import estimate_text
from jobs.estimates.plain_words import to_avoid
from jobs.estimates.reads import EstimateView, OptionView, children, estimate_view, expired, who_answers
from jobs.papers.steps import freeze
from shop.clock import day_words, last_day, local
from shop.money import ZERO, plain, written
from shop.people.models import Person
from shop.profile.reads import profile

ASKS_A_DAY = 20
HOWS = ("link", "desk", "phone", "order")


def send(estimate: Estimate, *, by: Person, at: datetime, key: str = "") -> Estimate:
    """Freeze a draft as a paper and send it: older unanswered versions are replaced, the owner's letter follows.

    Raises Refused when something an owner needs is missing, or stands there that an owner should not read.
    """
    with transaction.atomic():
        pressed = press(key, "estimate.send", at=at) if key else None
        job = Job.objects.select_for_update(of=("self",)).select_related("item").get(pk=estimate.job_id)
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


def answer(
    estimate: Estimate,
    *,
    option: Option | None,
    how: str,
    name: str,
    party: Party,
    at: datetime,
    by: Person | None = None,
    words: str = "",
    begin_now: bool = False,
    key: str = "",
) -> Answer:
    """Write down the answer to one version: `option` agreed to, or None for none of them.

    By link `by` is None and `name` is as typed. At the desk, by telephone or by order a person of the shop writes it
    down; on the telephone `words` are what was read back, for an order its number.
    Raises Refused for a version that is not the newest, ran out or was answered, and for a party without the right.
    """
    with transaction.atomic():
        pressed = press(key, "estimate.answer", at=at) if key else None
        job = Job.objects.select_for_update(of=("self",)).get(pk=estimate.job_id)
        held = Estimate.objects.get(pk=estimate.pk)
        _answerable(held, job, at=at)
        if party not in who_answers(job):
            raise Refused("Only the owner, or whoever may agree for the owner, can answer this.")
        name, words = " ".join(name.split())[:160], words.strip()
        _how_it_came(how, by=by, name=name, words=words, agreed=option is not None)
        shop = profile()
        view = estimate_view(held, shop=shop, on=local(at, shop.zone).date())
        chosen = next((one for one in view.options if option is not None and one.option.pk == option.pk), None)
        if option is not None and chosen is None:
            raise Refused("That option belongs to another version. Choose again.")
        made = Answer.objects.create(
            estimate=held,
            option=option,
            approved=option is not None,
            how=how,
            name=name or party.name,
            words=words,
            begin_now=begin_now and option is not None,
            party=party,
            person=by,
            at=at,
        )
        held.state = "answered"
        held.save(update_fields=["state"])
        _record_answer(made, held, job, chosen, places=shop.places)
        if pressed is not None:
            keep(pressed, answer=made.pk, estimate=held.pk)
    return made


def _answerable(held: Estimate, job: Job, *, at: datetime) -> None:
    shop = profile()
    if held.state == "answered":
        raise Refused("This estimate has been answered already.")
    if held.state == "draft":
        raise Refused("This estimate has not been sent yet.")
    newer = job.estimates.exclude(state="draft").filter(version__gt=held.version).exists()
    if held.state == "replaced" or newer:
        raise Refused("There is a newer estimate. Read that one; only the newest can be answered.")
    if expired(held, on=local(at, shop.zone).date()):
        ran_out = day_words(held.expires_on) if held.expires_on else ""
        raise Refused(f"This estimate ran out on {ran_out}. Ask us for a new one.")
    if job.closed_at is not None:
        raise Refused("This job is closed. Ask us, and we open a new one.")


def _how_it_came(how: str, *, by: Person | None, name: str, words: str, agreed: bool) -> None:
    if how not in HOWS:
        raise Refused("Say how the answer came.")
    if how == "link":
        if agreed and len(name) < 2:
            raise Refused("Type your name, so that we know who agreed.")
        return
    if by is None:
        raise Refused("Somebody of the shop writes down an answer that did not come by link.")
    if how == "phone" and len(words) < 10:
        raise Refused("Write what was read back on the telephone: the version, the option, the sum.")
    if how == "order" and not words:
        raise Refused("Write the number of the purchase order.")


def _record_answer(made: Answer, held: Estimate, job: Job, chosen: OptionView | None, *, places: int) -> None:
    data: dict[str, object] = {
        "estimate": held.pk,
        "version": held.version,
        "answer": made.pk,
        "how": made.how,
        "party": made.party_id,
    }
    if chosen is not None:
        data |= {
            "option": chosen.option.letter,
            "total": plain(chosen.total, places),
            "ceiling": plain(chosen.total + chosen.option.contingency, places),
            "deposit": plain(chosen.deposit, places),
            "begin_now": made.begin_now,
        }
    action = "estimate.approved" if made.approved else "estimate.declined"
    record(action, by=made.person, at=made.at, job=job, data=data)


def ask(job: Job, *, party: Party, words: str, at: datetime, key: str = "") -> Question:
    """Keep an owner's question for the desk. At most twenty a day from one party."""
    words = words.strip()
    if not words:
        raise Refused("Write your question first.")
    if len(words) > 2000:
        raise Refused("That is longer than 2,000 letters. Say it in fewer, or telephone us.")
    with transaction.atomic():
        pressed = press(key, "question.ask", at=at) if key else None
        lately = Question.objects.filter(job=job, party=party, at__gt=at - timedelta(days=1))
        if lately.count() >= ASKS_A_DAY:
            raise Refused("We have many questions from you today and will answer them. Please telephone us.")
        asked = Question.objects.create(job=job, party=party, words=words, at=at)
        record("question.asked", by=None, at=at, job=job, data={"question": asked.pk, "party": party.pk})
        if pressed is not None:
            keep(pressed, question=asked.pk)
    return asked


def seen(question: Question, *, by: Person, at: datetime) -> None:
    """Someone of the shop has dealt with a question. Twice is the same as once."""
    with transaction.atomic():
        if Question.objects.filter(pk=question.pk, seen_at__isnull=True).update(seen_at=at, seen_by=by):
            record("question.seen", by=by, at=at, job=question.job, data={"question": question.pk})
