"""The desk of the sample shop: estimates and their answers, money, promised days, questions, what owners may see."""

from datetime import date, timedelta
from decimal import Decimal

from jobs.billing.reads import account
from jobs.billing.steps import go_on_account, issue_together, take_payment
from jobs.book.models import Party
from jobs.book.parties import promise
from jobs.catalogue.models import Operation
from jobs.estimates.agreement_text import read_aloud
from jobs.estimates.answers import Came, answer
from jobs.estimates.models import Estimate, Option, Question
from jobs.estimates.questions import ask as ask_question
from jobs.estimates.questions import seen
from jobs.estimates.reads import estimate_view, newest, newest_sent, who_answers
from jobs.estimates.refusals import settle
from jobs.estimates.sending import send as send_estimate
from jobs.estimates.steps import (
    add_discount,
    add_line,
    add_option,
    add_work,
    begin_draft,
    name_fee,
    write_option,
    write_words,
)
from jobs.links.steps import link_for, opened
from jobs.management.demo.book import Told
from jobs.management.demo.sample import LineRow, OptionRow
from jobs.management.demo.timeline import Event
from jobs.photos.reads import of_job
from jobs.photos.steps import choose_for_owner
from shop.clock import local
from shop.profile.reads import profile

SKILL_OF = {Decimal(40): 1, Decimal(62): 2, Decimal(78): 3, Decimal(95): 4}  # by rate an hour, fixtures/prices.json


def write(told: Told, event: Event) -> None:
    """What was found and is proposed, with every line; by which days it would be ready."""
    words, *ready = event.more
    row, by, at = told.row(event.job), told.people[event.who], event.at
    draft = begin_draft(told.job(event.job), by=by, at=at)
    write_words(draft, words=words, not_included="", because=row.because, by=by, at=at)
    if row.fee:
        name_fee(draft, row.fee, by=by, at=at)
    ways = row.options or (OptionRow("What we propose", ready=tuple(ready), recommended=False),)
    for place, way in enumerate(ways):
        option = draft.options.get(letter="A") if place == 0 else add_option(draft, title=way.title, by=by, at=at)
        _write_way(told, event, option, way)


def _write_way(told: Told, event: Event, option: Option, way: OptionRow) -> None:
    row, by, at = told.row(event.job), told.people[event.who], event.at
    days = [told.days.on(day) for day in way.ready]
    write_option(
        option,
        title=way.title,
        summary=way.summary,
        gets=way.gets,
        left=way.left,
        recommended=way.recommended,
        ready_from=days[0] if days else None,
        ready_to=days[1] if len(days) > 1 else None,
        contingency=way.contingency,
        by=by,
        at=at,
    )
    for line in way.lines or row.lines:
        _write_line(told, event, option, line)
    if row.discount:
        reason, percent = row.discount
        add_discount(option, percent=Decimal(percent), reason=reason, by=by, at=at)


def _write_line(told: Told, event: Event, option: Option, line: LineRow) -> None:
    by, at = told.people[event.who], event.at
    if line.operation:
        add_work(
            option,
            operation=Operation.objects.get(code=line.operation),
            hours=line.hours,
            words=line.words,
            skill=SKILL_OF[line.rate],
            by=by,
            at=at,
        )
    else:
        add_line(option, words=line.words, net=line.net, tax_class=line.tax_class, by=by, at=at)


def again(told: Told, event: Event) -> None:
    """The next version, with new words."""
    by, row = told.people[event.who], told.row(event.job)
    draft = begin_draft(told.job(event.job), by=by, at=event.at)
    write_words(draft, words=event.more[0], not_included="", because=row.because, by=by, at=event.at)


def send(told: Told, event: Event) -> None:
    """Send the newest version."""
    send_estimate(_newest(told, event), by=told.people[event.who], at=event.at, key=told.key())


def _newest(told: Told, event: Event) -> Estimate:
    found = newest(told.job(event.job))
    if found is None:
        raise ValueError(f"Job {event.job} has no estimate.")
    return found


