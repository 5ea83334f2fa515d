"""Everything the job page shows, as one read shape. Query budget of the page: tests/rules/routes.py."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from jobs.bench.clocks import hours_words, total_seconds
from jobs.bench.models import BenchNote, Check
from jobs.bench.reads import Spell, spells_on, work_of
from jobs.bench.rest_reads import RestPart, rest_part
from jobs.billing.part import MoneyPart, money_part
from jobs.book.beside import Beside, beside, still_open
from jobs.book.gate import Offer, offers
from jobs.book.kinds import PARTY_ROLES, silhouette
from jobs.book.models import Accessory, Hold, Job, JobParty, Party
from jobs.book.stages import CLOSE_FROM, CLOSINGS, HOLDS, PLACE, Place, Stage
from jobs.catalogue.models import Word
from jobs.condition.reads import FindingShown, LineShown, findings_of, lines_of
from jobs.custody.reads import Seen, last_seen, places_by_room
from jobs.desk.estimate_reads import EstimatePart, estimate_part
from jobs.desk.letter_reads import LetterLine, letters_part
from jobs.desk.refused_reads import RefusedPart, refused_part
from jobs.estimates.models import Question
from jobs.estimates.reads import how_words
from jobs.history.reads import Happening, history_of
from jobs.moves.facts import facts_of, with_facts
from jobs.moves.reads import by_reason, may_undo
from jobs.papers.access import may_open
from jobs.papers.models import Paper
from jobs.papers.otherwise import named_otherwise
from jobs.papers.reads import papers_of
from jobs.photos.models import Photo
from jobs.photos.reads import shown_with
from jobs.tags.models import Tag
from jobs.tags.reads import live_tag
from shop.people.models import Person
from shop.people.reads import names_who
from shop.people.roles import Act
from shop.prepared import Blank, Prepared
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class PartyRoles:
    """One party and everything it is on this job."""

    party: Party
    roles: str


@dataclass(frozen=True, slots=True)
class TimeOn:
    """Bench time of one piece of work: how much, and by whom."""

    words: str
    spent: str
    who: str


@dataclass(frozen=True, slots=True)
class Picture:
    """One photo and what stands under it."""

    photo: Photo
    caption: str
    elsewhere: bool = False  # it hangs on another job and belongs here too


@dataclass(frozen=True, slots=True)
class JobPage:
    """What the templates of the job page read."""

    job: Job
    place: Place
    silhouette: str
    owner: str
    seen: Seen | None
    tag: Tag | None
    offers: tuple[Offer, ...]
    undo: str  # where the reader's own last move would go back to
    closings: tuple[tuple[str, str], ...]
    may_need_nothing: bool
    rest: RestPart | None
    holds: list[Hold]
    hold_kinds: tuple[tuple[str, str], ...]
    people: list[tuple[int, str]]
    rooms: list[tuple[str, list[tuple[int, str]]]]
    parties: list[PartyRoles]
    left: list[Accessory]
    taken_home: list[Accessory]
    lines: list[LineShown]
    findings: list[FindingShown]
    photos: list[Picture]
    notes: list[BenchNote]
    time: list[TimeOn]
    running: list[Spell]
    checks: list[Check]
    papers: list[Paper]
    history: list[Happening]
    estimate: EstimatePart
    refused: RefusedPart | None
    money: MoneyPart | None
    letters: list[LetterLine] | None
    beside: tuple[tuple[Beside, str], ...]  # other open jobs on the same item, in words
    otherwise: str  # the note names another item
    questions: list[Question]  # what the owner asks, newest first

    @property
    def refused_how(self) -> str:
        """“by telephone, written down by Maris, Tue 24 Nov”."""
        if self.refused is None:
            return ""
        return how_words(self.refused.answer)

    @property
    def not_now(self) -> tuple[tuple[str, tuple[Offer, ...]], ...]:
        """What the gate refuses now, under its reasons."""
        return by_reason(self.offers)


def find_job(number: str) -> Job | None:
    """A job by its number with what the gate reads. One query."""
    return _numbered.first(number)


@Prepared
def _numbered(number: Blank) -> QuerySet[Job]:
    jobs = Job.objects.select_related("item", "item__owner", "visit", "visit__received_by", "assigned", "linked_to")
    return with_facts(jobs.filter(number=number))


def job_page(job: Job, person: Person, *, shop: Profile, at: datetime) -> JobPage:
    """Gather the page of a job found by `find_job`, as far as this person may see it. At most 32 queries."""
    holds = list(job.holds.filter(lifted_at__isnull=True).select_related("laid_by").order_by("laid_at"))
    accessories = list(job.accessories.all())
    spells = spells_on(job)
    stage, closed = Stage(job.stage), job.closed_at is not None
    lines = lines_of(job)
    return JobPage(
        job=job,
        place=PLACE[stage],
        silhouette=silhouette(job.item.kind, job.item.size),
        owner=_owner(job, person),
        seen=last_seen(job.item),
        tag=live_tag(job.item),
        offers=()
        if closed
        else offers(stage, facts_of(job, [hold.kind for hold in holds], places=shop.places, at=at, zone=shop.zone)),
        undo=may_undo(job, person, at=at),
        closings=() if closed else tuple((code, CLOSINGS[code]) for code in CLOSE_FROM.get(stage, ())),
        may_need_nothing=not closed and stage in {Stage.IN, Stage.EXA} and not vars(job)["nothing_needed"],
        rest=rest_part(job, shop=shop, at=at),
        holds=holds,
        hold_kinds=tuple(HOLDS.items()),
        people=[] if closed else names_who(Act.MOVE),
        rooms=[] if closed else places_by_room(),
        parties=_parties(job.roles.select_related("party").order_by("id")),
        left=[one for one in accessories if one.left],
        taken_home=[one for one in accessories if not one.left],
        lines=lines,
        findings=findings_of(job),
        photos=_pictures(job, lines),
        notes=list(job.notes.select_related("by")),
        time=_time(job, spells, at),
        running=[spell for spell in spells if spell.stopped_at is None],
        checks=list(job.checks.select_related("by").prefetch_related("ticks").order_by("-at")),
        papers=[paper for paper in papers_of(job) if may_open(person, paper)],
        history=history_of(job),
        estimate=estimate_part(job, person, shop),
        refused=refused_part(job, shop),
        money=money_part(job, shop, at=at) if person.may(Act.SEE_MONEY) else None,
        letters=letters_part(job) if person.may(Act.SEE_LETTERS) else None,
        beside=tuple((one, still_open(one, job.item)) for one in beside(job)),
        otherwise=named_otherwise(job, shop.zone),
        questions=list(job.questions.select_related("party", "seen_by").order_by("-at", "-pk")),
    )


def _owner(job: Job, person: Person) -> str:
    owner = job.item.owner
    if owner is None:
        return "owner not known"
    return owner.name if person.may(Act.SEE_OWNER) else owner.tag_name or "a young player"


def _parties(roles: Iterable[JobParty]) -> list[PartyRoles]:
    held: dict[int, list[str]] = {}
    parties: dict[int, Party] = {}
    for role in roles:
        parties[role.party_id] = role.party
        held.setdefault(role.party_id, []).append(PARTY_ROLES[role.role])
    return [PartyRoles(party, ", ".join(held[pk])) for pk, party in parties.items()]


def _pictures(job: Job, lines: list[LineShown]) -> list[Picture]:
    photos = list(shown_with(job))
    found = {line.photo_id: f"{line.number}. {line.term}" for line in lines if line.photo_id}
    codes = {photo.view for photo in photos if photo.view}
    words = dict(Word.objects.filter(sort="view", code__in=codes).values_list("code", "words")) if codes else {}
    return [
        Picture(
            photo,
            found.get(photo.pk) or photo.words or words.get(photo.view) or photo.view or "Photo",
            elsewhere=photo.job_id != job.pk,
        )
        for photo in photos
    ]


def _time(job: Job, spells: list[Spell], at: datetime) -> list[TimeOn]:
    planned = {line.words: line.hours for line in work_of(job).agreed}
    by_work: dict[str, list[Spell]] = {words: [] for words in planned}
    for spell in spells:
        by_work.setdefault(spell.words, []).append(spell)
    shown = []
    for words, of in by_work.items():
        seconds = total_seconds((one.started_at.timestamp(), (one.stopped_at or at).timestamp()) for one in of)
        plan = planned.get(words)
        spent = f"{hours_words(seconds)} of {plan.normalize():f} h" if plan else hours_words(seconds)
        shown.append(TimeOn(words, spent, ", ".join(dict.fromkeys(one.who for one in of))))
    return shown
