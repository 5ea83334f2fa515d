"""Whatever is pressed in whatever order: the rows make the balance, nothing falls below nothing, numbers have no gap."""

from contextlib import suppress
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.db.models import Sum
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.billing.crediting import lines_left
from jobs.billing.drawer_reads import drawer
from jobs.billing.models import CreditNote, DrawerCount, Invoice, Payment
from jobs.billing.reads import account, credited_on, deposit_held, due_of, due_on, open_invoices
from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.moves.facts import gather
from shop.money import ZERO
from shop.profile.reads import profile
from tests import factory
from tests.billing.till import bow, count_it, give_back, invoice, pay, take_back, taken_off
from tests.factory import NOW

pytestmark = [pytest.mark.django_db, pytest.mark.timeout(600)]
D = Decimal

job_of = st.integers(0, 2)
cents = st.integers(1, 9000).map(lambda n: D(n) / 100)
act = st.one_of(
    st.tuples(st.just("pay"), job_of, cents, st.sampled_from(["cash", "card"])),
    st.tuples(st.just("pay what is owed"), job_of, st.sampled_from(["cash", "transfer"])),
    st.tuples(st.just("issue"), st.sets(job_of, min_size=1)),
    st.tuples(st.just("reverse"), st.integers(0, 12)),
    st.tuples(st.just("refund deposit"), job_of, cents),
    st.tuples(st.just("refund"), st.integers(0, 3), cents),
    st.tuples(st.just("refund all"), st.integers(0, 3)),
    st.tuples(st.just("credit"), st.integers(0, 3), cents),
    st.tuples(st.just("credit all"), st.integers(0, 3), st.booleans()),
    st.tuples(st.just("count"), st.just(0)),
)


def _nth(rows: Any, n: int) -> Any:
    found = list(rows.order_by("pk"))
    if not found:
        raise Refused("none yet")
    return found[n % len(found)]


def _do(jobs: list[Job], what: str, *given: Any) -> None:
    if what == "pay":
        pay(jobs[given[0]], given[1], given[2])
    elif what == "pay what is owed":
        pay(jobs[given[0]], due_of(jobs[given[0]]) or ZERO, given[1])
    elif what == "issue":
        invoice(*(jobs[n] for n in sorted(given[0])))
    elif what == "reverse":
        take_back(_nth(Payment.objects, given[0]))
    elif what == "refund deposit":
        give_back(jobs[given[0]], given[1])
    elif what in {"refund", "refund all"}:
        of = _nth(Invoice.objects, given[0])
        give_back(of, given[1] if what == "refund" else -due_on(of))
    elif what in {"credit", "credit all"}:
        of = _nth(Invoice.objects, given[0])
        lines = lines_left(of)
        whole = what == "credit all"
        parts = {one.line.pk: None if whole else given[1] for one in (lines if whole else lines[:1])}
        taken_off(of, parts, anew=whole and given[1])
    else:
        count_it(drawer().expected)


def _holds(jobs: list[Job]) -> None:
    for one in Invoice.objects.all():
        rows = sum(one.payments.values_list("amount", flat=True), ZERO)
        notes = sum(one.credits.values_list("gross", flat=True), ZERO)
        assert rows >= 0, "nothing below nothing was given back"
        assert ZERO <= notes == credited_on(one) <= one.gross
        assert due_on(one) == one.gross - notes - rows
        assert sum((left.left.gross for left in lines_left(one)), ZERO) == one.gross - notes
    listed = {one.invoice.pk: one.due for one in open_invoices()}
    assert listed == {one.pk: due_on(one) for one in Invoice.objects.all() if due_on(one)}
    for job in jobs:
        now = account(job, profile(), on=NOW.date())
        assert sum(Payment.objects.filter(job=job, invoice=None).values_list("amount", flat=True), ZERO) >= 0
        assert now.deposit_paid == deposit_held(job)
        if now.invoice is not None:
            assert now.due == due_on(now.invoice) == due_of(job)
        if job.stage == Stage.RDY:
            facts = gather(job)
            assert facts.invoice_issued == (now.invoice is not None)
            assert facts.paid_or_on_account == (now.invoice is not None and now.due <= 0)
    counted = DrawerCount.objects.order_by("number")
    assert [one.number for one in counted] == list(range(1, len(counted) + 1))
    for count in counted:
        cash = sum(count.payments.filter(method="cash").values_list("amount", flat=True), ZERO)
        assert (count.cash, count.expected, count.difference) == (cash, count.opening + cash, ZERO)
    takings = drawer().takings
    assert takings.all.together == sum(Payment.objects.filter(count=None).values_list("amount", flat=True), ZERO)
    assert takings.all.together == sum((sums.together for _, sums in takings.methods), ZERO)
    assert takings.all.together == sum((together for _, _, together in takings.people), ZERO)
    for numbers, series in (
        (Invoice.objects.order_by("pk").values_list("number", flat=True), "2026-"),
        (CreditNote.objects.order_by("pk").values_list("number", flat=True), "C2026-"),
    ):
        assert list(numbers) == [f"{series}{n:04}" for n in range(1, len(numbers) + 1)]


@settings(max_examples=max(12, settings.default.max_examples // 4) if settings.default else 12)
@given(st.lists(act, min_size=1, max_size=14))
def test_the_rows_make_the_balance(acts: list[Any]) -> None:
    with transaction.atomic():
        factory.shop()
        owner = factory.party()
        jobs = [bow(net, Stage.RDY, owner=owner) for net in ("55.80", "0.10", "33.33")]
        for what, *given_to in acts:
            with suppress(Refused), transaction.atomic():
                _do(jobs, what, *given_to)
            _holds(jobs)
        assert (Payment.objects.aggregate(sum=Sum("amount"))["sum"] or ZERO) >= 0
        transaction.set_rollback(True)
