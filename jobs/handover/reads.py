"""What stands on the counter together: a job, and what else of the same owner is ready."""

from collections.abc import Collection
from dataclasses import dataclass

from jobs.book.beside import Beside, open_on, still_open
from jobs.book.kinds import silhouette
from jobs.book.models import Job, JobParty, Party
from jobs.book.stages import Stage
from jobs.custody.giving import ToGive, collectors_of, things_of
from jobs.handover.steps import why_not
from jobs.papers.otherwise import named_otherwise
from shop.profile.models import Profile

MOST = 60  # more than this of one owner goes home in several goes


@dataclass(frozen=True, slots=True)
class Parcel:
    """One job on the counter: its things, the gate's reason why not, and whether it goes home in this go."""

    job: Job
    silhouette: str
    things: tuple[ToGive, ...]
    blocked: str
    goes: bool
    first: bool


def also_ready(job: Job) -> list[Job]:
    """Other open jobs of the same owner that are ready to collect, oldest number first. One query."""
    owners = JobParty.objects.filter(job=job, role="owner").values("party")
    theirs = JobParty.objects.filter(role="owner", party__in=owners).values("job")
    others = Job.objects.filter(pk__in=theirs, stage=Stage.RDY, closed_at=None).exclude(pk=job.pk)
    return list(others.select_related("item").order_by("number")[:MOST])


def parcels(job: Job, shop: Profile, *, chosen: Collection[int] | None) -> list[Parcel]:
    """The job itself first, then what else is ready. `chosen`: ids ticked to go with it; None on a fresh page, where all
    go that may. Four queries for each.
    """
    shown = []
    for one in (job, *also_ready(job)):
        blocked = why_not(one, shop)
        wanted = one.pk == job.pk or chosen is None or one.pk in chosen
        shown.append(
            Parcel(
                job=one,
                silhouette=silhouette(one.item.kind, one.item.size),
                things=things_of(one),
                blocked=blocked,
                goes=wanted and not blocked,
                first=one.pk == job.pk,
            )
        )
    return shown


def still_here(found: Collection[Parcel]) -> list[tuple[Beside, str]]:
    """Other open jobs on what is on the counter that are not handed over with it, in words. One query."""
    going = {one.job.number for one in found if not one.blocked}
    items = {one.job.item_id: one.job.item for one in found}
    named = {one.job.number for one in found if one.first}
    return [
        (one, still_open(one, items[item]))
        for item, jobs in open_on(items).items()
        for one in jobs
        if one.number not in going | named
    ]


def otherwise(found: Collection[Parcel], shop: Profile) -> list[str]:
    """What signed notes name that is not what is given back. One query for each."""
    return [words for one in found if (words := named_otherwise(one.job, shop.zone))]


def who_may_collect(found: Collection[Parcel]) -> list[Party]:
    """Who may collect any of them; the step looks whether they may collect each. One query a job."""
    parties = {party.pk: party for one in found if not one.blocked for party in collectors_of(one.job)}
    return list(parties.values())
