"""Estimates as pages and papers read them."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Count, F

from jobs.book.models import Job, Party
from jobs.estimates import amounts
from jobs.estimates.agreed_words import agreed_to, how_it_came
from jobs.estimates.models import Answer, Estimate, Line, Option, Question, Refusal, Said, WithdrawnAnswer
from shop.clock import day_words, local
from shop.money import Taxed
from shop.profile.models import Profile

MAY_ANSWER = ("approver", "owner")


@dataclass(frozen=True, slots=True)
class OptionView:
    """One option with its lines added up. The deposit of a draft follows the shop's rule, later the one that was sent."""

    option: Option
    lines: tuple[Line, ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal

    @property
    def balance(self) -> Decimal:
        """What is left to pay after the deposit."""
        return amounts.balance(self.total, self.deposit)

    @property
    def gets(self) -> tuple[str, ...]:
        """What the owner gets: as written, else the lines of work."""
        return said(self.option.gets) or tuple(line.words for line in self.lines if line.discount is None)

    @property
    def left(self) -> tuple[str, ...]:
        """What is left as it is."""
        return said(self.option.left)


@dataclass(frozen=True, slots=True)
class EstimateView:
    """One version, its options and its answer."""

    estimate: Estimate
    options: tuple[OptionView, ...]
    answer: Answer | None
    expired: bool

    @property
    def open(self) -> bool:
        """Whether it can be answered now."""
        return self.estimate.state == "sent" and not self.expired

    @property
    def recommended(self) -> OptionView | None:
        """The option the shop would choose."""
        return next((view for view in self.options if view.option.recommended), None)

    @property
    def agreed(self) -> OptionView | None:
        """The option that was agreed to."""
        if self.answer is None or self.answer.option_id is None:
            return None
        return next((view for view in self.options if view.option.pk == self.answer.option_id), None)

    @property
    def not_included(self) -> tuple[str, ...]:
        """What is not included, one thing each."""
        return said(self.estimate.not_included)

    def option(self, letter: str) -> OptionView | None:
        """An option by its letter."""
        return next((view for view in self.options if view.option.letter == letter), None)


def said(text: str) -> tuple[str, ...]:
    """The lines of a text that say something."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def estimate_view(estimate: Estimate, *, shop: Profile, on: date) -> EstimateView:
    """Options, lines, sums and answer of one version. Three queries."""
    options = tuple(
        _option_view(option, estimate, shop) for option in estimate.options.prefetch_related("lines").order_by("letter")
    )
    answer = Answer.objects.filter(estimate=estimate).select_related("option", "party", "person", "paper").first()
    return EstimateView(estimate, options, answer, expired(estimate, on=on))


def expired(estimate: Estimate, *, on: date) -> bool:
    """Whether a sent version has run out: its last day still counts."""
    return estimate.state == "sent" and estimate.expires_on is not None and on > estimate.expires_on


def fee_with_tax(estimate: Estimate, places: int = 2) -> Decimal:
    """What the examination costs, tax included, if the work does not go ahead. No query."""
    return amounts.taxed(estimate.fee, estimate.fee_tax_rate, places).gross


def _option_view(option: Option, estimate: Estimate, shop: Profile) -> OptionView:
    lines = tuple(option.lines.all())
    sums = amounts.sums(
        (Taxed(line.net, line.tax_rate, line.tax, line.net + line.tax) for line in lines),
        percent=shop.deposit_percent,
        above=shop.deposit_above,
        places=shop.places,
    )
    deposit = sums.deposit if estimate.state == "draft" else option.deposit
    return OptionView(option, lines, sums.net, sums.tax, sums.total, deposit)


def newest(job: Job) -> Estimate | None:
    """The newest version, drafts too. One query."""
    return Estimate.objects.filter(job=job).select_related("made_by", "paper").order_by("-version").first()


def newest_sent(job: Job) -> Estimate | None:
    """The newest version an owner may have seen. One query."""
    sent = Estimate.objects.filter(job=job).exclude(state="draft")
    return sent.select_related("made_by", "paper").order_by("-version").first()


def versions(job: Job) -> list[Estimate]:
    """Every version, newest first, with its answer. One query."""
    return list(
        Estimate.objects.filter(job=job)
        .select_related("paper", "answer", "answer__option", "answer__person", "answer__paper")
        .order_by("-version")
    )


def approved_option(job: Job) -> Option | None:
    """The option of the newest approved version: what may be worked on. One query."""
    return (
        Option.objects.filter(estimate__job=job, estimate__state="answered", estimate__answer__approved=True)
        .filter(pk=F("estimate__answer__option"))
        .select_related("estimate")
        .order_by("-estimate__version")
        .first()
    )


def approved_lines(job: Job) -> list[Line]:
    """Lines of the approved option, discounts left out: the work agreed to. Two queries."""
    option = approved_option(job)
    return [] if option is None else list(option.lines.filter(discount__isnull=True))


def who_answers(job: Job) -> list[Party]:
    """Parties that may agree to spending on a job, approvers before owners, nobody under age. One query."""
    held = job.roles.filter(role__in=MAY_ANSWER, party__minor=False).select_related("party").order_by("id")
    ranked = sorted(held, key=lambda one: MAY_ANSWER.index(one.role))
    return list({one.party_id: one.party for one in ranked}.values())


def most_for(job: Job, party: Party) -> Decimal | None:
    """The most, with tax, a party may agree to on a job; None without an end, as for the owner. One query."""
    held = list(job.roles.filter(party=party, role__in=MAY_ANSWER).values_list("role", "ceiling"))
    if any(role == "owner" for role, _ in held):
        return None
    return min((ceiling for _, ceiling in held if ceiling is not None), default=None)


def withdrawn_answers(job: Job) -> list[WithdrawnAnswer]:
    """Answers that were taken back, oldest first. One query."""
    held = WithdrawnAnswer.objects.filter(estimate__job=job)
    return list(held.select_related("estimate", "option", "person", "withdrawn_by").order_by("withdrawn_at", "pk"))


def declined(job: Job) -> Answer | None:
    """The refusal that stands: the newest answer is “none of these” and nothing else was agreed. One query."""
    newest = (
        Answer.objects.filter(estimate__job=job).select_related("estimate", "person").order_by("-estimate__version")
    )
    answers = list(newest)
    if not answers or job.agreed_words or any(one.approved for one in answers):
        return None
    return answers[0]


def standing_refusal(job: Job) -> Refusal | None:
    """What was settled after the refusal that stands, None before. Two queries at most."""
    answer = declined(job)
    return (
        None
        if answer is None
        else Refusal.objects.filter(estimate=answer.estimate_id).select_related("estimate").first()
    )


def how_words(answer: Said) -> str:
    """“by telephone, read back by Maris”. No query when its person is loaded."""
    by = answer.person.short if answer.person else ""
    return how_it_came(answer.how, agreed=answer.approved, by=by, number=answer.order_number)


def answered_words(answer: Said, estimate: Estimate, zone: ZoneInfo, *, options: int = 0, who: str = "") -> str:
    """“Version 2, option B, agreed by Imelda Rookstone by telephone, read back by Maris, Tue 24 Nov”. No query.

    `options` how many its version had, where `standing_answer` did not count them.
    """
    letter, many = answer.option.letter if answer.option else "", options or vars(answer).get("options", 1)
    what = agreed_to(estimate.version, letter, options=many) if answer.approved else f"version {estimate.version}"
    verb = "agreed" if answer.approved else "declined"
    said = f"{what}, {verb} by {who or answer.name} {how_words(answer)}, {day_words(local(answer.at, zone).date())}"
    return f"{said[:1].upper()}{said[1:]}"


def standing_words(job: Job, zone: ZoneInfo) -> str:
    """How what may be billed was agreed, or how it was declined; "" for neither. One query."""
    answer = standing_answer(job)
    return "" if answer is None else answered_words(answer, answer.estimate, zone)


def standing_answer(job: Job) -> Answer | None:
    """The newest approval, else the newest refusal, with how many options its version had. One query."""
    every = Answer.objects.filter(estimate__job=job).select_related("estimate", "option", "person", "party", "paper")
    answers = list(every.annotate(options=Count("estimate__options")).order_by("-estimate__version"))
    return next((one for one in answers if one.approved), answers[0] if answers else None)


def payer_of(job: Job) -> Party | None:
    """Who pays: the payer, else the owner. One query."""
    held = job.roles.filter(role__in=("payer", "owner")).select_related("party").order_by("id")
    return next((one.party for one in sorted(held, key=lambda one: one.role != "payer")), None)


def exempt(party: Party | None, *, on: date) -> bool:
    """Whether a party has shown a tax-exempt paper that still holds on a day."""
    return bool(party and party.tax_exempt_paper and party.tax_exempt_until and party.tax_exempt_until >= on)


def children(job: Job) -> list[str]:
    """Names that may not be said outside. One query."""
    return list(job.roles.filter(party__minor=True).values_list("party__name", flat=True).distinct())


def open_questions() -> list[Question]:
    """Questions nobody has seen yet, oldest first. One query."""
    asked = Question.objects.filter(seen_at__isnull=True).select_related("job", "job__item", "party")
    return list(asked.order_by("at"))
