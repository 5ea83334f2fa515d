"""What stands on the counter together: a job, and what else of the same owner is ready."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from jobs.book.kinds import silhouette
from jobs.book.models import Job, JobParty, Party
from jobs.book.refusals import Stale
from jobs.book.stages import Stage
from jobs.custody.giving import ToGive, collectors_of, things_of
from jobs.handover.steps import reason_in
from jobs.moves.facts import NEEDED, facts_of, with_facts
from shop.profile.models import Profile

MOST = 60  # more than this of one owner goes home in several goes


@dataclass(frozen=True, slots=True)
class Parcel:
    """One job that is ready: its things, and the gate's reason why not. It goes home when its things are ticked."""

    job: Job
    silhouette: str
    things: tuple[ToGive, ...]
    blocked: str


def also_ready(job: Job) -> QuerySet[Job]:
    """Other open jobs of the same owner that are ready to collect. No query of its own."""
    owners = JobParty.objects.filter(job=job, role="owner").values("party")
    theirs = JobParty.objects.filter(role="owner", party__in=owners).values("job")
    return Job.objects.filter(pk__in=theirs, stage=Stage.RDY, closed_at=None).exclude(pk=job.pk)


def parcels(job: Job, shop: Profile) -> list[Parcel]:
    """The job itself first, then what else is ready, by number. Five queries, however many there are."""
    beside = list(also_ready(job).order_by("number").values_list("pk", flat=True)[:MOST])
    wanted = with_facts(Job.objects.filter(pk__in=[job.pk, *beside]), NEEDED[Stage.RDY])
    roles = Prefetch("roles", JobParty.objects.select_related("party"))
    found = list(wanted.select_related("item").prefetch_related("accessories", roles, "holds").order_by("number"))
    return [_parcel(one, shop) for one in sorted(found, key=lambda one: one.pk != job.pk)]


def _parcel(job: Job, shop: Profile) -> Parcel:
    holds = [hold.kind for hold in job.holds.all() if hold.lifted_at is None]
    facts = facts_of(job, holds, places=shop.places)
    return Parcel(job, silhouette(job.item.kind, job.item.size), things_of(job), reason_in(job, facts))


def going(shown: Sequence[Parcel], ticked: Collection[str]) -> list[int]:
    """Ids of the jobs that go home: the first, and each other of which anything is ticked.

    Raises Stale when something ticked is none of theirs any more.
    """
    keys = {thing.key for one in shown for thing in one.things}
    if not keys.issuperset(ticked):
        raise Stale("What is ready changed meanwhile. Look at the list again, then tick.")
    first, *others = shown
    return [first.job.pk, *(one.job.pk for one in others if any(thing.key in ticked for thing in one.things))]


def who_may_collect(found: Collection[Parcel]) -> list[Party]:
    """Who may collect any of them; the step looks whether they may collect each. No query."""
    parties = {party.pk: party for one in found if not one.blocked for party in collectors_of(one.job)}
    return list(parties.values())
