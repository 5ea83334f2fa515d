"""Writing an estimate while it is a draft. Sending and answering: answers.py."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.catalogue.models import Operation
from jobs.catalogue.reads import rate_for
from jobs.estimates import amounts
from jobs.estimates.models import Estimate, Line, Option
from jobs.estimates.plain_words import plain
from jobs.estimates.reads import exempt, payer_of
from shop.clock import local
from shop.money import ZERO, NotMoneyError, rounded
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile, rate_on

LETTERS = "ABC"
_LAST = 999  # a discount stands below everything else
_MOST = Decimal(10) ** 9  # beyond this it is a slip of the pen


def begin_draft(job: Job, *, by: Person, at: datetime, key: str = "") -> Estimate:
    """Begin the next version: an empty option A, or a copy of the newest version with its lines and prices."""
    with transaction.atomic():
        pressed = press(key, "estimate.begin", at=at) if key else None
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if locked.closed_at is not None:
            raise Refused("This job is closed. Open a new one for more work.")
        draft = locked.estimates.filter(state="draft").first()
        if draft is None:
            before = locked.estimates.order_by("-version").first()
            draft = Estimate.objects.create(
                job=locked,
                version=before.version + 1 if before else 1,
                made_by=by,
                made_at=at,
                words=before.words if before else "",
                not_included=before.not_included if before else "",
                because=before.because if before else "",
                fee=before.fee if before else ZERO,
                fee_tax_rate=before.fee_tax_rate if before else ZERO,
            )
            if before is None:
                Option.objects.create(estimate=draft, letter="A", title="What we propose")
            else:
                _copy(before, draft)
            data = {"estimate": draft.pk, "version": draft.version}
            record("estimate.begun", by=by, at=at, job=locked, data=data)
        if pressed is not None:
            keep(pressed, estimate=draft.pk)
    return draft


def _copy(before: Estimate, draft: Estimate) -> None:
    for option in before.options.prefetch_related("lines"):
        lines = list(option.lines.all())
        option.pk, option.estimate, option.deposit = None, draft, ZERO
        option._state.adding = True
        option.save(force_insert=True)
        for line in lines:
            line.pk, line.option = None, option
        Line.objects.bulk_create(lines)


@contextmanager
def _writing(estimate_id: int, action: str, *, at: datetime, key: str) -> Iterator[Estimate]:
    """The draft, locked, inside one transaction with its press."""
    with transaction.atomic():
        pressed = press(key, action, at=at) if key else None
        estimate = Estimate.objects.select_for_update(no_key=True).get(pk=estimate_id)
        if estimate.state != "draft":
            raise Refused("This version has been sent. Begin a new version to change it.")
        yield estimate
        if pressed is not None:
            keep(pressed, estimate=estimate.pk)


def write_words(
    estimate: Estimate, *, words: str, not_included: str, because: str = "", by: Person, at: datetime
) -> None:
    """What was found and is proposed, what is not included, and why one option is recommended."""
    with _writing(estimate.pk, "estimate.words", at=at, key="") as draft:
        draft.words, draft.not_included, draft.because = words.strip(), not_included.strip(), because.strip()[:240]
        draft.save(update_fields=["words", "not_included", "because"])


def name_fee(estimate: Estimate, fee: Decimal, *, by: Person, at: datetime) -> None:
    """What is asked for the examination, net, if the work does not go ahead; taxed as labour. 0 for none."""
    if not 0 <= fee < _MOST:
        raise Refused("A fee is a sum not below zero. Look at it again.")
    with _writing(estimate.pk, "estimate.fee", at=at, key="") as draft:
        shop = profile()
        draft.fee, draft.fee_tax_rate = rounded(fee, shop.places), labour_tax(draft.job, at=at) if fee else ZERO
        draft.save(update_fields=["fee", "fee_tax_rate"])


def labour_tax(job: Job, *, at: datetime) -> Decimal:
    """Per cent labour is taxed at for whoever pays a job, on the shop's day. At most three queries."""
    today = local(at, profile().zone).date()
    return ZERO if exempt(payer_of(job), on=today) else rate_on("labour", today) or ZERO


