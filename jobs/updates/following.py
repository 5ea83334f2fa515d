"""Letters that follow from what happened: one row for each action, from its entry to who is told what."""

from collections.abc import Callable, Iterable
from datetime import timedelta
from decimal import Decimal

from django.conf import settings

from jobs.billing.models import CreditNote, Invoice
from jobs.book.models import Entry, Job, Party
from jobs.book.stages import PLACE, Stage
from jobs.estimates.models import Answer, Estimate
from jobs.estimates.reads import declined, fee_with_tax, how_words
from jobs.links.models import Link
from jobs.papers.models import Paper
from jobs.updates import letters
from jobs.updates.days import ready_range
from jobs.updates.reads import TOLD_FIRST, News, about, ready_facts, roles_of, sender_of, stage_news
from jobs.updates.steps import drop_letters_of, drop_overtaken, write_letter
from shop.clock import days_words, last_day, local
from shop.prepared import Prepared
from shop.profile.models import Profile
from shop.profile.reads import profile

SAID_ONCE = frozenset({Stage.BEN})  # “work has begun” is news once


def follow_updates(entry: Entry) -> None:
    """Store the letters an entry asks for."""
    _LETTERS[entry.action](entry)


def _job(entry: Entry) -> Job | None:
    """The job of an entry, unless it is the shop's own and nobody is to be told."""
    if entry.job_id is None:
        return None
    job = _with_item(entry.job_id)[0]
    return None if job.kind == "internal" else job


_with_item = Prepared(lambda job: Job.objects.select_related("item").filter(pk=job))


def _note(entry: Entry) -> None:
    """The depositor's copy, at once: it is the evidence against the shop itself."""
    visit = entry.visit
    if visit is None or visit.depositor is None:
        return
    jobs = list(Job.objects.filter(visit=visit).select_related("item").order_by("number"))
    paper = Paper.objects.filter(kind="note", visit=visit).order_by("-position").first()
    if not jobs or paper is None:
        return
    to, shop = visit.depositor, profile()
    alone = jobs[0] if len(jobs) == 1 else None
    linked = alone is not None and to in (roles_of(alone).of("owner") + roles_of(alone).of("approver"))
    things = [f"your {letters.thing(job.item.kind, job.item.size)} ({job.number})" for job in jobs]
    letter = letters.note(about(jobs[0], to), sender_of(shop), things=things, linked=linked)
    write_letter(letter, party=to, job=alone or jobs[0], entry=entry, due_at=entry.at, paper=paper)


def _moved(entry: Entry) -> None:
    job, to = _job(entry), Stage(entry.data["to"])
    if job is None or not PLACE[to].tells:
        return
    roles = roles_of(job)
    party = roles.first(*TOLD_FIRST)
    if party is None:
        return
    news = stage_news(job)
    if _said_already(entry, job, to, news):
        return
    shop = profile()
    who, sender = about(job, party), sender_of(shop, at=entry.at)
    paper = None
    if to is Stage.RDY:
        letter = letters.ready(who, sender, ready_facts(job, roles, to=party))
        paper = _fee_paper(job, party)
    else:
        free = last_day(local(entry.at, shop.zone).date(), shop.settling_days)
        letter = letters.stage(to, who, sender, days=_days(job, shop, entry), free_until=days_words(free))
    drop_overtaken(news, before=entry, at=entry.at)
    due_at = entry.at + timedelta(seconds=settings.LETTER_GRACE)
    write_letter(letter, party=party, job=job, entry=entry, due_at=due_at, paper=paper)


def _fee_paper(job: Job, party: Party) -> Paper | None:
    """The invoice of the fee: whoever declined hears of it with the letter that it is ready, not by one of its own."""
    if declined(job) is None:
        return None
    made = Invoice.objects.filter(jobs=job, payer=party).select_related("paper").order_by("-pk").first()
    return made.paper if made is not None else None


def _said_already(entry: Entry, job: Job, to: Stage, news: Iterable[News]) -> bool:
    if to is not Stage.RDY and entry.data["from"] != Stage.EXP and declined(job) is not None:
        return True  # one letter after the refusal and one when it is ready are enough
    if to in SAID_ONCE:
        return any(one.kind == f"stage-{to}" for one in news)
    if to is not Stage.QUE:
        return False
    # what was agreed by signing the note stands on the depositor's copy of it
    if entry.data["from"] == Stage.IN and Answer.objects.filter(estimate__job=job, paper__kind="note").exists():
        return True
    # the letter on what was agreed at that moment says already that it is in line
    return Entry.objects.filter(job=job, action="estimate.approved", at=entry.at).exists()


def _days(job: Job, shop: Profile, entry: Entry) -> str:
    today = local(entry.at, shop.zone).date()
    if job.promised is None or job.promised < today:
        return ""
    return days_words(*ready_range(job.promised, job.sureness), today=today)


def _estimate(entry: Entry) -> None:
    job = _job(entry)
    estimate = Estimate.objects.get(pk=entry.data["estimate"])
    if job is None or estimate.expires_on is None:
        return
    party = Party.objects.filter(pk=entry.data["party"]).first()
    if party is None:
        return
    letter = letters.estimate(
        about(job, party),
        sender_of(profile()),
        options=estimate.options.count(),
        until=days_words(estimate.expires_on),
        version=estimate.version,
    )
    write_letter(letter, party=party, job=job, entry=entry, due_at=entry.at)


