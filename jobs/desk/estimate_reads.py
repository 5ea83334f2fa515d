"""What the job page and the estimate page show of a job's estimates."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from jobs.book.models import Job, Party
from jobs.catalogue.models import Operation
from jobs.catalogue.reads import operations_for
from jobs.estimates.models import Estimate, Question, WithdrawnAnswer
from jobs.estimates.reads import (
    EstimateView,
    answered_words,
    estimate_view,
    fee_with_tax,
    standing_answer,
    versions,
    who_answers,
    withdrawn_answers,
)
from jobs.moves.withdrawing import why_it_stays
from jobs.papers.access import may_open
from jobs.papers.models import Paper
from jobs.updates.models import Message
from shop.clock import local
from shop.money import ZERO
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Profile
from shop.profile.reads import TaxToday, taxes_on


@dataclass(frozen=True, slots=True)
class EstimatePart:
    """The newest version; version 0 when none was ever written."""

    version: int = 0
    state: str = ""
    expires_on: date | None = None
    answered: str = ""  # which version, who and how, of the answer that stands
    agreement: Paper | None = None


@dataclass(frozen=True, slots=True)
class EstimateDesk:
    """The estimate page: the draft, or the newest version with its answer, and those before."""

    job: Job
    view: EstimateView | None
    older: tuple[Estimate, ...]
    operations: list[Operation]
    tax_classes: list[TaxToday]
    answerers: list[Party]
    questions: list[Question]
    ceilings: dict[int, Decimal]  # the most, by party
    withdrawn: list[WithdrawnAnswer]
    rests: str  # why the answer cannot be taken back, "" when it can
    fee: Decimal
    answered: str
    telling: int | None  # the letter of the newest version that waits for a hand

    @property
    def draft(self) -> EstimateView | None:
        """The version being written."""
        return self.view if self.view and self.view.estimate.state == "draft" else None

    @property
    def parts(self) -> frozenset[str]:
        """Parts of the page in which something may be typed now."""
        if self.draft is None:
            return frozenset({"answer", "ceiling", "withdraw", "renew"})
        forms = ("work", "material", "fixed", "discount", "words")
        letters = [one.option.letter for one in self.draft.options]
        return frozenset(
            {"words", "fee", "option", "send", *(f"{letter}-{form}" for letter in letters for form in forms)}
        )

    @property
    def untold(self) -> Party | None:
        """Who gets the estimate but has no e-mail: somebody tells or posts it."""
        return self.answerers[0] if self.answerers and not self.answerers[0].email else None


def estimate_part(job: Job, person: Person, shop: Profile) -> EstimatePart:
    """Two queries."""
    newest = Estimate.objects.filter(job=job).order_by("-version").first()
    if newest is None:
        return EstimatePart()
    answer = standing_answer(job)
    answered = ""
    if answer is not None:
        who = answer.name if person.may(Act.SEE_OWNER) else answer.party.tag_name if answer.party else ""
        answered = answered_words(answer, answer.estimate, shop.zone, who=who or "the owner")
    paper = answer.paper if answer is not None and answer.paper and may_open(person, answer.paper) else None
    return EstimatePart(newest.version, newest.get_state_display(), newest.expires_on, answered, paper)


def estimate_desk(job: Job, *, shop: Profile, at: datetime) -> EstimateDesk:
    """Everything of the estimate page. At most fifteen queries."""
    every = versions(job)
    today = local(at, shop.zone).date()
    view = estimate_view(every[0], shop=shop, on=today) if every else None
    drafting = bool(every) and every[0].state == "draft"
    return EstimateDesk(
        job=job,
        view=view,
        older=tuple(every[1:]),
        operations=operations_for(job.item.kind) if drafting else [],
        tax_classes=taxes_on(today) if drafting else [],
        answerers=who_answers(job),
        questions=list(Question.objects.filter(job=job, seen_at__isnull=True).select_related("party").order_by("at")),
        ceilings=_ceilings(job),
        withdrawn=withdrawn_answers(job),
        rests=why_it_stays(job, view.answer) if view and view.answer else "",
        fee=fee_with_tax(view.estimate, shop.places) if view else ZERO,
        answered=_answered(view, shop) if view else "",
        telling=_telling(job, view) if view else None,
    )


def _ceilings(job: Job) -> dict[int, Decimal]:
    held = job.roles.filter(role="approver", ceiling__isnull=False).values_list("party", "ceiling")
    owners = set(job.roles.filter(role="owner").values_list("party", flat=True))
    return {party: ceiling for party, ceiling in held if ceiling is not None and party not in owners}


def _answered(view: EstimateView, shop: Profile) -> str:
    if view.answer is None:
        return ""
    return answered_words(view.answer, view.estimate, shop.zone, options=len(view.options))


def _telling(job: Job, view: EstimateView) -> int | None:
    if not view.open:
        return None
    waiting = Message.objects.filter(job=job, kind="estimate", state="byhand").order_by("-pk")
    return waiting.values_list("pk", flat=True).first()
