"""Three bows given back together: one invoice, one payment, one receipt, one letter."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from jobs.billing.models import Invoice, InvoiceJob, Payment
from jobs.billing.reads import account, due_of, open_invoices
from jobs.billing.steps import go_on_account, issue, issue_together, take_payment
from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.links.steps import link_for
from jobs.moves.facts import gather
from jobs.owner.reads import owner_page, papers_for
from jobs.papers.models import Paper
from jobs.papers.reads import papers_of
from jobs.updates import letters
from jobs.updates.models import Message
from jobs.updates.reads import about, ready_facts, roles_of, sender_of
from shop.people.roles import Role
from shop.profile.reads import profile
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
D = Decimal
BOW: dict[str, Any] = {"agreed_words": "Rehair", "agreed_net": D("55.80")}


@pytest.fixture
def owner() -> Party:
    factory.shop()
    return factory.party()


@pytest.fixture
def bows(owner: Party) -> list[Job]:
    things = [factory.item(owner, kind="Bw", size="violin", title=f"Violin bow {n}") for n in (1, 2, 3)]
    return [factory.job(Stage.CHK, owner=owner, item=each, **BOW) for each in things]


def _issue(jobs: list[Job], key: str = "issue-key-1") -> Invoice:
    return issue_together(jobs, by=factory.person(Role.DESK), at=NOW, key=key)


def _pay(job: Job, amount: str, key: str = "pay-key-001") -> Payment:
    return take_payment(job, D(amount), "cash", by=factory.person(Role.DESK), at=NOW, key=key)


def test_three_bows_are_one_invoice_with_a_line_for_each(bows: list[Job]) -> None:
    made = _issue(bows)
    assert (made.number, made.gross) == ("2026-0001", D("167.40"))
    assert [line.job for line in made.lines.all()] == bows
    assert made.paper is not None
    for job in bows:
        assert job.number in made.paper.text
        assert list(papers_of(job)) == [made.paper]
        assert job.entries.filter(action="invoice.issued").count() == 1


def test_one_payment_through_any_of_them_pays_them_all(bows: list[Job]) -> None:
    _issue(bows)
    Job.objects.update(stage=Stage.RDY)
    jobs = list(Job.objects.all())
    _pay(jobs[1], "100.00")
    assert [due_of(job) for job in jobs] == [D("67.40")] * 3
    assert not gather(jobs[0]).paid_or_on_account
    _pay(jobs[2], "67.40", "pay-key-002")
    assert [gather(job).paid_or_on_account for job in jobs] == [True] * 3
    assert open_invoices() == []
    assert Paper.objects.filter(kind="receipt").count() == 2
    with pytest.raises(Refused, match=r"Only 0\.00 is owed"):
        _pay(jobs[0], "0.01", "pay-key-003")


def test_every_deposit_comes_off(bows: list[Job]) -> None:
    _pay(bows[0], "20.00")
    _pay(bows[2], "5.80", "pay-key-002")
    made = _issue(bows)
    assert (made.deposit, made.balance) == (D("25.80"), D("141.60"))
    assert account(bows[1], factory.shop(), on=NOW.date()).due == D("141.60")
    assert made.paper is not None
    assert '"amount":"5.80"' in made.paper.text


def test_one_letter_tells_of_them_all(bows: list[Job], django_capture_on_commit_callbacks: object) -> None:
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        _issue(bows)
    letter = Message.objects.get(kind="invoice")
    assert all(f"your violin bow ({job.number})" in letter.body for job in bows)
    assert letter.subject == "Invoice 2026-0001"


def test_they_go_on_account_together(bows: list[Job]) -> None:
    _issue(bows)
    go_on_account(bows[0], "school pays at 30 days", by=factory.person(Role.DESK), at=NOW, key="account-1")
    assert [gather(Job.objects.get(pk=job.pk)).paid_or_on_account for job in bows] == [False] * 3, "not asked in CHK"
    Job.objects.update(stage=Stage.RDY)
    assert [gather(Job.objects.get(pk=job.pk)).paid_or_on_account for job in bows] == [True] * 3


def test_different_payers_have_different_invoices(bows: list[Job]) -> None:
    stranger = factory.job(Stage.CHK, **BOW)
    with pytest.raises(Refused, match="paid by different people"):
        _issue([*bows, stranger])
    assert not Invoice.objects.exists()


def test_what_stops_one_stops_them_all_and_is_named(bows: list[Job]) -> None:
    issue(bows[1], by=factory.person(Role.DESK), at=NOW, key="issue-key-1")
    with pytest.raises(Refused, match=rf"Job {bows[1].number}: Invoice 2026-0001 is issued already"):
        _issue(bows, "issue-key-2")
    assert _issue([bows[0], bows[2]], "issue-key-3").number == "2026-0002"
    with pytest.raises(Refused, match="at least one"):
        _issue([], "issue-key-4")


def test_the_database_keeps_a_job_off_a_second_live_invoice(bows: list[Job]) -> None:
    first = _issue(bows[:1])
    other = _issue(bows[1:], "issue-key-2")
    with pytest.raises(IntegrityError), transaction.atomic():
        InvoiceJob.objects.create(invoice=other, job=bows[0])
    assert first.jobs.get() == bows[0]


def test_an_owner_sees_a_shared_paper_only_with_a_say_in_every_job_of_it(bows: list[Job], owner: Party) -> None:
    _issue(bows)
    friend = factory.party("Pascoe Dunwinter")
    bows[0].roles.create(party=friend, role="approver")
    seen = {}
    for who in (owner, friend):
        link = link_for("owner", job_id=bows[0].pk, party_id=who.pk, at=NOW)
        seen[who.name] = papers_for(link, frozenset({"approver"}))
    assert [paper.number for paper in seen["Imelda Rookstone"]] == ["2026-0001"]
    assert seen["Pascoe Dunwinter"] == []


@pytest.mark.parametrize("cents", range(1, 60))
def test_sums_that_are_no_binary_fractions_are_no_fault(owner: Party, cents: int) -> None:
    """0.1 + 0.2 is not 0.3 in binary, which is how SQLite adds: every seventh invoice was refused by its own check."""
    job = factory.job(Stage.CHK, owner=owner, agreed_words="Rehair", agreed_net=D(cents * 37) / 100)
    assert _issue([job]).gross == D(cents * 37) / 100
    Invoice.objects.filter(number="2026-0001").update(
        net=D(cents * 37) / 100, tax=D(cents * 7) / 100, gross=D(cents * 44) / 100, balance=D(cents * 44) / 100
    )


def test_a_deposit_of_one_job_is_not_the_deposit_of_another_on_the_same_invoice(bows: list[Job], owner: Party) -> None:
    _pay(bows[0], "20.00")
    _issue(bows)
    assert [account(job, profile(), on=NOW.date()).deposit_paid for job in bows] == [D("20.00"), D(0), D(0)]


def test_whoever_owns_one_thing_of_a_joint_invoice_is_not_told_what_the_others_cost(owner: Party) -> None:
    orchestra, jobs = owner, []
    for n in (1, 2):
        player = factory.party(f"Player {n}")
        job = factory.job(Stage.CHK, owner=player, **BOW)
        job.roles.filter(role="payer").update(party=orchestra)
        jobs.append(job)
    _issue(jobs)
    Job.objects.update(stage=Stage.RDY)
    player = jobs[0].roles.get(role="owner").party
    job = Job.objects.get(pk=jobs[0].pk)
    for party, due in ((player, None), (orchestra, D("111.60"))):
        facts = ready_facts(job, roles_of(job), to=party)
        page = owner_page(link_for("owner", job_id=job.pk, party_id=party.pk, at=NOW), shop=profile(), at=NOW)
        assert page.ready == facts
        assert (facts.due, facts.elsewhere) == (due, due is None)
    body = letters.ready(about(job, player), sender_of(profile()), ready_facts(job, roles_of(job), to=player)).body
    assert "The invoice is with whoever pays for it." in body
    assert "111.60" not in body
