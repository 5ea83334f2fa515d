"""One tag unfolded: what it is, where it may hang next and why not elsewhere, its tape, who could have it."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from jobs.bench.models import WorkSpell
from jobs.bench.rest_reads import RestPart, rest_part
from jobs.board.columns import Hung, landing_key
from jobs.board.words import Day, day_line, first_sentence
from jobs.book.beside import Beside, beside, still_open
from jobs.book.gate import Facts, Offer, may_move, needs_reason, offers
from jobs.book.kinds import silhouette
from jobs.book.models import Hold, Job, JobParty
from jobs.book.said import long_day, owner_words
from jobs.book.stages import HOLDS, PLACE, PLACES, Place, Stage
from jobs.moves.facts import facts_of, with_facts
from shop.clock import local, moment_words
from shop.people.models import Person
from shop.people.roles import MAY, Act, Role
from shop.prepared import Blank, Prepared
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class Strip:
    """Tape that lies on it."""

    pk: int
    words: str
    laid: str  # “laid by Jorin, yesterday 16:40”


@dataclass(frozen=True, slots=True)
class Leaf:
    """An unfolded tag."""

    job: Job
    place: Place
    silhouette: str
    owner: str
    who: str
    day: Day
    promise: str
    offers: tuple[Offer, ...]
    strips: tuple[Strip, ...]
    kinds: tuple[tuple[str, str], ...]
    people: tuple[Person, ...]
    beside: tuple[tuple[Beside, str], ...]  # other open jobs on the same item, in words
    rest: RestPart | None

    @property
    def go(self) -> Stage | None:
        """The move a person most likely wants: the first open one that goes forward."""
        return next((offer.to for offer in self.offers if offer.open and not offer.back), None)


def find_hung(number: str, *, shop: Profile, at: datetime) -> tuple[Job, Facts, list[Hold]] | None:
    """An open job with its facts and its tape. Two queries."""
    job = _hung.first(number)
    if job is None:
        return None
    holds = list(Hold.objects.filter(job=job, lifted_at__isnull=True).select_related("laid_by").order_by("id"))
    return job, facts_of(job, [hold.kind for hold in holds], places=shop.places, at=at, zone=shop.zone), holds


@Prepared
def _hung(number: Blank) -> QuerySet[Job]:
    return with_facts(Job.objects.select_related("item", "assigned").filter(number=number, closed_at__isnull=True))


def unfold(found: tuple[Job, Facts, list[Hold]], person: Person, *, shop: Profile, at: datetime) -> Leaf:
    """The unfolded tag of a found job. At most seven queries."""
    job, facts, holds = found
    stage, today = Stage(job.stage), local(at, shop.zone).date()
    since = local(job.stage_since, shop.zone).date()
    return Leaf(
        job=job,
        place=PLACE[stage],
        silhouette=silhouette(job.item.kind, job.item.size),
        owner=_owner(job),
        who=_who(job),
        day=day_line(stage, promised=job.promised, sureness=job.sureness, since=since, today=today),
        promise=f"{long_day(job.promised)}{f', {job.sureness}' if job.sureness else ''}" if job.promised else "",
        offers=offers(stage, facts),
        strips=tuple(
            Strip(
                hold.pk,
                f"{HOLDS[hold.kind]}{f': {hold.words}' if hold.words else ''}",
                f"laid by {hold.laid_by.short if hold.laid_by else 'the shop'}, "
                f"{moment_words(hold.laid_at, shop.zone, now=at)}",
            )
            for hold in holds
        ),
        kinds=tuple(HOLDS.items()),
        people=tuple(who_may_have()) if person.may(Act.ASSIGN) else (),
        beside=tuple((one, still_open(one, job.item)) for one in beside(job)),
        rest=rest_part(job, shop=shop, at=at),
    )


def who_may_have() -> list[Person]:
    """People a job can be given to: the benches and the desk. One query."""
    roles = MAY[Act.WORK] | {Role.DESK}
    return list(Person.objects.filter(is_active=True, role__in=roles).order_by("name"))


def _owner(job: Job) -> str:
    """In full: there is room. One query."""
    if job.kind == "internal":
        return "our own"
    role = JobParty.objects.filter(job=job, role="owner").select_related("party").order_by("id").first()
    if role is None:
        return owner_words("", body=False, minor=False)
    if role.party.minor:
        return owner_words(role.party.name, body=False, minor=True)
    return f"{role.party.name}, {job.item.asset}" if job.item.asset else role.party.name


def _who(job: Job) -> str:
    running = WorkSpell.objects.filter(job=job, stopped_at__isnull=True).select_related("person").first()
    if running is not None:
        return f"{running.person.short} has it, the clock runs"
    return f"{job.assigned.short} has it" if job.assigned else "Nobody has it"


@dataclass(frozen=True, slots=True)
class Cord:
    """What a cord says while a tag is in hand."""

    open: bool
    back: bool
    reason: str
    brief: str
    key: str


def cords_for(job: Job, facts: Facts, *, shop: Profile, at: datetime) -> dict[str, Cord]:
    """What each of the ten cords says to this job: the gate's own answers. No query."""
    stage, today = Stage(job.stage), local(at, shop.zone).date()
    hung = Hung(job.number, stage, job.item.title, "", local(job.stage_since, shop.zone).date(), promised=job.promised)
    said = {}
    for place in PLACES:
        reason = may_move(stage, place.code, facts)
        back = needs_reason(stage, place.code)
        said[place.code.value] = Cord(
            open=not reason,
            back=back,
            reason=reason,
            brief=first_sentence(reason) if reason else "say why it goes back" if back else "",
            key=landing_key(hung, place.code, today),
        )
    return said
