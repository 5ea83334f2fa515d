"""Gathers the facts the gate needs, in two queries however many jobs there are."""

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from jobs.bench.models import Check, WorkSpell
from jobs.billing.models import Invoice, OnAccount, Payment
from jobs.book.kinds import FREE_KINDS
from jobs.book.models import Entry, Hold, Job
from jobs.book.stages import Facts
from jobs.custody.models import Release, Sighting
from jobs.estimates.models import Answer, Estimate
from jobs.papers.models import Paper
from jobs.tags.models import Tag
from shop.money import ZERO, plain


def with_facts(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Annotate jobs with what `facts_of` reads. No query of its own."""
    of_job = {"job": OuterRef("pk")}
    newest = Estimate.objects.filter(**of_job).exclude(state="draft").order_by("-version")
    answers = Answer.objects.filter(estimate__job=OuterRef("pk")).order_by("-estimate__version")
    checks = Check.objects.filter(**of_job).order_by("-at", "-pk")
    spells = WorkSpell.objects.filter(**of_job)
    invoices = Invoice.objects.filter(**of_job).order_by("-pk")
    deposits = (
        Payment.objects.filter(**of_job, kind="deposit").order_by().values("job").annotate(s=Sum("amount")).values("s")
    )
    paid = (
        Payment.objects.filter(**of_job, kind="payment").order_by().values("job").annotate(s=Sum("amount")).values("s")
    )
    nil = Value(ZERO)
    return jobs.annotate(
        has_note=Exists(Paper.objects.filter(kind="note", visit=OuterRef("visit_id"))),
        visit_unsigned=F("visit__unsigned_reason"),
        has_tag=Exists(Tag.objects.filter(item=OuterRef("item_id"), dead_at__isnull=True)),
        has_place=Exists(Sighting.objects.filter(item=OuterRef("item_id"))),
        has_draft=Exists(Estimate.objects.filter(**of_job)),
        newest_state=Subquery(newest.values("state")[:1]),
        has_approval=Exists(answers.filter(approved=True, estimate__state="answered")),
        last_answer=Subquery(answers.values("approved")[:1]),
        deposit_asked=Subquery(answers.filter(approved=True, estimate__state="answered").values("option__deposit")[:1]),
        deposit_paid=Coalesce(Subquery(deposits), nil),
        clock_of=Subquery(spells.filter(stopped_at__isnull=True).values("person__name")[:1]),
        has_spell=Exists(spells),
        last_stop=Subquery(spells.order_by("-stopped_at").values("stopped_at")[:1]),
        check_passed=Subquery(checks.values("passed")[:1]),
        check_by=Subquery(checks.values("by__name")[:1]),
        check_at=Subquery(checks.values("at")[:1]),
        check_by_doer=Exists(spells.filter(person=OuterRef("assigned_id"))),
        nothing_needed=Exists(Entry.objects.filter(**of_job, action="job.nothing_needed")),
        balance=Subquery(invoices.values("balance")[:1]),
        has_paid=Coalesce(Subquery(paid), nil),
        has_on_account=Exists(OnAccount.objects.filter(**of_job)),
        has_release=Exists(Release.objects.filter(**of_job)),
    )


def facts_of(job: Job, holds: Iterable[str], *, places: int = 2) -> Facts:
    """Facts of one annotated job. No query."""
    found = vars(job)
    free = job.kind in FREE_KINDS
    agreed = bool(job.agreed_words) or free
    approved = found["has_approval"] or agreed
    refused = found["last_answer"] is False
    due = Decimal(found["deposit_asked"] or 0) - Decimal(found["deposit_paid"])
    checked = bool(found["check_passed"]) and (found["last_stop"] is None or found["last_stop"] <= found["check_at"])
    balance = found["balance"]
    invoiced = balance is not None
    nothing_to_pay = not invoiced and (free or (not found["has_approval"] and not job.agreed_words))
    return Facts(
        note_sealed=found["has_note"] or bool(found["visit_unsigned"]),
        tag_bound=found["has_tag"],
        place_known=found["has_place"],
        assigned=job.assigned_id is not None,
        examiner_named=job.assigned_id is not None,
        estimate_saved=found["has_draft"],
        estimate_sent=found["newest_state"] in {"sent", "answered"},
        approved=approved,
        refused=refused and not found["has_approval"],
        nothing_needed=found["nothing_needed"],
        deposit_due=plain(due, places) if due > 0 else "",
        clock_running=(found["clock_of"].split()[0],) if found["clock_of"] else (),
        worked=found["has_spell"],
        checked_by=found["check_by"] if checked else "",
        check_own_work=found["check_by_doer"],
        invoice_issued=invoiced,
        nothing_to_pay=nothing_to_pay,
        paid_or_on_account=found["has_on_account"] or (invoiced and Decimal(found["has_paid"]) >= balance),
        released=found["has_release"],
        holds=tuple(holds),
    )


def gather(job: Job, *, places: int = 2) -> Facts:
    """Facts of one job. Two queries."""
    annotated = with_facts(Job.objects.filter(pk=job.pk)).get()
    return facts_of(
        annotated, Hold.objects.filter(Q(job=job), lifted_at__isnull=True).values_list("kind", flat=True), places=places
    )
