"""After an owner declined: plain steps on the job page, the fee, home as refused and returned."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.bench.checks import DONE, check
from jobs.bench.reads import work_of
from jobs.bench.steps import start, stop
from jobs.billing.models import Invoice
from jobs.billing.steps import issue, take_payment
from jobs.book.models import Job, JobParty
from jobs.book.refusals import Refused, Stale
from jobs.book.stages import Stage
from jobs.estimates.answers import Came, answer
from jobs.estimates.models import Refusal
from jobs.estimates.refusals import REASSEMBLY, settle
from jobs.estimates.sending import send
from jobs.estimates.steps import name_fee
from jobs.handover.steps import hand_over
from jobs.moves.steps import move
from jobs.papers.texts import Signed, moment
from jobs.updates.models import Message
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory

pytestmark = pytest.mark.django_db(transaction=True)
BACKEND = "django.contrib.auth.backends.ModelBackend"
PEN = (((100, 250, 0), (300, 90, 40), (500, 300, 90)),)


@pytest.fixture
def maris() -> Person:
    factory.shop()
    return factory.person(Role.DESK)


def _declined(maris: Person, *, fee: int = 0) -> Job:
    job = factory.job(Stage.EXA, assigned=factory.person(Role.LUTHIER))
    at = timezone.now()
    draft = factory.draft(job, at=at)
    name_fee(draft, Decimal(fee), by=maris, at=at)
    estimate = send(draft, by=maris, at=at)
    party = job.roles.get(role="owner").party
    answer(estimate, option=None, came=Came(how="phone", name=party.name, party=party, by=maris), at=at)
    job.refresh_from_db()
    assert job.stage == Stage.ANS
    return job


def _desk(maris: Person) -> Client:
    client = Client()
    client.force_login(maris, backend=BACKEND)
    return client


def _say(client: Client, job: Job, **fields: object) -> Any:
    given = {"opened": "no", "fee": "none", "key": "press-says1", **fields}
    return client.post(reverse("desk:refused", args=[job.number]), given)


def _home(job: Job, maris: Person) -> Job:
    party, at = job.roles.get(role="owner").party, timezone.now()
    hand_over(
        [job.pk], ticked={f"i{job.pk}"}, collector=party, collector_name=party.name, identity_note="known to us",
        signed=Signed(role="collector", name=party.name, at=moment(at, factory.shop().zone), strokes=PEN),
        by=maris, at=at, key="press-home1",
    )  # fmt: skip
    job.refresh_from_db()
    return job


def _kinds(job: Job) -> list[str]:
    told = Message.objects.filter(job=job).exclude(state="dropped").exclude(kind="estimate")
    return list(told.order_by("pk").values_list("kind", flat=True))


def test_what_was_not_opened_is_ready_at_once_and_closed_as_refused(maris: Person) -> None:
    job, client = _declined(maris), _desk(maris)
    page = client.get(reverse("desk:job", args=[job.number])).content.decode()
    assert "The owner declined" in page
    assert "The estimate named no fee" in page
    assert _say(client, job).status_code == 302
    job.refresh_from_db()
    assert job.stage == Stage.RDY
    assert _home(job, maris).closed_as == "refused"
    assert job.stage == Stage.HOME
    assert not Invoice.objects.exists()
    assert _kinds(job) == ["declined", "stage-RDY"]
    ready = Message.objects.get(kind="stage-RDY").body
    assert "As you decided, we have left your violin as it was." in ready
    assert "There is nothing to pay." in ready
    page = client.get(reverse("desk:job", args=[job.number])).content.decode()
    assert "gave it back and closed it as refused and returned" in page


def test_what_was_opened_is_put_together_checked_and_its_fee_paid(maris: Person) -> None:
    job, tobiah, jorin = _declined(maris, fee=25), factory.person(Role.LUTHIER), factory.person(Role.TECHNICIAN)
    assert _say(_desk(maris), job, opened="yes", fee="take").status_code == 302
    job.refresh_from_db()
    assert job.stage == Stage.QUE
    assert [line.words for line in work_of(job).agreed] == [REASSEMBLY]
    at = timezone.now()
    move(job.pk, Stage.BEN, by=tobiah, at=at, seen=job.revision, key="press-ben01")
    spell = start(job, None, by=tobiah, at=at).spell
    stop(spell, by=tobiah, at=at + timedelta(minutes=20))
    job.refresh_from_db()
    move(job.pk, Stage.CHK, by=tobiah, at=at + timedelta(minutes=21), seen=job.revision, key="press-chk01")
    later = at + timedelta(minutes=30)
    check(job, ticks={"whole": DONE}, here=set(), passed=True, words="", by=jorin, at=later)
    job.refresh_from_db()
    with pytest.raises(Refused, match="invoice is not issued"):
        move(job.pk, Stage.RDY, by=jorin, at=later, seen=job.revision, key="press-rdy01")
    made = issue(job, by=maris, at=later, key="press-bill1")
    assert (made.net, [line.words for line in made.lines.all()]) == (
        Decimal(25),
        ["Examination and estimate, version 1"],
    )
    move(job.pk, Stage.RDY, by=jorin, at=later, seen=job.revision, key="press-rdy02")
    with pytest.raises(Refused, match="not paid"):
        _home(job, maris)
    take_payment(job, Decimal(25), "cash", by=maris, at=later, key="press-pay01")
    assert _home(job, maris).closed_as == "refused"
    # one letter after the refusal, one when it is ready, with the invoice beside it
    assert _kinds(job) == ["declined", "stage-RDY"]
    first, ready = (Message.objects.get(kind=kind) for kind in ("declined", "stage-RDY"))
    assert "25.00 for the examination" in first.body
    assert "put your violin together again" in ready.body
    assert "To pay when you collect: 25.00." in ready.body
    assert ready.paper == made.paper


def test_a_fee_is_invoiced_before_it_is_ready_and_then_it_is(maris: Person) -> None:
    job = _declined(maris, fee=25)
    page = _say(_desk(maris), job, fee="take")
    assert page.status_code == 302
    job.refresh_from_db()
    assert job.stage == Stage.ANS
    issue(job, by=maris, at=timezone.now(), key="press-bill1")
    job.refresh_from_db()
    assert job.stage == Stage.RDY


def test_a_fee_is_let_go_only_with_a_reason_that_is_kept(maris: Person) -> None:
    job, client = _declined(maris, fee=25), _desk(maris)
    assert "Write why the fee is not taken." in _say(client, job, fee="waive").content.decode()
    assert _say(client, job, fee="waive", reason="She has been with us for years").status_code == 302
    assert job.entries.get(action="fee.waived").data["fee"] == "25.00"
    assert Refusal.objects.get().waived == "She has been with us for years"
    job.refresh_from_db()
    assert job.stage == Stage.RDY
    assert "There is nothing to pay." in Message.objects.get(kind="stage-RDY").body


@pytest.mark.parametrize("fields", [{"opened": ""}, {"opened": "maybe"}, {"fee": "take"}, {"fee": "half"}, {"key": ""}])
def test_what_is_missing_or_odd_is_refused_in_words(maris: Person, fields: dict[str, object]) -> None:
    job = _declined(maris)
    assert _say(_desk(maris), job, **fields).status_code == 422
    assert not Refusal.objects.exists()


def test_it_is_settled_once(maris: Person) -> None:
    job, client = _declined(maris), _desk(maris)
    assert [_say(client, job).status_code for _ in range(2)] == [302, 302]
    with pytest.raises(Stale):
        settle(job, reassemble=True, take_fee=False, by=maris, at=timezone.now())
    assert Refusal.objects.count() == 1


def test_a_job_that_was_agreed_to_has_no_refusal_to_settle(maris: Person) -> None:
    job = factory.job(Stage.ANS)
    factory.approved(job, "New bridge")
    with pytest.raises(Stale, match="No refusal"):
        settle(job, reassemble=False, take_fee=False, by=maris, at=timezone.now())


def test_a_childs_name_is_in_none_of_these_letters(maris: Person) -> None:
    job = _declined(maris, fee=25)
    JobParty.objects.create(job=job, party=factory.party("Tomi Sandhollow", minor=True), role="player")
    JobParty.objects.create(job=job, party=factory.party("Tomi Sandhollow", minor=True), role="collector")
    settle(job, reassemble=False, take_fee=False, reason="a gift", by=maris, at=timezone.now())
    for letter in Message.objects.filter(job=job):
        assert "Tomi" not in letter.body + letter.subject
