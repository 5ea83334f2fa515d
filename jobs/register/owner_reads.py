"""An owner with everything that is theirs. At most 18 queries, however much it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, QuerySet

from jobs.billing.reads import OpenInvoice, open_invoices
from jobs.book.apart import item_more, more_of
from jobs.book.corrections import OF_PARTY
from jobs.book.kinds import CORRECTED, PARTY_ROLES, silhouette
from jobs.book.models import Correction, Item, Job, JobParty, Party, Visit
from jobs.book.stages import CLOSINGS, PLACE, Stage
from jobs.papers.access import may_open
from jobs.papers.models import Paper
from jobs.register.item_reads import Righted, righted
from jobs.updates.again import astray
from jobs.updates.models import Message
from shop.clock import local
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Profile

MOST = 60  # jobs, letters, papers and visits shown; the newest


@dataclass(frozen=True, slots=True)
class Theirs:
    """One item of theirs."""

    item: Item
    silhouette: str
    more: str
    open: tuple[Job, ...]


@dataclass(frozen=True, slots=True)
class Role:
    """One job and what they are on it."""

    job: Job
    roles: str
    stands: str


@dataclass(frozen=True, slots=True)
class OwnerPage:
    """What templates/register/owner.html reads."""

    party: Party
    facts: tuple[tuple[str, str, str], ...]
    exempt_over: bool  # a tax paper that has run out
    same_name: list[tuple[int, str]]
    items: tuple[Theirs, ...]
    open: tuple[Role, ...]
    past: tuple[Role, ...]
    more_past: int
    visits: list[Visit]
    owed: list[OpenInvoice] | None
    letters: list[Message] | None
    astray: list[Message]
    papers: list[Paper]
    righted: list[Righted]


def find_party(pk: int) -> Party | None:
    """One query."""
    return Party.objects.filter(pk=pk).first()


def owner_page(party: Party, person: Person, *, shop: Profile, at: datetime) -> OwnerPage:
    """Gather an owner's page, as far as this person may see it."""
    roles = list(
        JobParty.objects.filter(party=party)
        .select_related("job", "job__item")
        .order_by("-job__opened_at", "-job_id", "pk")
    )
    held: dict[int, list[str]] = {}
    jobs: dict[int, Job] = {}
    for role in roles:
        jobs[role.job_id] = role.job
        held.setdefault(role.job_id, []).append(PARTY_ROLES[role.role])
    shown = [Role(job, ", ".join(held[pk]), _stands(job)) for pk, job in jobs.items()]
    past = [one for one in shown if one.job.closed_at is not None]
    sees_letters = person.may(Act.SEE_LETTERS)
    return OwnerPage(
        party=party,
        facts=tuple((what, CORRECTED[what], getattr(party, what)) for what in OF_PARTY),
        exempt_over=_over(party.tax_exempt_until, local(at, shop.zone).date()),
        same_name=same_name(party),
        items=_items(party),
        open=tuple(one for one in shown if one.job.closed_at is None),
        past=tuple(past[:MOST]),
        more_past=max(0, len(past) - MOST),
        visits=list(_visits(party)[:MOST]),
        owed=open_invoices(party) if person.may(Act.SEE_MONEY) else None,
        letters=list(_letters(party)[:MOST]) if sees_letters else None,
        astray=list(astray(party, at=at)) if person.may(Act.SEND_AGAIN) else [],
        papers=_papers(party, list(jobs), person),
        righted=righted(Correction.objects.filter(party=party).select_related("by").order_by("-pk")),
    )


def _over(until: date | None, today: date) -> bool:
    return until is not None and until < today


def _stands(job: Job) -> str:
    return CLOSINGS.get(job.closed_as, "closed") if job.closed_at else PLACE[Stage(job.stage)].name


def same_name(party: Party) -> list[tuple[int, str]]:
    """Others of the same name, with what tells them apart. One query."""
    others = Party.objects.filter(name__iexact=party.name).exclude(pk=party.pk).order_by("pk")[:8]
    return [(one.pk, more_of(one)) for one in others]


def _items(party: Party) -> tuple[Theirs, ...]:
    """Two queries."""
    items = list(Item.objects.filter(owner=party).exclude(kind="Pt").order_by("title", "pk"))
    still: dict[int, list[Job]] = {}
    for job in Job.objects.filter(item__in=items, closed_at__isnull=True).order_by("opened_at", "pk"):
        still.setdefault(job.item_id, []).append(job)
    return tuple(
        Theirs(item, silhouette(item.kind, item.size), item_more(item), tuple(still.get(item.pk, ()))) for item in items
    )


def _visits(party: Party) -> QuerySet[Visit]:
    counted = Visit.objects.filter(depositor=party).annotate(count=Count("jobs")).select_related("received_by")
    return counted.order_by("-at", "-pk")


def _letters(party: Party) -> QuerySet[Message]:
    return Message.objects.filter(party=party).select_related("job").order_by("-made_at", "-pk")


def _papers(party: Party, jobs: Sequence[int], person: Person) -> list[Paper]:
    """Papers of the jobs they have a role in, newest first. One query."""
    about = Paper.objects.filter(job__in=jobs) | Paper.objects.filter(visit__depositor=party)
    return [one for one in about.defer("text").order_by("-position")[:MOST] if may_open(person, one)]