def agree(told: Told, event: Event) -> None:
    """An answer: yes to an option, by link, or written down by the desk."""
    how, words, *chosen = event.more
    letter = chosen[0] if chosen else "A"
    estimate = _newest(told, event)
    _answer(told, event, how, words, option=estimate.options.get(letter=letter))


def decline(told: Told, event: Event) -> None:
    """An answer: none of them."""
    how, words = event.more
    _answer(told, event, how, words, option=None)


def follow(told: Told, event: Event) -> None:
    """What follows a refusal: opened or as it came, the fee taken or none."""
    how, fee, *why = event.more
    settle(
        told.job(event.job),
        reassemble=how == "opened",
        take_fee=fee == "take",
        reason=why[0] if why else "",
        by=told.people[event.who],
        at=event.at,
        key=told.key(),
    )


def _answer(told: Told, event: Event, how: str, words: str, *, option: Option | None) -> None:
    job = told.job(event.job)
    by_link = how == "link"
    party = told.parties[event.who] if by_link else who_answers(job)[0]
    if by_link:
        opened(link_for("owner", job_id=job.pk, party_id=party.pk, at=event.at), at=event.at - timedelta(minutes=6))
    estimate = newest_sent(job)
    if estimate is None:
        raise ValueError(f"Job {event.job} has nothing to answer.")
    number, _, rest = words.partition(", ") if how == "order" else ("", "", words)
    came = Came(
        how=how,
        name=party.name,
        party=party,
        by=None if by_link else told.people[event.who],
        words=words if by_link else _read_back(estimate, option, event),
        note="" if by_link else rest,
        order_number=number,
    )
    answer(estimate, option=option, came=came, at=event.at, key=told.key())


def _read_back(estimate: Estimate, option: Option | None, event: Event) -> str:
    shop = profile()
    view = estimate_view(estimate, shop=shop, on=local(event.at, shop.zone).date())
    chosen = view.option(option.letter) if option is not None else None
    return " ".join(read_aloud(estimate.job, view, chosen, shop=shop)) if chosen else ""


def ask(told: Told, event: Event) -> None:
    """An owner asks something on their page."""
    party: Party = told.parties[event.who]
    ask_question(told.job(event.job), party=party, words=event.more[0], at=event.at, key=told.key())


def heard(told: Told, event: Event) -> None:
    """Somebody of the shop has dealt with the questions."""
    for question in Question.objects.filter(job=told.jobs[event.job], seen_at__isnull=True):
        seen(question, by=told.people[event.who], at=event.at)


def pay(told: Told, event: Event) -> None:
    """The deposit that is asked, or what is owed on the invoice."""
    job, shop = told.job(event.job), profile()
    now = account(job, shop, on=local(event.at, shop.zone).date())
    amount = now.due if now.invoice else now.deposit_due
    take_payment(job, amount, event.more[0], by=told.people[event.who], at=event.at, key=told.key())


def bill(told: Told, event: Event) -> None:
    """The final invoice, over other jobs of the same payer too where they are named."""
    jobs = [told.job(n) for n in (event.job, *event.more)]
    issue_together(jobs, by=told.people[event.who], at=event.at, key=told.key())


def on_account(told: Told, event: Event) -> None:
    """It may go home unpaid."""
    go_on_account(told.job(event.job), event.more[0], by=told.people[event.who], at=event.at, key=told.key())


def say_day(told: Told, event: Event) -> None:
    """By which day, and how sure."""
    day: date = told.days.on(event.more[0])
    promise(told.job(event.job), day, event.more[1], by=told.people[event.who], at=event.at)


def show(told: Told, event: Event) -> None:
    """Photographs the owner may see: views of the day it came in, “bench” for those of the bench."""
    wanted = set(event.more)
    for photo in of_job(told.job(event.job)):
        if not photo.owner_may_see and (photo.view in wanted if photo.purpose == "intake" else photo.purpose in wanted):
            choose_for_owner(photo, True, by=told.people[event.who], at=event.at)
