"""What the job page and the estimate page show of a job's estimates."""

from dataclasses import dataclass
from datetime import date, datetime

from jobs.book.models import Job, Party
from jobs.catalogue.models import Operation
from jobs.catalogue.reads import operations_for
from jobs.estimates.models import Estimate, Question
from jobs.estimates.reads import EstimateView, estimate_view, versions, who_answers
from shop.clock import local
from shop.money import written
from shop.profile.models import Profile
from shop.profile.reads import TaxToday, taxes_on


@dataclass(frozen=True, slots=True)
class EstimatePart:
    """The newest version; version 0 when none was ever written."""

    version: int = 0
    state: str = ""
    expires_on: date | None = None


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
    read_back: str

    @property
    def draft(self) -> EstimateView | None:
        """The version being written."""
        return self.view if self.view and self.view.estimate.state == "draft" else None

    @property
    def parts(self) -> frozenset[str]:
        """Parts of the page in which something may be typed now."""
        if self.draft is None:
            return frozenset({"answer"} if self.view and self.view.open else ())
        forms = ("work", "material", "fixed", "discount", "words")
        letters = [one.option.letter for one in self.draft.options]
        return frozenset({"words", "option", "send", *(f"{letter}-{form}" for letter in letters for form in forms)})

    @property
    def untold(self) -> Party | None:
        """Who gets the estimate but has no e-mail: somebody tells or posts it."""
        return self.answerers[0] if self.answerers and not self.answerers[0].email else None


def estimate_part(job: Job) -> EstimatePart:
    """One query."""
    newest = Estimate.objects.filter(job=job).order_by("-version").first()
    if newest is None:
        return EstimatePart()
    return EstimatePart(newest.version, newest.get_state_display(), newest.expires_on)


def estimate_desk(job: Job, *, shop: Profile, at: datetime) -> EstimateDesk:
    """Everything of the estimate page. At most eight queries."""
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
        read_back=_read_back(view, shop) if view else "",
    )


def _read_back(view: EstimateView, shop: Profile) -> str:
    """What is read back on the telephone before “yes” counts."""
    first = view.recommended or view.options[0]
    what = f"option {first.option.letter}, {first.option.title}, " if len(view.options) > 1 else ""
    return f"Version {view.estimate.version}, {what}{written(first.total, shop.places)} in all."
