"""Credit notes: an issued invoice is taken back by a document of its own, at the tax of its own lines."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from jobs.billing.amounts import Part, part_of
from jobs.billing.crediting import lines_left
from jobs.billing.models import CreditNote, Invoice, InvoiceLine
from jobs.billing.reads import account, credited_on, due_of
from jobs.book.models import Entry, Job
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.moves.facts import gather
from jobs.papers.models import Paper
from jobs.updates.models import Message
from shop.money import tax_on
from tests import factory
from tests.billing.till import bow, invoice, pay, take_back, taken_off
from tests.factory import NOW

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def job() -> Job:
    factory.shop()
    return bow()


def _lines(made: Invoice, *lines: tuple[str, str]) -> list[InvoiceLine]:
    """Give an invoice these lines instead, net and tax rate, so that sums of several rates can be tried."""
    job = made.jobs.get()
    made.lines.all().delete()
    rows = []
    for position, (net, rate) in enumerate(lines, 1):
        taxed = tax_on(D(net), D(rate))
        fields = {"tax_class": "goods", "tax_rate": D(rate), "net": taxed.net, "tax": taxed.tax}
        rows.append(
            InvoiceLine.objects.create(invoice=made, job=job, position=position, words=f"Line {position}", **fields)
        )
    whole, tax = sum((row.net for row in rows), D(0)), sum((row.tax for row in rows), D(0))
    Invoice.objects.filter(pk=made.pk).update(net=whole, tax=tax, gross=whole + tax, balance=whole + tax)
    made.refresh_from_db()
    return rows


def test_the_whole_is_taken_back_to_the_last_cent_of_tax(job: Job) -> None:
    """Lines 456.30, 57.51 and 96.00, the last two at 8.25 %: 4.74 + 7.92 tax, 622.47 together (computed, half up)."""
    made = invoice(job)
    rows = _lines(made, ("456.30", "0"), ("57.51", "8.25"), ("96.00", "8.25"))
    note = taken_off(made, {row.pk: None for row in rows})
    assert (note.net, note.tax, note.gross) == (D("609.81"), D("12.66"), D("622.47"))
    assert note.number == "C2026-0001"
    assert due_of(job) == 0


def test_a_part_carries_the_tax_of_its_line(job: Job) -> None:
    """119.99 with 20 % in it is 99.99 and 20.00 (computed)."""
    made = invoice(job)
    (row,) = _lines(made, ("200.00", "20"))
    note = taken_off(made, {row.pk: D("119.99")})
    assert (note.net, note.tax) == (D("99.99"), D("20.00"))
    assert lines_left(made)[0].left == Part(D("100.01"), D("20.00"))


def test_parts_that_make_the_whole_leave_nothing_behind(job: Job) -> None:
    """3.35 at 8.25 % is taxed 0.28 a line (half up, computed): three times 1.00 and then the rest."""
    made = invoice(job)
    (row,) = _lines(made, ("3.35", "8.25"))
    for part in ("1.00", "1.00", "1.00", "0.63"):
        taken_off(made, {row.pk: D(part)})
    assert lines_left(made)[0].left == Part(D(0), D(0))
    assert [note.number for note in CreditNote.objects.order_by("pk")] == [f"C2026-000{n}" for n in (1, 2, 3, 4)]
    with pytest.raises(Refused, match="credited already"):
        taken_off(made, {row.pk: None})


cents = st.integers(min_value=1, max_value=2_000_000).map(lambda n: D(n) / 100)


@given(cents, st.sampled_from(["0", "5", "7.7", "8.25", "19", "20", "25"]), st.lists(st.integers(1, 9), max_size=5))
def test_any_parts_stay_within_the_line(net: Decimal, rate: str, shares: list[int]) -> None:
    taxed = tax_on(net, D(rate))
    left = Part(taxed.net, taxed.tax)
    for share in shares:
        asked = (left.gross * share / 10).quantize(D("0.01"))
        if not 0 < asked <= left.gross:
            continue
        part = part_of(asked, D(rate), left)
        assert part.gross == asked
        assert 0 <= part.net <= left.net
        assert 0 <= part.tax <= left.tax
        left = Part(left.net - part.net, left.tax - part.tax)


def test_more_than_is_left_is_refused(job: Job) -> None:
    made = invoice(job)
    row = made.lines.get()
    with pytest.raises(Refused, match=r"55\.80 is left"):
        taken_off(made, {row.pk: D("55.81")})
    with pytest.raises(Refused, match="Choose what is credited"):
        taken_off(made, {})
    with pytest.raises(Refused, match="out of date"):
        taken_off(made, {row.pk + 1: None})
    assert not CreditNote.objects.exists()


def test_a_discount_is_taken_back_with_its_line(job: Job) -> None:
    made = invoice(job)
    work, less = _lines(made, ("100.00", "10"), ("-20.00", "10"))
    with pytest.raises(Refused, match=r"only 88\.00 is left"):
        taken_off(made, {work.pk: None})
    with pytest.raises(Refused, match="only be credited whole"):
        taken_off(made, {work.pk: None, less.pk: D("5.00")})
    with pytest.raises(Refused, match="takes nothing back"):
        taken_off(made, {less.pk: None})
    assert taken_off(made, {work.pk: None, less.pk: None}).gross == D("88.00")


def test_it_is_frozen_on_paper_and_told_with_both_values(job: Job) -> None:
    made = invoice(job)
    note = taken_off(made, {made.lines.get().pk: D("10.00")})
    assert note.paper is not None
    assert note.paper.kind == "credit"
    assert '"left":"45.80"' in note.paper.text
    said = Entry.objects.get(action="invoice.credited", job=job).data
    assert (said["was"], said["now"], said["number"]) == ("55.80", "45.80", "C2026-0001")
    with pytest.raises(IntegrityError), transaction.atomic():
        CreditNote.objects.filter(pk=note.pk).update(net=D("1.00"))


def test_taken_back_whole_a_job_may_go_home_unless_a_new_invoice_follows(job: Job) -> None:
    made = invoice(job)
    Job.objects.filter(pk=job.pk).update(stage=Stage.RDY)
    job.refresh_from_db()
    assert not gather(job).paid_or_on_account
    taken_off(made, {made.lines.get().pk: None})
    facts = gather(job)
    assert (facts.invoice_issued, facts.paid_or_on_account) == (True, True)


def test_a_new_invoice_takes_over_what_was_paid(job: Job) -> None:
    made = invoice(job)
    pay(job, "30.00", "card")
    with pytest.raises(Refused, match="every line, whole"):
        taken_off(made, {made.lines.get().pk: D("5.00")}, anew=True)
    taken_off(made, {made.lines.get().pk: None}, anew=True)
    Job.objects.filter(pk=job.pk).update(stage=Stage.RDY)
    job.refresh_from_db()
    assert not gather(job).invoice_issued
    again = invoice(job)
    assert (again.number, again.deposit, again.balance) == ("2026-0002", D("30.00"), D("25.80"))
    now = account(job, factory.shop(), on=NOW.date())
    assert (now.invoice, now.due) == (again, D("25.80"))
    assert credited_on(made) == made.gross
    assert Paper.objects.filter(kind="invoice").count() == 2


def test_a_payment_carried_to_a_new_invoice_is_taken_back_there(job: Job) -> None:
    made = invoice(job)
    row = pay(job, "30.00")
    taken_off(made, {made.lines.get().pk: None}, anew=True)
    invoice(job)
    row.refresh_from_db()
    take_back(row)
    assert due_of(job) == D("55.80")


def test_the_payer_is_told_once_with_the_paper_beside_it(
    job: Job, django_capture_on_commit_callbacks: Callable[..., Any]
) -> None:
    owner = job.roles.get(role="payer").party
    made = invoice(job, bow(owner=owner))
    first = made.lines.all()[0]
    with django_capture_on_commit_callbacks(execute=True):
        note = taken_off(made, {first.pk: D("10.00")})
    letter = Message.objects.get(kind="credit")
    assert (letter.party, letter.paper) == (owner, note.paper)
    assert "Credit note C2026-0001 takes 10.00 of it back" in letter.body
    assert "To pay: 101.60." in letter.body


def test_what_went_home_can_be_invoiced_anew(job: Job) -> None:
    made = invoice(job)
    Job.objects.filter(pk=job.pk).update(stage=Stage.HOME, closed_at=NOW, closed_as="home")
    taken_off(made, {made.lines.get().pk: None}, anew=True)
    assert invoice(job).number == "2026-0002"
