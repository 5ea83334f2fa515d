"""Handing over at the counter: release and going home in one transaction."""

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from jobs.billing.reads import account
from jobs.book.gate import may_move
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
    facts = replace(gather(job, places=shop.places), released=True)
    return may_move(Stage(job.stage), Stage.HOME, facts)


def hand_over(
    job_id: int,
    *,
    ticked: Collection[str],
    collector: Party,
    collector_name: str,
    identity_note: str,
    signed: Signed | None,
    by: Person,
    at: datetime,
    key: str,
) -> Release:
    """Give a job's things back: gate, ticks, identity, signature, release paper, gone home. All or nothing."""
    shop = profile()
    with transaction.atomic():
        pressed = press(key, "hand-over", at=at)
        job = Job.objects.select_for_update(of=("self",)).select_related("item").get(pk=job_id)
        no = "It has gone home already." if job.closed_at else why_not(job, shop)
        if no:
            raise Refused(no)
        made = release(
            job,
            ticked=ticked,
            collector=collector,
            collector_name=collector_name,
            identity_note=identity_note,
            signed=signed,
            money_words=money_words(job, shop, at),
            shop=shop,
            by=by,
            at=at,
        )
        move(job.pk, Stage.HOME, by=by, at=at)
        keep(pressed, release=made.pk, job=job.pk)
    return made


def money_words(job: Job, shop: Profile, at: datetime) -> str:
    """How it stands with the money, for the release: “Paid in full, invoice 2026-0031.”"""
    now = account(job, shop, on=local(at, shop.zone).date())
    if now.invoice is None:
        return "Nothing to pay."
    if now.due <= 0:
        return f"Paid in full, invoice {now.invoice.number}."
    owed = f"invoice {now.invoice.number}: {written(now.due, shop.places)} to pay."
    return f"On account, {owed}" if now.on_account else f"Not paid, {owed}"
