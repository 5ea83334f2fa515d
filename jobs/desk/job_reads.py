"""Everything the job page shows, as one read shape. Query budget of the page: tests/rules/routes.py."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from jobs.bench.models import BenchNote, Check, WorkSpell
from jobs.book.kinds import PARTY_ROLES, silhouette
from jobs.book.models import Accessory, Entry, Hold, Job, JobParty, Party
from jobs.book.stages import CLOSE_FROM, CLOSINGS, PLACE, Offer, Place, Stage, offers
from jobs.condition.models import ConditionLine, Finding
from jobs.custody.models import Location
from jobs.custody.reads import Seen, last_seen
from jobs.desk.estimate_reads import EstimatePart, estimate_part
from jobs.desk.history import Names, sentence
from jobs.desk.letter_reads import LetterLine, letters_part
from jobs.desk.money_reads import MoneyPart, money_part
from jobs.moves.facts import facts_of, with_facts
from jobs.papers.models import Paper
from jobs.photos.models import Photo
from jobs.tags.models import Tag
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class PartyRoles:
    """One party and everything it is on this job."""

    party: Party
    roles: str


@dataclass(frozen=True, slots=True)
class Happening:
    """One line of history: who, when, and a sentence that follows the name."""

    at: datetime
    who: str
    words: str


@dataclass(frozen=True, slots=True)
class JobPage:
    """What the templates of the job page read."""

    job: Job
    place: Place
    silhouette: str
    seen: Seen | None
    tag: Tag | None
    offers: tuple[Offer, ...]
    closings: tuple[tuple[str, str], ...]
    holds: list[Hold]
    parties: list[PartyRoles]
    accessories: list[Accessory]
    lines: list[ConditionLine]
    findings: list[Finding]
    photos: list[Photo]
    notes: list[BenchNote]
    spells: list[WorkSpell]
    checks: list[Check]
    papers: list[Paper]
    history: list[Happening]
    estimate: EstimatePart
    money: MoneyPart | None
    letters: list[LetterLine] | None


def find_job(number: str) -> Job | None:
    """A job by its number with what the gate reads. One query."""
    jobs = Job.objects.select_related("item", "item__owner", "visit", "visit__received_by", "assigned", "linked_to")
    return with_facts(jobs.filter(number=number)).first()


def job_page(job: Job, person: Person, *, shop: Profile, at: datetime) -> JobPage:
    """Gather the page of a job found by `find_job`, as far as this person may see it."""
    holds = list(job.holds.filter(lifted_at__isnull=True).select_related("laid_by").order_by("laid_at"))
    stage = Stage(job.stage)
    closed = job.closed_at is not None
    return JobPage(
        job=job,
        place=PLACE[stage],
        silhouette=silhouette(job.item.kind, job.item.size),
        seen=last_seen(job.item),
        tag=Tag.objects.filter(item=job.item_id, dead_at__isnull=True).first(),
        offers=() if closed else offers(stage, facts_of(job, [hold.kind for hold in holds], places=shop.places)),
        closings=() if closed else tuple((code, CLOSINGS[code]) for code in CLOSE_FROM.get(stage, ())),
        holds=holds,
        parties=_parties(job.roles.select_related("party").order_by("id")),
        accessories=list(job.accessories.all()),
        lines=list(job.condition_lines.select_related("photo")),
        findings=list(job.findings.select_related("by", "photo").order_by("at")),
        photos=list(Photo.objects.filter(job=job, put_aside_at__isnull=True).order_by("at", "pk")),
        notes=list(job.notes.select_related("by", "photo")),
        spells=list(job.spells.select_related("person", "line").order_by("-started_at")),
        checks=list(job.checks.select_related("by").prefetch_related("ticks").order_by("-at")),
        papers=_papers(job),
        history=_history(job),
        estimate=estimate_part(job),
        money=money_part(job, shop, at=at) if person.may(Act.SEE_MONEY) else None,
        letters=letters_part(job) if person.may(Act.SEE_LETTERS) else None,
    )


def _parties(roles: Iterable[JobParty]) -> list[PartyRoles]:
    held: dict[int, list[str]] = {}
    parties: dict[int, Party] = {}
    for role in roles:
        parties[role.party_id] = role.party
        held.setdefault(role.party_id, []).append(PARTY_ROLES[role.role])
    return [PartyRoles(party, ", ".join(held[pk])) for pk, party in parties.items()]


def _papers(job: Job) -> list[Paper]:
    papers = Paper.objects.filter(job=job)
    if job.visit_id:
        papers = papers | Paper.objects.filter(visit=job.visit_id)
    return list(papers.order_by("-position"))


def _history(job: Job, limit: int = 200) -> list[Happening]:
    entries = list(Entry.objects.filter(job=job).select_related("by").order_by("-pk")[:limit])
    people = {entry.data.get(side) for entry in entries if entry.action == "job.assigned" for side in ("from", "to")}
    places = {entry.data.get("location") for entry in entries if entry.action == "item.seen"}
    names = Names(
        people={one.pk: one.short for one in Person.objects.filter(pk__in=people - {None})} if people else {},
        places=dict(Location.objects.filter(pk__in=places - {None}).values_list("pk", "name")) if places else {},
    )
    return [
        Happening(entry.at, entry.by.short if entry.by else "The shop", sentence(entry.action, entry.data, names))
        for entry in entries
    ]