def _agreed(entry: Entry) -> None:
    job = _job(entry)
    every = Answer.objects.select_related("option", "estimate", "party", "person", "paper")
    answer = every.filter(pk=entry.data["answer"]).first()
    if job is None or answer is None or answer.party is None or answer.option is None:
        return
    if answer.paper is not None and answer.paper.kind == "note":
        return  # the copy of the signed note says it
    shop, option = profile(), answer.option
    today = local(entry.at, shop.zone).date()
    days = days_words(option.ready_from, option.ready_to, today=today) if option.ready_from else ""
    letter = letters.agreed(
        about(job, answer.party),
        sender_of(shop),
        option=f"{option.letter}, {option.title}," if answer.estimate.options.count() > 1 else "",
        version=answer.estimate.version,
        total=Decimal(entry.data["total"]),
        deposit=Decimal(entry.data["deposit"]),
        days=days,
        how="" if answer.how == "link" else how_words(answer),
        going=Stage(job.stage) not in {Stage.EXA, Stage.ANS, Stage.QUE},
    )
    write_letter(letter, party=answer.party, job=job, entry=entry, due_at=entry.at, paper=answer.paper)


def _declined(entry: Entry) -> None:
    job = _job(entry)
    answer = Answer.objects.select_related("estimate", "party").filter(pk=entry.data["answer"]).first()
    if job is None or answer is None or answer.party is None:
        return
    shop = profile()
    fee = fee_with_tax(answer.estimate, shop.places)
    letter = letters.declined(about(job, answer.party), sender_of(shop), version=answer.estimate.version, fee=fee)
    write_letter(letter, party=answer.party, job=job, entry=entry, due_at=entry.at)


def _withdrawn(entry: Entry) -> None:
    """A letter nobody was told yet is dropped; one that went out is put right by another."""
    job, party = _job(entry), Party.objects.filter(pk=entry.data["party"]).first()
    first = Entry.objects.filter(
        job=entry.job_id, action__in=("estimate.approved", "estimate.declined"), data__answer=entry.data["answer"]
    ).first()
    if job is None or party is None or first is None:
        return
    # nor is anybody told any more that it is in line, or ready
    drop_overtaken(stage_news(job), before=entry, at=entry.at)
    if drop_letters_of(first, at=entry.at):
        return
    letter = letters.taken_back(
        about(job, party), sender_of(profile()), version=entry.data["version"], agreed=entry.data["approved"]
    )
    write_letter(letter, party=party, job=job, entry=entry, due_at=entry.at)


def _invoice(entry: Entry) -> None:
    job = _job(entry)
    invoice = Invoice.objects.select_related("payer", "paper").get(pk=entry.data["invoice"])
    jobs = list(invoice.jobs.select_related("item").order_by("number"))
    if job is None or (jobs and job != jobs[0]):
        return  # one letter for one invoice, though each of its jobs has the entry
    if declined(job) is not None and invoice.payer == roles_of(job).first(*TOLD_FIRST):
        return  # it goes with the letter that it is ready
    letter = letters.invoice(
        about(job, invoice.payer),
        sender_of(profile()),
        number=invoice.number,
        balance=invoice.balance,
        things=[f"your {letters.thing(one.item.kind, one.item.size)} ({one.number})" for one in jobs if len(jobs) > 1],
    )
    write_letter(letter, party=invoice.payer, job=job, entry=entry, due_at=entry.at, paper=invoice.paper)


def _credited(entry: Entry) -> None:
    job = _job(entry)
    credit = CreditNote.objects.select_related("invoice__payer", "paper").get(pk=entry.data["credit"])
    invoice = credit.invoice
    if job is None or job != invoice.jobs.order_by("number").first():
        return  # one letter, as for the invoice
    letter = letters.credit(
        about(job, invoice.payer),
        sender_of(profile()),
        number=credit.number,
        of=invoice.number,
        back=credit.gross,
        left=Decimal(entry.data["now"]),
        anew=credit.anew,
    )
    write_letter(letter, party=invoice.payer, job=job, entry=entry, due_at=entry.at, paper=credit.paper)


def _fresh_link(entry: Entry) -> None:
    job = _job(entry)
    link = Link.objects.select_related("party").filter(pk=entry.data["link"]).first()
    if job is not None and link is not None:
        letter = letters.fresh_link(about(job, link.party), sender_of(profile()))
        write_letter(letter, party=link.party, job=job, entry=entry, due_at=entry.at)


_LETTERS: dict[str, Callable[[Entry], None]] = {
    "note.sealed": _note,
    "job.moved": _moved,
    "estimate.sent": _estimate,
    "estimate.approved": _agreed,
    "estimate.declined": _declined,
    "answer.withdrawn": _withdrawn,
    "invoice.issued": _invoice,
    "invoice.credited": _credited,
    "link.asked": _fresh_link,
}
TELLS_ON = frozenset(_LETTERS)
