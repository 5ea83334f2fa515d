"""What stands on the counter together: a job, and what else of the same owner is ready."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from jobs.book.kinds import silhouette
from jobs.book.models import Job, JobParty, Party
from jobs.book.refusals import Stale
from jobs.book.stages import Stage
from jobs.custody.giving import ToGive, collectors_of, things_of
from jobs.handover.steps import why_not
from shop.profile.models import Profile

MOST = 60  # more than this of one owner goes home in several goes


@dataclass(frozen=True, slots=True)
class Parcel:
    """One job that is ready: its things, and the gate's reason why not. It goes home when its things are ticked."""

    job: Job
    silhouette: str
    things: tuple[ToGive, ...]
    blocked: str


def also_ready(job: Job) -> list[Job]:
    """Other open jobs of the same owner that are ready to collect, oldest number first. One query."""
    owners = JobParty.objects.filter(job=job, role="owner").values("party")
    theirs = JobParty.objects.filter(role="owner", party__in=owners).values("job")
    others = Job.objects.filter(pk__in=theirs, stage=Stage.RDY, closed_at=None).exclude(pk=job.pk)
    return list(others.select_related("item").order_by("number")[:MOST])


def parcels(job: Job, shop: Profile) -> list[Parcel]:
    """The job itself first, then what else is ready. Four queries for each."""
    return [
        Parcel(one, silhouette(one.item.kind, one.item.size), things_of(one), why_not(one, shop))
        for one in (job, *also_ready(job))
    ]


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
    """Who may collect any of them; the step looks whether they may collect each. One query a job."""
    parties = {party.pk: party for one in found if not one.blocked for party in collectors_of(one.job)}
    return list(parties.values())
