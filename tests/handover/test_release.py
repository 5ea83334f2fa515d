"""Handing over: nothing goes home unticked, unsigned, unpaid, or to a stranger."""

import json
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.billing.steps import go_on_account, issue, take_payment
from jobs.book.models import Accessory, Hold, Job, Party
from jobs.book.stages import Stage
from jobs.custody.models import Release, Sighting
from jobs.handover.steps import money_words
from jobs.papers.models import Paper
from shop.people.roles import Role
from shop.profile.reads import profile
from tests import factory

pytestmark = pytest.mark.django_db
STROKES = json.dumps([[[100, 200, 0], [400, 120, 80], [700, 260, 160]]])


@pytest.fixture
def job() -> Job:
    factory.shop()
    made = factory.job(Stage.CHK, agreed_words="rehair", agreed_net=Decimal("55.80"))
    Accessory.objects.create(job=made, words="case", left=True)
    Accessory.objects.create(job=made, words="shoulder rest", left=False, position=1)
    issue(made, by=factory.person(Role.DESK), at=factory.NOW, key="issue-key-1")
    Job.objects.filter(pk=made.pk).update(stage=Stage.RDY)
    made.refresh_from_db()
    return made


def _pay(job: Job) -> None:
    take_payment(job, Decimal("55.80"), "card", by=factory.person(Role.DESK), at=factory.NOW, key="pay-key-001")


def _post(job: Job, **changes: Any) -> Any:
    client = Client()
    client.force_login(factory.person(Role.DESK))
    owner = Party.objects.get(roles__job=job, roles__role="owner")
    case = job.accessories.get(words="case")
    data: dict[str, Any] = {
        "key": "release-key-1",
        "thing": [f"i{job.pk}", f"a{case.pk}"],
        "collector": owner.pk,
        "collector_name": owner.name,
        "identity_note": "known to us",
        "strokes": STROKES,
    }
    return client.post(reverse("handover:release", kwargs={"number": job.number}), {**data, **changes})


def test_everything_ticked_paid_and_signed_goes_home(job: Job) -> None:
    _pay(job)
    answer = _post(job)
    assert answer.status_code == 302
    job.refresh_from_db()
    assert (job.stage, job.closed_as) == (Stage.HOME, "home")
    release = Release.objects.get(job=job)
    assert [thing.words for thing in release.things.all()] == ["Violin 4/4", "case"]
    assert release.paper is not None
    assert release.paper.state == "made"
    assert Sighting.objects.filter(item=job.item, how="home").count() == 1


def test_a_thing_not_ticked_stops_it_by_name(job: Job) -> None:
    _pay(job)
    answer = _post(job, thing=[f"i{job.pk}"])
    assert answer.status_code == 422
    assert "Not ticked: case" in answer.content.decode()
    assert not Release.objects.exists()
    assert not Paper.objects.filter(kind="release").exists()


def test_unpaid_does_not_go_home(job: Job) -> None:
    answer = _post(job)
    assert answer.status_code == 422
    assert "It is not paid" in answer.content.decode()
    job.refresh_from_db()
    assert job.stage == Stage.RDY


@pytest.mark.parametrize(
    ("strokes", "words"),
    [
        ("", "pad is empty"),
        ("[]", "pad is empty"),
        ("[[[5,5,0]]]", "only a dot"),
        ("{nonsense", "did not arrive whole"),
        ("[" * 200_000, "did not arrive whole"),
    ],
)
def test_an_empty_or_one_dot_signature_is_refused_and_what_was_typed_stays(job: Job, strokes: str, words: str) -> None:
    _pay(job)
    answer = _post(job, strokes=strokes)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert "known to us" in page
    assert not Release.objects.exists()


def test_unpaid_is_called_on_account_only_once_somebody_said_so(job: Job) -> None:
    shop = profile()
    number = job.invoices.get().number
    assert money_words(job, shop, factory.NOW) == f"Not paid, invoice {number}: 55.80 to pay."
    go_on_account(job, "school pays at 30 days", by=factory.person(Role.DESK), at=factory.NOW, key="account-1")
    assert money_words(job, shop, factory.NOW) == f"On account, invoice {number}: 55.80 to pay."


def test_a_stranger_may_not_collect(job: Job) -> None:
    _pay(job)
    stranger = factory.party("Pascoe Dunwinter")
    answer = _post(job, collector=stranger.pk)
    assert answer.status_code == 422
    assert not Release.objects.exists()


def test_a_dispute_keeps_it_here(job: Job) -> None:
    _pay(job)
    Hold.objects.create(job=job, kind="dispute", laid_at=factory.NOW)
    answer = _post(job)
    assert answer.status_code == 422
    assert "dispute" in answer.content.decode()


def test_a_double_press_hands_over_once(job: Job) -> None:
    _pay(job)
    _post(job)
    again = _post(job)
    assert again.status_code in {200, 302}
    assert Release.objects.filter(job=job).count() == 1


def test_a_typed_name_needs_a_witness(job: Job) -> None:
    _pay(job)
    assert "needs a witness" in _post(job, strokes="", typed_name="Imelda Rookstone").content.decode()
    assert (
        _post(job, strokes="", typed_name="Imelda Rookstone", witness="Maris Quillby", key="release-key-2").status_code
        == 302
    )
    assert Release.objects.count() == 1
