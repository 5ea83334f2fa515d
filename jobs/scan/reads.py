"""What the page behind a scanned tag shows. Query budget of the page: ten, and one to read the tag."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Case, QuerySet, Value, When

from jobs.bench.clocks import Standing, may_start
from jobs.bench.models import BenchNote
from jobs.bench.reads import Clocks, WorkLine, clocks_of, work_of
from jobs.book.kinds import silhouette
from jobs.book.models import Hold, Item, Job
from jobs.book.stages import HOLDS, PLACE, Offer, Place, Stage, offers
from jobs.custody.models import Location
from jobs.custody.reads import Seen, last_seen, locations
from jobs.moves.facts import facts_of, with_facts
from jobs.moves.reads import may_undo, with_last_entry
from jobs.photos.models import Photo
from shop.people.models import Person
from shop.people.reads import people_who
from shop.people.roles import Act
from shop.profile.models import Profile

FACES = ("front-full", "bow-full")  # views that tell one thing from another at a glance


@dataclass(frozen=True, slots=True)
class BenchPage:
    """One job in the hand."""

    job: Job
    place: Place
    owner: str
    silhouette: str
    seen: Seen | None
    face: Photo | None
    offers: tuple[Offer, ...]
    holds: list[Hold]
    hold_kinds: tuple[tuple[str, str], ...]
    clocks: Clocks
    not_agreed: tuple[WorkLine, ...]
    undo: str  # where the reader's own last move would go back to
    no_clock: str  # why no clock may start, "" when one may
    people: list[Person]
    locations: list[Location]
    notes: list[BenchNote]

    @property
    def at_check(self) -> bool:
        """Whether the second check is what comes next."""
        return self.job.stage == Stage.CHK and self.job.closed_at is None


def find_job(number: str) -> Job | None:
    """A job by its number, with what the gate reads. One query."""
    return _jobs().filter(number=number).first()


def open_jobs(item: Item) -> list[Job]:
    """Open jobs of an item, oldest first, with what the gate reads. One query."""
    return list(_jobs().filter(item=item, closed_at__isnull=True).order_by("opened_at", "pk"))


def last_job(item: Item) -> Job | None:
    """The newest job of an item. One query."""
    return item.jobs.order_by("-opened_at", "-pk").first()


def _jobs() -> QuerySet[Job]:
    return with_last_entry(with_facts(Job.objects.select_related("item", "item__owner", "assigned")))


def bench_page(job: Job, person: Person, *, shop: Profile, at: datetime) -> BenchPage:
    """Gather the page of a job found by `find_job` or `open_jobs`. Eight queries."""
    holds = list(job.holds.filter(lifted_at__isnull=True).order_by("laid_at"))
    kinds = tuple(hold.kind for hold in holds)
    stage = Stage(job.stage)
    work = work_of(job)
    closed = job.closed_at is not None
    standing = Standing(stage, closed=closed, holds=kinds, work_agreed=bool(work.agreed), line_agreed=True)
    return BenchPage(
        job=job,
        place=PLACE[stage],
        owner=owner_words(job.item),
        silhouette=silhouette(job.item.kind, job.item.size),
        seen=last_seen(job.item),
        face=face_of(job.item),
        offers=() if closed else offers(stage, facts_of(job, kinds, places=shop.places)),
        holds=holds,
        hold_kinds=tuple(HOLDS.items()),
        clocks=clocks_of(job, work, person, at=at),
        not_agreed=work.not_agreed,
        undo=may_undo(job, person, at=at),
        no_clock=may_start(standing),
        people=people_who(Act.MOVE),
        locations=locations(),
        notes=list(job.notes.select_related("by", "photo")[:3]),
    )


def owner_words(item: Item) -> str:
    """How an owner is named at the bench: body or surname, never a minor's name."""
    if item.owner is None:
        return "owner not known"
    return item.owner.tag_name or "a young player"


def face_of(item: Item) -> Photo | None:
    """The photo to know an item by: its whole front at intake, else its newest photo. One query."""
    whole = Case(When(view__in=FACES, then=Value(0)), default=Value(1))
    intake = Case(When(purpose="intake", then=Value(0)), default=Value(1))
    shown = Photo.objects.filter(item=item, put_aside_at__isnull=True).exclude(large="")
    return shown.order_by(whole, intake, "-at", "-pk").first()
