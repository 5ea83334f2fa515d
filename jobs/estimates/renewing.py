"""An estimate that ran out is written again with the prices of today."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from jobs.book.models import Job
from jobs.book.refusals import Refused, Stale
from jobs.book.steps import keep, press, record
from jobs.catalogue.models import Rate
from jobs.catalogue.reads import rate_for
from jobs.estimates import amounts
from jobs.estimates.models import Estimate, Line, Option
from jobs.estimates.reads import estimate_view, exempt, expired, payer_of
from jobs.estimates.steps import begin_draft, discount_again, labour_tax
from shop.clock import local
from shop.money import ZERO
from shop.people.models import Person
from shop.profile.reads import profile, taxes_on


@dataclass(frozen=True, slots=True)
class Change:
    """What an option came to, and comes to now, tax included."""

    letter: str
    was: Decimal
    now: Decimal


@dataclass(frozen=True, slots=True)
class Renewed:
    """The new draft and what changed."""

    draft: Estimate
    changes: tuple[Change, ...]


def renew(job: Job, *, by: Person, at: datetime, key: str = "") -> Renewed:
    """Begin the next version from one that ran out: hours, materials and taxes at today's prices, days to be named anew.

    Fixed prices stay as they are, to be looked at. Raises Stale when the newest version did not run out, Refused where a
    price per hour is not known, Again for a second press.
    """
    with transaction.atomic():
        pressed = press(key, "estimate.renew", at=at) if key else None
        locked = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=job.pk)
        shop = profile()
        today = local(at, shop.zone).date()
        before = locked.estimates.order_by("-version").first()
        if before is None or not expired(before, on=today):
            raise Stale("The newest version has not run out. Look at the page again.")
        if locked.closed_at is not None:
            raise Refused("This job is closed. Open a new one for more work.")
        was = estimate_view(before, shop=shop, on=today)
        draft = begin_draft(locked, by=by, at=at)
        sent_on = local(before.sent_at or before.made_at, shop.zone).date()
        free = exempt(payer_of(locked), on=today)
        taxes = {} if free else {one.code: one.rate for one in taxes_on(today)}
        for option in Option.objects.filter(estimate=draft).prefetch_related("lines"):
            for line in option.lines.all():
                _today(line, taxes, sent_on=sent_on, today=today, places=shop.places, markup=shop.markup_percent)
            option.ready_from = option.ready_to = None
            option.save(update_fields=["ready_from", "ready_to"])
            discount_again(option, shop)
        if draft.fee:
            draft.fee_tax_rate = labour_tax(locked, at=at)
            draft.save(update_fields=["fee_tax_rate"])
        data = {"estimate": draft.pk, "version": draft.version, "before": before.pk}
        record("estimate.renewed", by=by, at=at, job=locked, data=data)
        now = estimate_view(draft, shop=shop, on=today)
        if pressed is not None:
            keep(pressed, estimate=draft.pk)
    changes = (Change(a.option.letter, a.total, b.total) for a, b in zip(was.options, now.options, strict=True))
    return Renewed(draft, tuple(changes))


def _today(line: Line, taxes: dict[str, Decimal], *, sent_on: date, today: date, places: int, markup: Decimal) -> None:
    if line.hours is not None and line.rate is not None:
        line.rate = rate_for(_skill(line, sent_on), today)
        line.net = amounts.labour(line.hours, line.rate, places)
    elif line.cost is not None:
        line.net = amounts.material(line.cost, markup, places)
    line.tax_rate = taxes.get(line.tax_class, ZERO)
    line.tax = amounts.taxed(line.net, line.tax_rate, places).tax
    line.save(update_fields=["rate", "net", "tax_rate", "tax"])


def _skill(line: Line, sent_on: date) -> int:
    """The skill a line was priced at: the one whose rate it was on its day, else its operation's own."""
    own = line.operation.skill if line.operation else 0
    if line.rate is None:
        return own
    dated = Rate.objects.filter(price_list__draft=False, price_list__since__lte=sent_on, per_hour=line.rate)
    skills = list(dated.order_by("-price_list__since", "-price_list").values_list("skill", flat=True))
    if own in skills or not skills:
        return own or 3
    return skills[0]
