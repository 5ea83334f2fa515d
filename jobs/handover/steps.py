"""Handing over at the counter: release and going home in one transaction."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from jobs.billing.reads import account
from jobs.book.gate import Facts, may_move
from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.book.steps import keep, press
from jobs.custody.giving import release
from jobs.custody.models import Release
from jobs.moves.facts import gather
from jobs.moves.steps import move
from jobs.papers.texts import Signed
from shop.clock import local
from shop.money import written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile


def why_not(job: Job, shop: Profile) -> str:
    """The gate's reason why it cannot go home yet, leaving the release itself aside. "" when it can."""
    return reason_in(job, gather(job, places=shop.places))


def reason_in(job: Job, facts: Facts) -> str:
    """The same from facts at hand. No query."""
    return may_move(Stage(job.stage), Stage.HOME, replace(facts, released=True))


def hand_over(
    job_ids: Sequence[int],
    *,
    ticked: Collection[str],
    collector: Party,
    collector_name: str,
    identity_note: str,
    signed: Signed | None,
    by: Person,
    at: datetime,
    key: str,
) -> tuple[Release, ...]:
    """Give the things of one job, or of several of one owner, back: gates, ticks, identity, signature, one release paper,
    gone home. All or nothing.
    """
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "hand-over", at=at)
        jobs = list(Job.objects.select_for_update(no_key=True).filter(pk__in=job_ids).order_by("pk"))
        if not jobs:
            raise Refused("Choose what goes home.")
        if len(jobs) > 1 and not _one_owner(jobs):
            raise Refused("They are of different owners. Hand them over one by one, each on its own paper.")
        for job in jobs:
            no = "It has gone home already." if job.closed_at else why_not(job, shop)
            if no:
                raise Refused(f"{job.number}: {no}" if len(jobs) > 1 else no)
        made = release(
            jobs,
            ticked=ticked,
            collector=collector,
            collector_name=collector_name,
            identity_note=identity_note,
            signed=signed,
            money_words=all_money_words(jobs, shop, at),
            shop=shop,
            by=by,
            at=at,
        )
        for job in jobs:
            move(job.pk, Stage.HOME, by=by, at=at)
        keep(pressed, releases=[one.pk for one in made], jobs=[job.pk for job in jobs])
    return made


def _one_owner(jobs: Sequence[Job]) -> bool:
    owners = [set(job.roles.filter(role="owner").values_list("party", flat=True)) for job in jobs]
    return bool(set.intersection(*owners))


def all_money_words(jobs: Sequence[Job], shop: Profile, at: datetime) -> str:
    """How it stands with the money of several jobs: one sentence where it is the same for all of them."""
    said = {job.number: money_words(job, shop, at) for job in jobs}
    if len(set(said.values())) == 1:
        return next(iter(said.values()))
    return " ".join(f"{number}: {words}" for number, words in said.items())


def money_words(job: Job, shop: Profile, at: datetime) -> str:
    """How it stands with the money, for the release: “Paid in full, invoice 2026-0031.”"""
    now = account(job, shop, on=local(at, shop.zone).date())
    if now.invoice is None:
        return "Nothing to pay."
    if now.due <= 0:
        return f"Paid in full, invoice {now.invoice.number}."
    owed = f"invoice {now.invoice.number}: {written(now.due, shop.places)} to pay."
    return f"On account, {owed}" if now.on_account else f"Not paid, {owed}"
