"""An item with everything that was ever done to it. At most 26 queries, however long its history."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from jobs.bench.models import BenchNote
from jobs.book.apart import item_more
from jobs.book.corrections import OF_ITEM
from jobs.book.kinds import CORRECTED, ITEM_KINDS, silhouette
from jobs.book.models import Correction, Hold, Item, Job, JobParty, Party
from jobs.book.stages import CLOSINGS, HOLDS, PLACE, Stage
from jobs.condition.reads import FindingShown, LineShown, findings_by_job, lines_by_job
from jobs.custody.models import Sighting
from jobs.history.reads import Told, history_of_item
from jobs.papers.access import may_open
from jobs.papers.models import Paper
from jobs.photos.models import Photo
from jobs.tags.codes import grouped
from jobs.tags.models import Tag
from shop.people.models import Person
from shop.people.roles import Act

TRAIL = 12  # sightings shown
STRIP = 6  # photos of a job shown small
FACES = ("front-full", "bow-full")


@dataclass(frozen=True, slots=True)
class Named:
    """A party as the reader may see it: in full with a link, or surname only."""

    words: str
    pk: int | None  # to open its page; None for who may not
    note: str = ""


@dataclass(frozen=True, slots=True)
class Code:
    """One tag of the item, living or dead."""

    pk: int
    code: str
    at: datetime
    dead_at: datetime | None
    reason: str


@dataclass(frozen=True, slots=True)
class OnIt:
    """One job on the item, and everything that was written, found and photographed on it."""

    job: Job
    stands: str  # “On the bench”, “gone home”
    who: str
    owner: Named | None
    tapes: tuple[str, ...]
    lines: list[LineShown]
    findings: list[FindingShown]
    notes: list[BenchNote]
    photos: list[int]
    more_photos: int
    papers: list[Paper]

    @property
    def found(self) -> int:
        """How much was written down on it."""
        return len(self.lines) + len(self.findings) + len(self.notes)


@dataclass(frozen=True, slots=True)
class Righted:
    """Something that was put right: what, what it was, what it became."""

    what: str
    before: str
    after: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class ItemPage:
    """What templates/register/item.html reads."""

    item: Item
    kind: str
    silhouette: str
    face: int | None
    owner: Named | None
    before: tuple[Named, ...]
    live: Code | None
    dead: tuple[Code, ...]
    trail: list[Sighting]
    open: tuple[OnIt, ...]
    past: tuple[OnIt, ...]
    righted: list[Righted]
    told: Told
    facts: tuple[tuple[str, str, str], ...]  # code, word, value: what may be put right

    @property
    def seen(self) -> Sighting | None:
        """Where it was last seen."""
        return self.trail[0] if self.trail else None


def find_item(pk: int) -> Item | None:
    """One query."""
    return Item.objects.select_related("owner").filter(pk=pk).first()


def named(party: Party, person: Person, note: str = "") -> Named:
    """A party as this person may see it."""
    if person.may(Act.SEE_OWNER):
        return Named(party.name, party.pk, note)
    return Named(party.tag_name or "a young player", None, note)


def item_page(item: Item, person: Person, *, page: int = 1) -> ItemPage:
    """Gather the page of an item found by `find_item`, as far as this person may see it."""
    jobs = list(
        Job.objects.filter(item=item).select_related("assigned", "visit").order_by("closed_at", "-opened_at", "-pk")
    )
    ids = [job.pk for job in jobs]
    owners = _owners(ids)
    photos = _photos(item, ids)
    on_it = _on_it(jobs, owners, photos, person)
    now = item.owner
    former: dict[int, Party] = {party.pk: party for party in owners.values() if now is None or party.pk != now.pk}
    tags = [
        Code(tag.pk, grouped(tag.code), tag.at, tag.dead_at, tag.dead_reason)
        for tag in Tag.objects.filter(item=item).order_by("-pk")
    ]
    return ItemPage(
        item=item,
        kind=ITEM_KINDS[item.kind],
        silhouette=silhouette(item.kind, item.size),
        face=_face(photos),
        owner=named(now, person) if now else None,
        before=tuple(named(party, person) for party in former.values()),
        live=next((tag for tag in tags if tag.dead_at is None), None),
        dead=tuple(tag for tag in tags if tag.dead_at is not None),
        trail=list(Sighting.objects.filter(item=item).select_related("location", "by").order_by("-at", "-pk")[:TRAIL]),
        open=tuple(one for one in on_it if one.job.closed_at is None),
        past=tuple(sorted((one for one in on_it if one.job.closed_at is not None), key=_closed, reverse=True)),
        righted=righted(Correction.objects.filter(item=item).select_related("by").order_by("-pk")),
        told=history_of_item(item, jobs, page=page),
        facts=tuple((what, CORRECTED[what], getattr(item, what)) for what in OF_ITEM),
    )


def righted(corrections: Iterable[Correction]) -> list[Righted]:
    """Corrections as both pages show them. The query of `corrections` only."""
    return [
        Righted(one.get_what_display(), _value(one, one.before), _value(one, one.after), one.by.short, one.at)
        for one in corrections
    ]


def _value(one: Correction, value: str) -> str:
    return ITEM_KINDS.get(value, value) if one.what == "kind" else value or "nothing"


def _closed(one: OnIt) -> tuple[datetime, int]:
    return one.job.closed_at or one.job.opened_at, one.job.pk


def _owners(ids: Sequence[int]) -> dict[int, Party]:
    """The owner of each job, by job id. One query."""
    roles = JobParty.objects.filter(job__in=ids, role="owner").select_related("party").order_by("-pk")
    return {role.job_id: role.party for role in roles}


def _photos(item: Item, ids: Sequence[int]) -> list[Photo]:
    about = Q(item=item) | Q(job__in=ids)
    shown = Photo.objects.filter(about, sitting=None, put_aside_at=None).exclude(state="failed").order_by("pk")
    return list(shown.only("pk", "job_id", "item_id", "view", "purpose", "state"))


def _face(photos: Sequence[Photo]) -> int | None:
    whole = [photo.pk for photo in photos if photo.view in FACES and photo.purpose == "intake"]
    shown = whole or [photo.pk for photo in photos]
    return shown[-1] if shown else None


def _on_it(jobs: Sequence[Job], owners: dict[int, Party], photos: Sequence[Photo], person: Person) -> list[OnIt]:
    ids = [job.pk for job in jobs]
    lines, findings = lines_by_job(ids), findings_by_job(ids)
    notes: dict[int, list[BenchNote]] = {}
    for note in BenchNote.objects.filter(job__in=ids).select_related("by").order_by("at", "pk"):
        notes.setdefault(note.job_id, []).append(note)
    tapes: dict[int, list[str]] = {}
    for hold in Hold.objects.filter(job__in=ids, lifted_at__isnull=True).order_by("pk"):
        tapes.setdefault(hold.job_id, []).append(f"{HOLDS[hold.kind]}{f': {hold.words}' if hold.words else ''}")
    visits = {job.visit_id for job in jobs} - {None}
    papers = [
        paper
        for paper in Paper.objects.filter(Q(job__in=ids) | Q(visit__in=visits)).defer("text").order_by("position")
        if may_open(person, paper)
    ]
    shown = []
    for job in jobs:
        pictures = [photo.pk for photo in photos if photo.job_id == job.pk]
        owner = owners.get(job.pk)
        shown.append(
            OnIt(
                job=job,
                stands=CLOSINGS.get(job.closed_as, "closed") if job.closed_at else PLACE[Stage(job.stage)].name,
                who=job.assigned.short if job.assigned else "",
                owner=named(owner, person) if owner else None,
                tapes=tuple(tapes.get(job.pk, ())),
                lines=lines.get(job.pk, []),
                findings=findings.get(job.pk, []),
                notes=notes.get(job.pk, []),
                photos=pictures[:STRIP],
                more_photos=len(pictures) - STRIP if len(pictures) > STRIP else 0,
                papers=[
                    one for one in papers if one.job_id == job.pk or (one.visit_id and one.visit_id == job.visit_id)
                ],
            )
        )
    return shown


def twins(item: Item) -> list[tuple[Item, str]]:
    """Other items of the same owner with the same title, and what tells them apart. One query."""
    if item.owner_id is None:
        return []
    same = Item.objects.filter(owner=item.owner_id, title=item.title).exclude(pk=item.pk).order_by("pk")[:8]
    return [(one, item_more(one) or f"no. {one.pk} in the book") for one in same]
