"""Gathers the facts the gate needs: one query for what a job's stage asks, one for its tapes."""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from jobs.bench.models import Check, Wait, WorkSpell
from jobs.bench.rests import rest_of
from jobs.billing.amounts import still_owed
from jobs.billing.models import Invoice, OnAccount, Payment
from jobs.billing.reads import received_on, taken_back_on
from jobs.book.gate import Facts
from jobs.book.kinds import FREE_KINDS
from jobs.book.models import Entry, Hold, Job
from jobs.book.stages import Stage
from jobs.custody.models import Release, Sighting
from jobs.estimates.models import Answer, Estimate
from jobs.papers.models import Paper
from jobs.tags.models import Tag
from shop.money import ZERO, plain, rounded
from shop.prepared import Prepared

_JOB = {"job": OuterRef("pk")}


def _estimates() -> QuerySet[Estimate]:
    return Estimate.objects.filter(**_JOB).exclude(state="draft").order_by("-version")


def _answers() -> QuerySet[Answer]:
    return Answer.objects.filter(estimate__job=OuterRef("pk")).order_by("-estimate__version")


def _approvals() -> QuerySet[Answer]:
    return _answers().filter(approved=True, estimate__state="answered")


def _checks() -> QuerySet[Check]:
    return Check.objects.filter(**_JOB).order_by("-at", "-pk")


def _spells() -> QuerySet[WorkSpell]:
    return WorkSpell.objects.filter(**_JOB)


def _waits() -> QuerySet[Wait]:
    return Wait.objects.filter(**_JOB, confirmed_at__isnull=True, dropped_at__isnull=True)


def _deposits() -> Combinable:
    sums = Payment.objects.filter(**_JOB).order_by().values("job").annotate(s=Sum("amount")).values("s")
    return Coalesce(Subquery(sums), Value(ZERO))


def _invoice(of: str | Combinable) -> Combinable:
    """Something of the invoice a job is on, alone or with others."""
    live = Invoice.objects.filter(of_jobs__job=OuterRef("pk"), of_jobs__live=True)
    return Subquery(live.annotate(found=F(of) if isinstance(of, str) else of).values("found")[:1])


# what one job's facts are read from: each a part of the one query
_PARTS: dict[str, Callable[[], Combinable]] = {
    "has_note": lambda: Exists(Paper.objects.filter(kind="note", visit=OuterRef("visit_id"))),
    "visit_unsigned": lambda: F("visit__unsigned_reason"),
    "has_tag": lambda: Exists(Tag.objects.filter(item=OuterRef("item_id"), dead_at__isnull=True)),
    "has_place": lambda: Exists(Sighting.objects.filter(item=OuterRef("item_id"))),
    "has_draft": lambda: Exists(Estimate.objects.filter(**_JOB)),
    "newest_state": lambda: Subquery(_estimates().values("state")[:1]),
    "has_approval": lambda: Exists(_approvals()),
    "last_answer": lambda: Subquery(_answers().values("approved")[:1]),
    "refusal_reassemble": lambda: Subquery(_answers().values("estimate__refusal__reassemble")[:1]),
    "refusal_fee": lambda: Subquery(_answers().values("estimate__refusal__fee")[:1]),
    "deposit_asked": lambda: Subquery(_approvals().values("option__deposit")[:1]),
    "deposit_paid": _deposits,
    "clock_of": lambda: Subquery(_spells().filter(stopped_at__isnull=True).values("person__called")[:1]),
    "has_spell": lambda: Exists(_spells()),
    "last_stop": lambda: Subquery(_spells().order_by("-stopped_at").values("stopped_at")[:1]),
    "check_passed": lambda: Subquery(_checks().values("passed")[:1]),
    "check_by": lambda: Subquery(_checks().values("by__name")[:1]),
    "check_at": lambda: Subquery(_checks().values("at")[:1]),
    "nothing_needed": lambda: Exists(Entry.objects.filter(**_JOB, action="job.nothing_needed")),
    "invoiced": lambda: _invoice("gross"),
    "credited": lambda: _invoice(taken_back_on(OuterRef("pk"))),
    "received": lambda: _invoice(received_on(OuterRef("pk"))),
    "has_on_account": lambda: Exists(OnAccount.objects.filter(**_JOB)),
    "wait_what": lambda: Subquery(_waits().values("what")[:1]),
    "wait_until": lambda: Subquery(_waits().values("until")[:1]),
    "has_release": lambda: Exists(Release.objects.filter(**_JOB)),
}
_AGREED = frozenset({"has_approval", "last_answer", "refusal_reassemble", "deposit_asked", "deposit_paid"})
_CHECKED = frozenset({"check_passed", "check_by", "check_at", "last_stop"})
_READY = _AGREED | _CHECKED | {"has_spell", "nothing_needed", "invoiced", "refusal_fee"}
# what the guards of a stage's exits look at; tests/moves holds this against the full set
NEEDED: dict[Stage, frozenset[str]] = {
    Stage.EXP: frozenset({"has_note", "visit_unsigned", "has_tag", "has_place"}),
    Stage.IN: _READY,
    Stage.EXA: _READY | {"newest_state", "has_draft"},
    Stage.ANS: _READY | {"newest_state", "clock_of"},
    Stage.QUE: _AGREED | {"has_spell", "newest_state"},
    Stage.BEN: frozenset({"clock_of", "has_spell", "newest_state"}),
    Stage.CUR: frozenset({"clock_of", "wait_what", "wait_until"}),
    Stage.SET: frozenset({"clock_of", "has_spell"}),
    Stage.CHK: _READY,
    Stage.RDY: _AGREED
    | {"has_spell", "newest_state", "refusal_fee", "invoiced", "credited", "received", "has_on_account", "has_release"},
    Stage.HOME: frozenset(),
}
_ALL = frozenset(_PARTS)
_UTC = ZoneInfo("UTC")
OF_JOB = ("kind", "agreed_words", "assigned_id")


