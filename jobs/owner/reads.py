"""What an owner sees by a link: of its own job only, in words for owners."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet

from jobs.billing.reads import deposit_held
from jobs.book.kinds import silhouette
from jobs.book.models import Job, JobParty, Party
from jobs.book.stages import Stage
from jobs.estimates.models import Question, WithdrawnAnswer
from jobs.estimates.paper_text import ready_words
from jobs.estimates.reads import (
    MAY_ANSWER,
    EstimateView,
    OptionView,
    answered_words,
    declined,
    estimate_view,
    fee_with_tax,
    newest_sent,
    standing_refusal,
)
from jobs.links.models import Link
from jobs.owner.path import Situation, Step, day_of, sentences, step_line, step_words
from jobs.owner.scale import Bar, Mark, scale
from jobs.papers.models import Paper
from jobs.papers.reads import shared_with
from jobs.photos.models import Photo
from jobs.photos.reads import for_owner
from jobs.updates.days import ready_range
from jobs.updates.letters import Ready, thing
from jobs.updates.reads import SEES_MONEY, ready_facts, roles_of
from shop.clock import day_words, days_words, last_day, local
from shop.money import written
from shop.profile.models import Profile

_MONEY = ("agreement", "estimate", "invoice", "credit", "receipt")
_TAKEN = {"intake": "On arrival", "line": "On arrival", "bench": "From the bench", "check": "At the last look"}


@dataclass(frozen=True, slots=True)
class Picture:
    """A chosen photo. Its caption is ours: what staff wrote beside it stays inside."""

    photo: Photo
    caption: str


@dataclass(frozen=True, slots=True)
class PaperLine:
    """A paper the owner may have."""

    paper: Paper
    words: str


@dataclass(frozen=True, slots=True)
class OwnerPage:
    """What templates/owner/page.html reads."""

    job: Job
    thing: str
    silhouette: str
    state: str
    then: str
    steps: tuple[Step, ...]
    step_words: str
    days: str
    late: bool
    estimate: EstimateView | None
    answerable: bool
    until: str
    ready: Ready | None
    pictures: tuple[Picture, ...]
    papers: tuple[PaperLine, ...]
    questions: tuple[Question, ...]


@dataclass(frozen=True, slots=True)
class OptionShown:
    """One option with its days in words and as a bar on the common scale."""

    sums: OptionView
    ready: str
    bar: Bar | None


@dataclass(frozen=True, slots=True)
class EstimatePage:
    """What templates/owner/estimate*.html read."""

    job: Job
    thing: str
    silhouette: str
    view: EstimateView
    options: tuple[OptionShown, ...]
    marks: tuple[Mark, ...]
    answerable: bool
    until: str
    sent: str
    answered: str  # which version, who, how
    fee: Decimal  # for the examination, with tax, if the work does not go ahead

    def option(self, letter: str) -> OptionShown | None:
        """An option by its letter."""
        return next((one for one in self.options if one.sums.option.letter == letter), None)

    @property
    def agreed(self) -> OptionShown | None:
        """The option that was agreed to."""
        agreed = self.view.agreed
        return None if agreed is None else self.option(agreed.option.letter)


def my_roles(link: Link) -> frozenset[str]:
    """What the holder of a link is on its job; nothing when taken off it since. One query."""
    return frozenset(JobParty.objects.filter(job=link.job_id, party=link.party_id).values_list("role", flat=True))


def may_answer(party: Party, roles: frozenset[str]) -> bool:
    """Whether this party may agree to spending."""
    return not party.minor and bool(roles & set(MAY_ANSWER))


def owner_page(link: Link, *, shop: Profile, at: datetime) -> OwnerPage:
    """Gather the page of a link. Query budget: tests/rules/routes.py."""
    job, today = link.job, local(at, shop.zone).date()
    roles, stage = my_roles(link), Stage(job.stage)
    view = _estimate(job, shop, at) if roles & SEES_MONEY else None
    answerable = view is not None and view.open and may_answer(link.party, roles)
    situation = _situation(job, view, answerable, shop=shop)
    state, then = sentences(situation)
    shown = day_of(job.promised, today, stage)
    days = (
        days_words(*ready_range(job.promised, job.sureness), today=today) if job.promised and shown == "range" else ""
    )
    return OwnerPage(
        job=job,
        thing=thing(job.item.kind, job.item.size),
        silhouette=silhouette(job.item.kind, job.item.size),
        state=state,
        then=then,
        steps=() if situation.declined else step_line(stage),
        step_words=step_words(stage),
        days=days,
        late=shown == "late",
        estimate=view,
        answerable=answerable,
        until=_until(view),
        ready=ready_facts(job, roles_of(job), to=link.party) if stage is Stage.RDY and roles & SEES_MONEY else None,
        pictures=tuple(
            _picture(photo, shop) for photo in for_owner(job).filter(state="made").order_by("-at", "-pk")[:24]
        ),
        papers=tuple(PaperLine(paper, _paper_words(paper)) for paper in papers_for(link, roles)),
        questions=tuple(Question.objects.filter(job=job, party=link.party).order_by("-at")[:10]),
    )


def _situation(job: Job, view: EstimateView | None, answerable: bool, *, shop: Profile) -> Situation:
    free = last_day(local(job.closed_at, shop.zone).date(), shop.settling_days) if job.closed_at else None
    stage = Stage(job.stage)
    due = ""
    if stage is Stage.ANS and view is not None and view.agreed is not None and view.agreed.deposit:
        left = view.agreed.deposit - deposit_held(job)
        due = written(left, shop.places) if left > 0 else ""
    no = declined(job) is not None
    refusal = standing_refusal(job) if no else None
    return Situation(
        stage=stage,
        closed_as=job.closed_as,
        holds=tuple(job.holds.filter(lifted_at__isnull=True).values_list("kind", flat=True)),
        answerable=answerable,
        ran_out=view is not None and view.expired,
        declined=no,
        reassemble=refusal is not None and refusal.reassemble,
        deposit_due=due,
        free_until=days_words(free) if free else "",
    )


def _answered(view: EstimateView, shop: Profile) -> str:
    if view.answer is None:
        return ""
    return answered_words(view.answer, view.estimate, shop.zone, options=len(view.options))


def _estimate(job: Job, shop: Profile, at: datetime) -> EstimateView | None:
    newest = newest_sent(job)
    return None if newest is None else estimate_view(newest, shop=shop, on=local(at, shop.zone).date())


def _until(view: EstimateView | None) -> str:
    return days_words(view.estimate.expires_on) if view is not None and view.estimate.expires_on else ""


def _picture(photo: Photo, shop: Profile) -> Picture:
    return Picture(photo, f"{_TAKEN[photo.purpose]}, {day_words(local(photo.at, shop.zone).date())}")


def papers_for(link: Link, roles: frozenset[str]) -> list[Paper]:
    """Papers of the link's job that its holder may have, newest first. At most three queries.

    A note covers the whole visit: it is for whoever brought everything in, or has a part in every job of it.
    """
    job = link.job
    wanted = Q(pk__in=[])
    if roles & SEES_MONEY:
        wanted |= Q(job=job, kind__in=_MONEY) | Q(pk__in=_shared(link), kind__in=_MONEY)
    if job.visit_id and _note_is_theirs(link):
        wanted |= Q(visit=job.visit_id, kind="note")
    # an agreement that was our mistake is no paper of theirs
    wrong = WithdrawnAnswer.objects.filter(estimate__job=job, paper__kind="agreement").values("paper")
    return list(Paper.objects.filter(wanted).exclude(pk__in=wrong).order_by("-position"))


def _shared(link: Link) -> QuerySet[Any, int]:
    """Papers over several jobs, for whoever may see the money of every one of them."""
    theirs = JobParty.objects.filter(party=link.party_id, role__in=SEES_MONEY).values("job")
    strange = Paper.also.through.objects.exclude(job__in=theirs).values("paper")
    return shared_with(link.job).exclude(paper__in=strange)


def _note_is_theirs(link: Link) -> bool:
    visit = link.job.visit
    if visit is None:
        return False
    if visit.depositor_id == link.party_id:
        return True
    return not visit.jobs.exclude(roles__party=link.party_id).exists()


def _paper_words(paper: Paper) -> str:
    return f"{paper.get_kind_display().capitalize()} {paper.number}"


def estimate_page(link: Link, *, shop: Profile, at: datetime) -> EstimatePage | None:
    """The newest estimate of a link's job, None before one is sent or for whoever has no say in money."""
    roles = my_roles(link)
    view = _estimate(link.job, shop, at) if roles & SEES_MONEY else None
    if view is None:
        return None
    today = local(at, shop.zone).date()
    drawn = scale([(one.option.ready_from, one.option.ready_to) for one in view.options], today=today)
    options = tuple(
        OptionShown(one, ready_words(one.option.ready_from, one.option.ready_to, today=today), bar)
        for one, bar in zip(view.options, drawn.bars if drawn else [None] * len(view.options), strict=True)
    )
    item = link.job.item
    return EstimatePage(
        job=link.job,
        thing=thing(item.kind, item.size),
        silhouette=silhouette(item.kind, item.size),
        view=view,
        options=options,
        marks=drawn.marks if drawn else (),
        answerable=view.open and may_answer(link.party, roles),
        until=_until(view),
        sent=days_words(local(view.estimate.sent_at, shop.zone).date(), today=today) if view.estimate.sent_at else "",
        answered=_answered(view, shop),
        fee=fee_with_tax(view.estimate, shop.places),
    )