def add_option(estimate: Estimate, *, title: str, by: Person, at: datetime, key: str = "") -> Option:
    """Another way to do it: the next letter, at most C."""
    with _writing(estimate.pk, "estimate.option", at=at, key=key) as draft:
        if not title.strip():
            raise Refused("Give the option a name, such as “Make it playable”.")
        taken = set(draft.options.values_list("letter", flat=True))
        letter = next((one for one in LETTERS if one not in taken), None)
        if letter is None:
            raise Refused("Three ways to go on are as many as an owner can compare.")
        return Option.objects.create(estimate=draft, letter=letter, title=title.strip()[:80])


def remove_option(option: Option, *, by: Person, at: datetime) -> None:
    """Take an option out with its lines. The last one stays."""
    with _writing(option.estimate_id, "estimate.option.off", at=at, key="") as draft:
        if draft.options.count() < 2:
            raise Refused("An estimate has one option at least. Change this one instead.")
        Line.objects.filter(option=option).delete()
        Option.objects.filter(pk=option.pk).delete()


def write_option(
    option: Option,
    *,
    title: str,
    summary: str = "",
    gets: str = "",
    left: str = "",
    recommended: bool = False,
    ready_from: date | None = None,
    ready_to: date | None = None,
    contingency: Decimal = ZERO,
    by: Person,
    at: datetime,
) -> None:
    """What an option is called, what the owner gets, when it would be ready. One option at most is recommended."""
    if not title.strip():
        raise Refused("Give the option a name, such as “Make it playable”.")
    if not 0 <= contingency < _MOST:
        raise Refused("“Up to so much more” is a sum not below zero. Look at it again.")
    if ready_from and ready_to and ready_to < ready_from:
        raise Refused("The last day it may be ready is before the first. Look at both days.")
    if ready_to and not ready_from:
        ready_from, ready_to = ready_to, None
    with _writing(option.estimate_id, "estimate.option.words", at=at, key="") as draft:
        if recommended:
            draft.options.exclude(pk=option.pk).filter(recommended=True).update(recommended=False)
        fresh = Option.objects.get(pk=option.pk)
        fresh.title, fresh.summary, fresh.gets, fresh.left = title.strip()[:80], summary.strip()[:120], gets, left
        fresh.recommended, fresh.ready_from, fresh.ready_to = recommended, ready_from, ready_to
        fresh.contingency = rounded(contingency, profile().places)
        fresh.save(
            update_fields=[
                "title", "summary", "gets", "left", "recommended", "ready_from", "ready_to", "contingency",
            ]
        )  # fmt: skip


def add_work(
    option: Option,
    *,
    operation: Operation,
    hours: Decimal | None = None,
    words: str = "",
    skill: int | None = None,
    by: Person,
    at: datetime,
    key: str = "",
) -> Line:
    """A line of labour: hours (the likely ones unless said) at the rate of its skill on that day.

    The skill is the operation's own unless the work asks for more, or less, than usual.
    """
    with _writing(option.estimate_id, "estimate.line", at=at, key=key) as draft:
        shop = profile()
        rate = rate_for(skill or operation.skill, local(at, shop.zone).date())
        hours = operation.likely if hours is None else hours
        if not 0 < hours < 10_000 or (hours := rounded(hours, 2)) == 0:
            raise Refused("Hours are more than 0. Write them as 1.5.")
        net = _sum_or_refuse(lambda: amounts.labour(hours, rate, shop.places))
        line = _line(option, draft, words or _named(operation), net, "labour", shop=shop, at=at)
        line.operation, line.hours, line.rate = operation, hours, rate
        line.save(update_fields=["operation", "hours", "rate"])
        discount_again(option, shop)
    return line