def with_facts(jobs: QuerySet[Job], parts: Iterable[str] = _ALL) -> QuerySet[Job]:
    """Annotate jobs with what `facts_of` reads. No query of its own."""
    return jobs.annotate(**{name: _PARTS[name]() for name in parts})


def facts_of(
    job: Job, holds: Iterable[str], *, places: int = 2, at: datetime | None = None, zone: ZoneInfo = _UTC
) -> Facts:
    """Facts of one annotated job. No query."""
    return facts_in(vars(job), holds, places=places, at=at, zone=zone)


def gather(job: Job, *, places: int = 2, at: datetime | None = None, zone: ZoneInfo = _UTC) -> Facts:
    """The facts that the exits of a job's present stage ask for. Two queries."""
    return facts_in(found_of(job.pk, NEEDED[Stage(job.stage)]), _holds(job.pk), places=places, at=at, zone=zone)


def found_of(job_id: int, parts: frozenset[str]) -> dict[str, Any]:
    """What the book holds of one job for some of the facts. One query. Raises Job.DoesNotExist."""
    found = _asking(parts).first(job_id)
    if found is None:
        raise Job.DoesNotExist
    return found


@cache
def _asking(parts: frozenset[str]) -> Prepared[dict[str, Any]]:
    return Prepared(lambda job: with_facts(Job.objects.filter(pk=job), parts).values(*OF_JOB, *parts))


_holds = Prepared(lambda job: Hold.objects.filter(job=job, lifted_at__isnull=True).values_list("kind", flat=True))


def _owed(found: Mapping[str, Any]) -> Decimal:
    credited, received = (Decimal(found.get(part) or 0) for part in ("credited", "received"))
    return still_owed(Decimal(found["invoiced"]), credited=credited, received=received)


def _resting(found: Mapping[str, Any], at: datetime | None, zone: ZoneInfo) -> str:
    until = found.get("wait_until")
    if until is None:
        return ""
    return rest_of(found["wait_what"], until, until, at=at, zone=zone).blocks if at else "its rest is over"


def facts_in(
    found: Mapping[str, Any],
    holds: Iterable[str],
    *,
    places: int = 2,
    at: datetime | None = None,
    zone: ZoneInfo = _UTC,
) -> Facts:
    """Facts from what was found of a job, part by part; a part left out counts as nothing. No query.

    Without the moment `at` a wait with an end counts as not over; `zone` is for its words.
    """
    get = found.get
    free = found["kind"] in FREE_KINDS
    agreed = bool(found["agreed_words"]) or free
    has_approval = bool(get("has_approval"))
    due = rounded(Decimal(get("deposit_asked") or 0) - Decimal(get("deposit_paid") or 0), 3)
    stopped, checked_at = get("last_stop"), get("check_at")
    checked = bool(get("check_passed")) and (stopped is None or stopped <= checked_at)
    gross, clock_of = get("invoiced"), get("clock_of")
    invoiced = gross is not None
    return Facts(
        note_sealed=bool(get("has_note") or get("visit_unsigned")),
        tag_bound=bool(get("has_tag")),
        place_known=bool(get("has_place")),
        assigned=found["assigned_id"] is not None,
        examiner_named=found["assigned_id"] is not None,
        estimate_saved=bool(get("has_draft")),
        estimate_sent=get("newest_state") in {"sent", "answered"},
        approved=has_approval or agreed,
        refused=get("last_answer") is False and not has_approval,
        settled=get("refusal_reassemble") is not None,
        reassemble=bool(get("refusal_reassemble")),
        awaits=get("newest_state") == "sent",
        nothing_needed=bool(get("nothing_needed")),
        deposit_due=plain(due, places) if due > 0 else "",
        clock_running=(clock_of,) if clock_of else (),
        worked=bool(get("has_spell")),
        checked_by=get("check_by") or "" if checked else "",
        invoice_issued=invoiced,
        nothing_to_pay=not invoiced
        and (free or not (has_approval or found["agreed_words"] or Decimal(get("refusal_fee") or 0))),
        paid_or_on_account=bool(get("has_on_account")) or (invoiced and _owed(found) <= 0),
        released=bool(get("has_release")),
        resting=_resting(found, at, zone),
        holds=tuple(holds),
    )
