"""Money put right: taken back by a mirror, given back with a reason; never erased, never below nothing."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from jobs.billing.giving_back import reverse
from jobs.billing.models import Payment
from jobs.billing.reads import account, due_of, open_invoices
from jobs.book.models import Entry, Job
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.moves.facts import gather
from shop.people.roles import Role
from tests import factory
from tests.billing.till import bow, give_back, invoice, pay, take_back, taken_off
from tests.factory import NOW

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def job() -> Job:
    factory.shop()
    return bow()


def test_a_payment_taken_back_stays_in_the_book_beside_its_mirror(job: Job) -> None:
    invoice(job)
    row = pay(job, "55.80", "card", reference="slip 4711")
    mirror = take_back(row)
    assert (mirror.amount, mirror.kind, mirror.method, mirror.reversal_of) == (D("-55.80"), "payment", "card", row)
    assert Payment.objects.count() == 2
    assert due_of(job) == D("55.80")
    said = Entry.objects.get(action="payment.reversed", job=job).data
    assert (said["payment"], said["mirror"], said["amount"], said["reason"]) == (
        row.pk, mirror.pk, "55.80", "typed twice",
    )  # fmt: skip


def test_twice_is_refused_and_says_who_did_it(job: Job) -> None:
    invoice(job)
    row = pay(job, "55.80")
    mirror = take_back(row)
    with pytest.raises(Refused, match="Maris reversed it already"):
        take_back(row)
    with pytest.raises(Refused, match="takes another row back"):
        take_back(mirror)
    with pytest.raises(IntegrityError), transaction.atomic():
        Payment.objects.create(
            invoice=row.invoice, kind="payment", method="cash", amount=D("-55.80"), reason="x", reversal_of=row,
            at=NOW, by=row.by,
        )  # fmt: skip


def test_a_second_press_makes_no_second_mirror(job: Job) -> None:
    invoice(job)
    row, desk = pay(job, "55.80"), factory.person(Role.DESK)
    reverse(row, reason="typed twice", by=desk, at=NOW, key="reverse-key-1")
    with pytest.raises(Again):
        reverse(row, reason="typed twice", by=desk, at=NOW, key="reverse-key-1")
    assert Payment.objects.count() == 2


@pytest.mark.parametrize(("reason", "says"), [("  ", "what was wrong"), ("x" * 161, "Shorten it")])
def test_it_needs_a_reason(job: Job, reason: str, says: str) -> None:
    invoice(job)
    with pytest.raises(Refused, match=says):
        take_back(pay(job, "55.80"), reason)


def test_what_went_home_paid_is_owed_again_and_listed(job: Job) -> None:
    invoice(job)
    row = pay(job, "55.80")
    Job.objects.filter(pk=job.pk).update(stage=Stage.HOME, closed_at=NOW, closed_as="home")
    assert open_invoices() == []
    take_back(row)
    assert [(one.due, one.gone_home) for one in open_invoices()] == [(D("55.80"), True)]


def test_a_deposit_taken_back_is_asked_for_again(job: Job) -> None:
    row = pay(job, "20.00")
    take_back(row)
    assert account(job, factory.shop(), on=NOW.date()).deposit_paid == 0
    made = invoice(job)
    assert (made.deposit, made.balance) == (D(0), D("55.80"))
    assert made.paper is not None
    assert "20.00" not in made.paper.text


def test_a_deposit_taken_back_after_the_invoice_raises_what_is_owed(job: Job) -> None:
    row = pay(job, "20.00")
    invoice(job)
    assert due_of(job) == D("35.80")
    take_back(row)
    assert due_of(job) == D("55.80")


def test_nothing_more_is_given_back_than_was_paid(job: Job) -> None:
    pay(job, "20.00", "card")
    with pytest.raises(Refused, match=r"Only 20\.00 was paid"):
        give_back(job, "20.01")
    back = give_back(job, "15.00", "card")
    assert (back.amount, back.kind) == (D("-15.00"), "refund")
    with pytest.raises(Refused, match=r"Only 5\.00 was paid"):
        give_back(job, "5.01")
    give_back(job, "5.00")
    with pytest.raises(Refused, match="No deposit is held"):
        give_back(job, "0.01")


def test_a_refund_has_a_receipt_that_says_so(job: Job) -> None:
    pay(job, "20.00")
    back = give_back(job, "20.00")
    assert back.paper is not None
    assert '"title":"Refund"' in back.paper.text
    assert '"reason":"did not want it after all"' in back.paper.text
    assert Entry.objects.filter(action="payment.refunded", job=job).count() == 1


def test_a_paid_invoice_gives_nothing_back_before_a_credit_note(job: Job) -> None:
    made = invoice(job)
    pay(job, "55.80")
    with pytest.raises(Refused, match="credit note comes first"):
        give_back(made, "10.00")
    with pytest.raises(Refused, match="has taken the deposit"):
        give_back(job, "10.00")
    taken_off(made, {made.lines.get().pk: D("10.00")})
    assert due_of(job) == D("-10.00")
    with pytest.raises(Refused, match=r"Only 10\.00 was paid"):
        give_back(made, "10.01")
    give_back(made, "10.00")
    assert due_of(job) == 0
    assert open_invoices() == []


def test_a_payment_of_which_a_part_was_given_back_is_not_taken_back_first(job: Job) -> None:
    made = invoice(job)
    row = pay(job, "55.80")
    taken_off(made, {made.lines.get().pk: None})
    back = give_back(made, "55.80")
    with pytest.raises(Refused, match="Reverse the refund first"):
        take_back(row)
    take_back(back, "gave nothing back")
    take_back(row)
    assert due_of(job) == 0


def test_a_reversed_deposit_stops_the_gate_again(job: Job) -> None:
    made = invoice(job)
    row = pay(job, "55.80")
    Job.objects.filter(pk=job.pk).update(stage=Stage.RDY)
    job.refresh_from_db()
    assert gather(job).paid_or_on_account
    take_back(row)
    assert not gather(job).paid_or_on_account
    assert made.of_jobs.get().live


def test_change_is_worked_out_and_kept(job: Job) -> None:
    invoice(job)
    row = pay(job, "37.60", given=D("50.00"))
    assert row.given == D("50.00")
    assert row.paper is not None
    assert "given 50.00, back 12.40" in row.paper.text
    with pytest.raises(Refused, match="less than"):
        pay(job, "18.20", given=D("18.00"))
    with pytest.raises(Refused, match="Only cash gives change"):
        pay(job, "18.20", "card", given=D("20.00"))


def test_the_database_refuses_a_row_of_the_wrong_sign_or_of_nothing(job: Job) -> None:
    desk = factory.person(Role.DESK)
    wrong = [
        {"kind": "deposit", "amount": D("-1"), "job": job},
        {"kind": "refund", "amount": D("1"), "job": job, "reason": "x"},
        {"kind": "refund", "amount": D("-1"), "job": job, "reason": ""},
        {"kind": "deposit", "amount": D("1")},
        {"kind": "payment", "amount": D("1"), "job": job},
    ]
    for fields in wrong:
        with pytest.raises(IntegrityError), transaction.atomic():
            Payment.objects.create(method="cash", at=NOW, by=desk, **fields)
