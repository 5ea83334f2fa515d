"""What the page behind a scanned tag shows. Thirteen queries with tag and shop; one more for five minutes after a move."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Case, F, OuterRef, QuerySet, Subquery, Value, When
from django.utils.safestring import SafeString

from jobs.bench.clocks import Standing, may_start
from jobs.bench.models import BenchNote
from jobs.bench.reads import Clocks, WorkLine, clocks_of, work_of
from jobs.bench.rest_reads import RestPart, rest_part
from jobs.book.beside import Beside, beside, still_open
from jobs.book.gate import Facts, Offer, offers
from jobs.book.kinds import silhouette
from jobs.book.models import Hold, Item, Job
from jobs.book.stages import HOLDS, PLACE, Place, Stage
from jobs.custody.models import Sighting
from jobs.custody.reads import places_by_room
from jobs.moves.facts import NEEDED, OF_JOB, facts_in, found_of
from jobs.moves.reads import by_reason, may_undo
from jobs.photos.models import Photo
from jobs.scan.symbols import symbol
from shop.people.models import Person
from shop.people.reads import names_who
from shop.people.roles import Act
from shop.prepared import Blank, Prepared
from shop.profile.models import Profile

FACES = ("front-full", "bow-full")  # views that tell one thing from another at a glance


@dataclass(frozen=True, slots=True)
class Strip:
    """Tape that lies on it."""

    pk: int
    words: str


@dataclass(frozen=True, slots=True)
class Note:
    """Something written down at the bench."""

    words: str
    photo: int | None
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class BenchPage:
    """One job in the hand."""

    job: Job
    place: Place
    owner: str
    has_it: str  # given name, "" when nobody has it
    silhouette: str
    seen: str  # where it was last seen, "" when nobody has said or it has gone home
    face: int | None  # the photo to know it by
    offers: tuple[Offer, ...]
    holds: tuple[Strip, ...]
    hold_kinds: tuple[tuple[str, str], ...]
    clocks: Clocks
    work_head: str
    agreed: str  # which version, who and how
    not_agreed: tuple[WorkLine, ...]
    undo: str  # where the reader's own last move would go back to
    no_clock: str  # why no clock may start, "" when one may
    people: list[tuple[int, str]]
    rooms: list[tuple[str, list[tuple[int, str]]]]
    notes: list[Note]
    beside: tuple[tuple[Beside, str], ...]  # other open jobs on the same item, in words
    rest: RestPart | None

    @property
    def symbol(self) -> SafeString:
        """The silhouette itself, drawn where there is no photo."""
        return symbol(self.silhouette)

    @property
    def not_now(self) -> tuple[tuple[str, tuple[Offer, ...]], ...]:
        """What the gate refuses now, under its reasons."""
        return by_reason(self.offers)

    @property
    def at_check(self) -> bool:
        """Whether the second check is what comes next."""
        return self.job.stage == Stage.CHK and self.job.closed_at is None


def find_job(number: str) -> Job | None:
    """A job by its number, with what the page reads of it. One query."""
    return _numbered.first(number)


def open_jobs(item_id: int) -> list[Job]:
    """Open jobs of an item, oldest first, with what the page reads of them. One query."""
    return _open_on(item_id)


def last_job(item: Item) -> Job | None:
    """The newest job of an item. One query."""
    return item.jobs.order_by("-opened_at", "-pk").first()


def _jobs() -> QuerySet[Job]:
    seen = Sighting.objects.filter(item=OuterRef("item")).order_by("-at", "-pk")
    return Job.objects.select_related("item", "item__owner").annotate(
        has_it=F("assigned__name"), seen=Subquery(seen.values("location__name")[:1])
    )


_numbered = Prepared(lambda number: _jobs().filter(number=number))
_open_on = Prepared(lambda item: _jobs().filter(item=item, closed_at__isnull=True).order_by("opened_at", "pk"))
_laid = Prepared(
    lambda job: (
        Hold.objects.filter(job=job, lifted_at__isnull=True)
        .order_by("laid_at", "pk")
        .values_list("pk", "kind", "words")
    )
)
_written = Prepared(
    lambda job: BenchNote.objects.filter(job=job).order_by("-at").values_list("words", "photo", "at", "by__name")[:3]
)


@Prepared
def _faces(item: Blank) -> QuerySet[Photo]:
    whole = Case(When(view__in=FACES, purpose="intake", then=Value(0)), default=Value(1))
    shown = Photo.objects.filter(item=item, put_aside_at__isnull=True, state__in=("due", "making", "made"))
    return shown.order_by(whole, "-pk")[:1]


def _facts(job: Job, clocks: Clocks, kinds: tuple[str, ...], shop: Profile, at: datetime) -> Facts:
    # only what the exits of its stage ask, and of that not what its clocks tell already: a scanned tag must open quickly
    parts = NEEDED[Stage(job.stage)] - {"clock_of", "has_spell"}
    found = found_of(job.pk, parts) if parts else {name: getattr(job, name) for name in OF_JOB}
    found |= {"clock_of": clocks.running_on(job), "has_spell": clocks.worked}
    return facts_in(found, kinds, places=shop.places, at=at, zone=shop.zone)


def bench_page(job: Job, person: Person, *, shop: Profile, at: datetime) -> BenchPage:
    """Gather the page of a job found by `find_job` or `open_jobs`. Eight queries, two more where it rests or may."""
    holds, face = _laid(job.pk), face_of(job.item)
    kinds = tuple(kind for _, kind, _ in holds)
    stage = Stage(job.stage)
    work = work_of(job)
    clocks = clocks_of(job, work, person, at=at)
    closed = job.closed_at is not None
    standing = Standing(stage, closed=closed, holds=kinds, work_agreed=bool(work.agreed), line_agreed=True)
    return BenchPage(
        job=job,
        place=PLACE[stage],
        owner=owner_words(job.item),
        has_it=(vars(job)["has_it"] or "").partition(" ")[0],
        silhouette=silhouette(job.item.kind, job.item.size),
        seen=vars(job)["seen"] or "",
        face=face.pk if face else None,
        offers=() if closed else offers(stage, _facts(job, clocks, kinds, shop, at)),
        holds=tuple(Strip(pk, f"{HOLDS[kind]}{f': {words}' if words else ''}") for pk, kind, words in holds),
        hold_kinds=tuple(HOLDS.items()),
        clocks=clocks,
        work_head="Work the owner approved" if not work.answered or work.answered.agreed else "Before it goes back",
        agreed=work.answered.words(shop.zone) if work.answered else "",
        not_agreed=work.not_agreed,
        undo=may_undo(job, person, at=at),
        no_clock=may_start(standing),
        people=names_who(Act.MOVE),
        rooms=places_by_room(),
        notes=_notes(job),
        beside=tuple((one, still_open(one, job.item)) for one in beside(job)),
        rest=rest_part(job, tuple(line.rest_words for line in work.agreed if line.rest_words), shop=shop, at=at),
    )


def _notes(job: Job) -> list[Note]:
    return [Note(words, photo, at, name.partition(" ")[0]) for words, photo, at, name in _written(job.pk)]


def owner_words(item: Item) -> str:
    """How an owner is named at the bench: body or surname, never a minor's name."""
    if item.owner is None:
        return "owner not known"
    return item.owner.tag_name or "a young player"


def face_of(item: Item) -> Photo | None:
    """The photo to know an item by: its whole front at intake, else its newest photo. One query."""
    return _faces.first(item.pk)
