"""Payments and invoices: what is refused, what is numbered, what is frozen."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from jobs.billing.models import Invoice, Payment
from jobs.billing.reads import account, open_invoices
from jobs.billing.steps import amount_in, go_on_account, issue, take_payment
from jobs.book.models import Entry, Job
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.papers.models import Paper
from shop.people.roles import Role
from shop.profile.models import TaxRate
from tests import factory

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def job() -> Job:
    factory.shop()
    return factory.job(Stage.CHK, agreed_words="rehair", agreed_net=D("55.80"))


def _issue(job: Job, key: str = "issue-key-1") -> Invoice:
    return issue(job, by=factory.person(Role.DESK), at=factory.NOW, key=key)


def _pay(job: Job, amount: str, key: str = "pay-key-001", method: str = "cash") -> Payment:
    return take_payment(job, D(amount), method, by=factory.person(Role.DESK), at=factory.NOW, key=key)


def test_an_invoice_takes_the_deposit_off_and_is_frozen_on_paper(job: Job) -> None:
    _pay(job, "20.00")
    made = _issue(job)
    assert (made.gross, made.deposit, made.balance) == (D("55.80"), D("20.00"), D("35.80"))
    assert made.number == "2026-0001"
    assert made.paper is not None
    assert "55.80" in made.paper.text
    assert Paper.objects.filter(kind="receipt").count() == 1


def test_numbers_have_no_gap_after_a_refusal(job: Job) -> None:
    _issue(job)
    with pytest.raises(Refused, match="issued already"):
        _issue(job, "issue-key-2")
    other = factory.job(Stage.CHK, agreed_words="strings", agreed_net=D("10.00"))
    assert _issue(other, "issue-key-3").number == "2026-0002"


def test_a_second_press_makes_no_second_invoice(job: Job) -> None:
    first = _issue(job)
    with pytest.raises(Again) as again:
        _issue(job)
    assert again.value.made == {"invoice": first.pk}
    assert Invoice.objects.count() == 1


def test_nothing_agreed_means_nothing_to_invoice() -> None:
    factory.shop()
    with pytest.raises(Refused, match="Nothing was agreed"):
        _issue(factory.job(Stage.CHK))


def test_the_final_invoice_waits_for_the_second_check() -> None:
    factory.shop()
    with pytest.raises(Refused, match="Second check"):
        _issue(factory.job(Stage.BEN, agreed_words="rehair", agreed_net=D("55.80")))


def test_more_than_is_owed_is_refused(job: Job) -> None:
    _issue(job)
    with pytest.raises(Refused, match=r"Only 55\.80 is owed"):
        _pay(job, "60.00")
    _pay(job, "55.80", "pay-key-002")
    with pytest.raises(Refused, match=r"Only 0\.00 is owed"):
        _pay(job, "0.01", "pay-key-003")


def test_a_tax_exempt_paper_counts_only_until_its_day() -> None:
    shop = factory.shop()
    school = factory.party(
        "Kesterby Vale School District", body=True, tax_exempt_paper="TX-1", tax_exempt_until="2026-11-25"
    )
    job = factory.job(Stage.CHK, owner=school, agreed_words="rehair", agreed_net=D("45.00"))
    TaxRate.objects.filter(tax_class__code="labour").update(rate=D("10"))
    assert account(job, shop, on=factory.NOW.date()).bill.tax == 0  # type: ignore[union-attr]
    late = factory.NOW.date().replace(day=26)
    assert account(job, shop, on=late).bill.tax == D("4.50")  # type: ignore[union-attr]


def test_going_on_account_needs_a_reason_and_an_invoice(job: Job) -> None:
    desk = factory.person(Role.DESK)
    with pytest.raises(Refused, match="final invoice first"):
        go_on_account(job, "school pays at 30 days", by=desk, at=factory.NOW, key="account-1")
    _issue(job)
    with pytest.raises(Refused, match="Write why"):
        go_on_account(job, "  ", by=desk, at=factory.NOW, key="account-2")
    with pytest.raises(Refused, match="Shorten it"):
        go_on_account(job, "x" * 161, by=desk, at=factory.NOW, key="account-2")
    go_on_account(job, "school pays at 30 days", by=desk, at=factory.NOW, key="account-3")
    assert Entry.objects.filter(action="account.opened", job=job).count() == 1


def test_open_invoices_leave_out_what_is_paid(job: Job) -> None:
    _issue(job)
    assert [(one.jobs, one.due) for one in open_invoices()] == [((job,), D("55.80"))]
    _pay(job, "50.00")
    assert [one.due for one in open_invoices()] == [D("5.80")]
    _pay(job, "5.80", "pay-key-004")
    assert open_invoices() == []


def test_the_database_refuses_an_invoice_that_does_not_add_up(job: Job) -> None:
    made = _issue(job)
    with pytest.raises(IntegrityError), transaction.atomic():
        Invoice.objects.filter(pk=made.pk).update(net=D("1.00"))


@pytest.mark.parametrize("typed", ["", "abc", "-5", "0", "1.234", "284,24", "1e400", "NaN", "9999999999"])
def test_what_is_not_an_amount_is_said_in_words(typed: str) -> None:
    with pytest.raises(Refused):
        amount_in(typed, 2)


@pytest.mark.parametrize(("typed", "amount"), [("284.24", "284.24"), ("1,234.50", "1234.50"), (" 7 ", "7")])
def test_amounts_as_people_type_them(typed: str, amount: str) -> None:
    assert amount_in(typed, 2) == D(amount)
