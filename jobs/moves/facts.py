"""Gathers the facts the gate needs: one query for what a job's stage asks, one for its tapes."""

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from functools import cache
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from jobs.bench.models import Check, WorkSpell
from jobs.billing.models import Invoice, OnAccount, Payment
from jobs.book.kinds import FREE_KINDS
from jobs.book.models import Entry, Hold, Job
from jobs.book.stages import Facts, Stage
from jobs.custody.models import Release, Sighting
from jobs.estimates.models import Answer, Estimate
from jobs.papers.models import Paper
from jobs.tags.models import Tag
from shop.money import ZERO, plain
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


def _received(kind: str) -> Combinable:
    sums = Payment.objects.filter(**_JOB, kind=kind).order_by().values("job").annotate(s=Sum("amount")).values("s")
    return Coalesce(Subquery(sums), Value(ZERO))


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
    "deposit_asked": lambda: Subquery(_approvals().values("option__deposit")[:1]),
    "deposit_paid": lambda: _received("deposit"),
    "clock_of": lambda: Subquery(_spells().filter(stopped_at__isnull=True).values("person__name")[:1]),
    "has_spell": lambda: Exists(_spells()),
    "last_stop": lambda: Subquery(_spells().order_by("-stopped_at").values("stopped_at")[:1]),
    "check_passed": lambda: Subquery(_checks().values("passed")[:1]),
    "check_by": lambda: Subquery(_checks().values("by__name")[:1]),
    "check_at": lambda: Subquery(_checks().values("at")[:1]),
    "nothing_needed": lambda: Exists(Entry.objects.filter(**_JOB, action="job.nothing_needed")),
    "balance": lambda: Subquery(Invoice.objects.filter(**_JOB).order_by("-pk").values("balance")[:1]),
    "has_paid": lambda: _received("payment"),
    "has_on_account": lambda: Exists(OnAccount.objects.filter(**_JOB)),
    "has_release": lambda: Exists(Release.objects.filter(**_JOB)),
}
_AGREED = frozenset({"has_approval", "last_answer", "deposit_asked", "deposit_paid"})
_CHECKED = frozenset({"check_passed", "check_by", "check_at", "last_stop"})
_READY = _AGREED | _CHECKED | {"has_spell", "nothing_needed", "balance"}
# what the guards of a stage's exits look at; tests/moves holds this against the full set
NEEDED: dict[Stage, frozenset[str]] = {
    Stage.EXP: frozenset({"has_note", "visit_unsigned", "has_tag", "has_place"}),
    Stage.IN: _READY,
    Stage.EXA: _READY | {"newest_state", "has_draft"},
    Stage.ANS: _READY | {"newest_state", "clock_of"},
    Stage.QUE: _AGREED | {"has_spell", "newest_state"},
    Stage.BEN: frozenset({"clock_of", "has_spell", "newest_state"}),
    Stage.CUR: frozenset({"clock_of"}),
    Stage.SET: frozenset({"clock_of", "has_spell"}),
    Stage.CHK: _READY,
    Stage.RDY: frozenset({"has_approval", "has_spell", "balance", "has_paid", "has_on_account", "has_release"}),
    Stage.HOME: frozenset(),
}
_ALL = frozenset(_PARTS)
OF_JOB = ("kind", "agreed_words", "assigned_id")


def with_facts(jobs: QuerySet[Job], parts: Iterable[str] = _ALL) -> QuerySet[Job]:
    """Annotate jobs with what `facts_of` reads. No query of its own."""
    return jobs.annotate(**{name: _PARTS[name]() for name in parts})


def facts_of(job: Job, holds: Iterable[str], *, places: int = 2) -> Facts:
    """Facts of one annotated job. No query."""
    return facts_in(vars(job), holds, places=places)


def gather(job: Job, *, places: int = 2) -> Facts:
    """The facts that the exits of a job's present stage ask for. Two queries."""
    return facts_in(found_of(job.pk, NEEDED[Stage(job.stage)]), _holds(job.pk), places=places)


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


def facts_in(found: Mapping[str, Any], holds: Iterable[str], *, places: int = 2) -> Facts:
    """Facts from what was found of a job, part by part; a part left out counts as nothing. No query."""
    get = found.get
    free = found["kind"] in FREE_KINDS
    agreed = bool(found["agreed_words"]) or free
    has_approval = bool(get("has_approval"))
    due = Decimal(get("deposit_asked") or 0) - Decimal(get("deposit_paid") or 0)
    stopped, checked_at = get("last_stop"), get("check_at")
    checked = bool(get("check_passed")) and (stopped is None or stopped <= checked_at)
    balance, clock_of = get("balance"), get("clock_of")
    invoiced = balance is not None
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
        nothing_needed=bool(get("nothing_needed")),
        deposit_due=plain(due, places) if due > 0 else "",
        clock_running=(clock_of.split()[0],) if clock_of else (),
        worked=bool(get("has_spell")),
        checked_by=get("check_by") or "" if checked else "",
        invoice_issued=invoiced,
        nothing_to_pay=not invoiced and (free or (not has_approval and not found["agreed_words"])),
        paid_or_on_account=bool(get("has_on_account"))
        or (balance is not None and Decimal(get("has_paid") or 0) >= balance),
        released=bool(get("has_release")),
        holds=tuple(holds),
    )