def add_material(
    option: Option, *, words: str, cost: Decimal, tax_class: str = "goods", by: Person, at: datetime, key: str = ""
) -> Line:
    """A material at its cost and the shop's markup."""
    with _writing(option.estimate_id, "estimate.line", at=at, key=key) as draft:
        shop = profile()
        net = _sum_or_refuse(lambda: amounts.material(cost, shop.markup_percent, shop.places))
        line = _line(option, draft, words, net, tax_class, shop=shop, at=at)
        line.cost = cost
        line.save(update_fields=["cost"])
    return line


def add_line(
    option: Option, *, words: str, net: Decimal, tax_class: str, by: Person, at: datetime, key: str = ""
) -> Line:
    """A line in free words at a fixed price."""
    with _writing(option.estimate_id, "estimate.line", at=at, key=key) as draft:
        shop = profile()
        if net < 0:
            raise Refused("A price is not below zero. For less, give a discount on labour.")
        line = _line(option, draft, words, rounded(net, shop.places), tax_class, shop=shop, at=at)
        discount_again(option, shop)
    return line


def add_discount(option: Option, *, percent: Decimal, reason: str, by: Person, at: datetime, key: str = "") -> Line:
    """A discount on the option's labour, with its reason. Only one stands; it follows the lines above it."""
    with _writing(option.estimate_id, "estimate.line", at=at, key=key) as draft:
        if not reason.strip():
            raise Refused("Write the reason of the discount, such as “player’s discount”.")
        if not 0 < percent <= 100:
            raise Refused("A discount is more than 0 and at most 100 per cent.")
        if Line.objects.filter(option=option, discount__isnull=False).exists():
            raise Refused("One discount stands already. Take it off first; discounts do not add up.")
        shop = profile()
        words = f"{reason.strip()}, {percent.normalize():f} % of labour"
        line = _line(option, draft, words, ZERO, "labour", shop=shop, at=at)
        line.discount, line.position = percent, _LAST
        line.save(update_fields=["discount", "position"])
        discount_again(option, shop)
    return Line.objects.get(pk=line.pk)


def remove_line(line: Line, *, by: Person, at: datetime) -> None:
    """Take a line out. Taking it out twice is the same as once."""
    with _writing(line.option.estimate_id, "estimate.line.off", at=at, key=""):
        Line.objects.filter(pk=line.pk).delete()
        discount_again(line.option, profile())


def _line(
    option: Option, draft: Estimate, words: str, net: Decimal, tax_class: str, *, shop: Profile, at: datetime
) -> Line:
    words = " ".join(words.split())[:160]
    if not words:
        raise Refused("Write what this line is for.")
    if net >= _MOST:
        raise Refused("That sum is too large. Look at the point in it again.")
    today = local(at, shop.zone).date()
    rate = rate_on(tax_class, today)
    if rate is None:
        raise Refused("Choose what kind of thing this is for the tax.")
    if exempt(payer_of(draft.job), on=today):
        rate = ZERO
    held = Line.objects.filter(option=option, discount__isnull=True).aggregate(last=Max("position"))["last"]
    tax = amounts.taxed(net, rate, shop.places).tax
    return Line.objects.create(
        option=option, position=(held or 0) + 1, words=words, tax_class=tax_class, tax_rate=rate, net=net, tax=tax
    )


def discount_again(option: Option, shop: Profile) -> None:
    """Bring an option’s discount line in step with the labour above it. At most four statements."""
    line = Line.objects.filter(option=option, discount__isnull=False).first()
    if line is None or line.discount is None:
        return
    labour = Line.objects.filter(option=option, tax_class="labour", discount__isnull=True)
    line.net = amounts.discount(labour.values_list("net", flat=True), line.discount, shop.places)
    line.tax = amounts.taxed(line.net, line.tax_rate, shop.places).tax
    line.save(update_fields=["net", "tax"])


def _named(operation: Operation) -> str:
    words = plain(operation.words)
    return words[:1].upper() + words[1:]


def _sum_or_refuse(compute: Callable[[], Decimal]) -> Decimal:
    try:
        return compute()
    except NotMoneyError as fault:
        raise Refused(f"{fault}") from fault
