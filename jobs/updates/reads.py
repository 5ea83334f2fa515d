"""Who is told, and the letters the desk sees."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet
from django.utils import timezone

from jobs.billing.models import InvoiceJob, OnAccount
from jobs.billing.reads import due_of
from jobs.book.models import Job, JobParty, Party
from jobs.estimates.reads import declined, standing_refusal
from jobs.updates.letters import About, Ready, Sender
from jobs.updates.models import Message
from jobs.updates.wording_reads import own_wordings
from shop.clock import local
from shop.money import ZERO
from shop.prepared import Blank, Prepared
from shop.profile.models import Profile
from shop.profile.reads import opening_words

SEES_MONEY = frozenset({"owner", "approver", "payer"})
TOLD_FIRST = ("owner", "approver", "payer", "depositor")


@dataclass(frozen=True, slots=True)
class Roles:
    """Parties of one job by role, read once."""

    held: tuple[tuple[str, Party], ...]

    def of(self, role: str) -> list[Party]:
        """Parties holding a role, in the order they were named."""
        return [party for held, party in self.held if held == role]

    def first(self, *roles: str) -> Party | None:
        """The first grown-up holding one of the roles, in that order."""
        return next((party for role in roles for party in self.of(role) if not party.minor), None)


def roles_of(job: Job) -> Roles:
    """One query."""
    return Roles(tuple((one.role, one.party) for one in _roles(job.pk)))


_roles = Prepared(lambda job: JobParty.objects.filter(job=job).select_related("party").order_by("id"))


@dataclass(frozen=True, slots=True)
class News:
    """A letter on a stage that was reached, whatever became of it, unless it was taken back."""

    pk: int
    kind: str
    state: str
    entry: int | None


def stage_news(job: Job) -> list[News]:
    """What the owner was or will be told of a job's stages. One query."""
    return [News(*row) for row in _news(job.pk)]


@Prepared
def _news(job: Blank) -> QuerySet[Message, tuple[int, str, str, int | None]]:
    told = Message.objects.filter(job=job, kind__startswith="stage-").exclude(state="dropped")
    return told.values_list("pk", "kind", "state", "entry")


def sender_of(shop: Profile, *, at: datetime | None = None) -> Sender:
    """The shop as its letters are signed, with its hours and the closed days soon after `at` (this moment). Two queries."""
    return Sender(
        name=shop.name,
        address=tuple(line for line in shop.address.splitlines() if line.strip()),
        telephone=shop.telephone,
        hours=opening_words(shop, local(at or timezone.now(), shop.zone).date()),
        places=shop.places,
        wordings=own_wordings(),
    )


def about(job: Job, party: Party) -> About:
    """No query when `job.item` is loaded."""
    return About("" if party.minor else party.name, job.item.kind, job.item.size, job.number)


def ready_facts(job: Job, roles: Roles, *, to: Party) -> Ready:
    """Amount due, on account or not, declined or not, who may collect, as one party may know it. At most six queries."""
    owed = due_of(job)
    elsewhere = owed is not None and _with_things_of_others(job, to)
    no = declined(job)
    refusal = standing_refusal(job) if no is not None else None
    return Ready(
        due=None if owed is None or elsewhere else max(ZERO, owed),
        elsewhere=elsewhere,
        on_account=OnAccount.objects.filter(job=job).exists(),
        declined=no is not None,
        reassembled=refusal is not None and refusal.reassemble,
        collectors=tuple(dict.fromkeys(party.name for party in roles.of("collector") if not party.minor)),
    )


def _with_things_of_others(job: Job, to: Party) -> bool:
    """Whether the invoice covers a job of whose money this party may not know. One query."""
    theirs = JobParty.objects.filter(party=to, role__in=SEES_MONEY).values("job")
    together = InvoiceJob.objects.filter(live=True, invoice__of_jobs__job=job, invoice__of_jobs__live=True)
    return together.exclude(job=job).exclude(job__in=theirs).exists()


def by_hand() -> QuerySet[Message]:
    """Letters somebody must tell or post, oldest first."""
    return _listed(Message.objects.filter(state="byhand")).order_by("made_at", "pk")


def not_sent() -> QuerySet[Message]:
    """Letters that failed or were perhaps sent, and that nobody has dealt with yet."""
    return _listed(Message.objects.filter(state__in=("failed", "perhaps"), seen_at__isnull=True)).order_by(
        "made_at", "pk"
    )


def tried_again() -> QuerySet[Message]:
    """Letters that did not go yet and will be tried again by themselves."""
    return _listed(Message.objects.filter(state__in=("due", "sending"), tries__gt=0)).order_by("due_at", "pk")


def lately_told() -> QuerySet[Message]:
    """Letters that went out or were told by hand, newest first."""
    return _listed(Message.objects.filter(state__in=("sent", "told"))).order_by("-sent_at", "-pk")


def _listed(messages: QuerySet[Message]) -> QuerySet[Message]:
    return messages.select_related("job", "job__item", "party", "paper", "seen_by")
