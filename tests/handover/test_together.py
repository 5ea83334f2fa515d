"""Several jobs of one owner go home in one go: one signature, one paper; each still by its own gate."""

import json
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.billing.steps import issue, take_payment
from jobs.book.models import Accessory, Hold, Job, Party
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.custody.models import Release, Sighting
from jobs.handover.steps import hand_over
from jobs.papers.models import Paper
from jobs.papers.reads import papers_of
from shop.people.roles import Role
from tests import factory

pytestmark = pytest.mark.django_db
STROKES = json.dumps([[[100, 200, 0], [400, 120, 80], [700, 260, 160]]])
PRICE = Decimal("45.00")


def ready(owner: Party, n: int, *, paid: bool = True) -> Job:
    """A rehaired bow that is ready to collect."""
    bow = factory.item(owner, kind="Bw", size="violin", title="Violin bow", marks=f"number {n}")
    job = factory.job(Stage.CHK, owner=owner, item=bow, agreed_words="rehair", agreed_net=PRICE)
    desk = factory.person(Role.DESK)
    issue(job, by=desk, at=factory.NOW, key=f"issue-key-{job.pk}")
    if paid:
        take_payment(job, PRICE, "card", by=desk, at=factory.NOW, key=f"pay-key-{job.pk}")
    Job.objects.filter(pk=job.pk).update(stage=Stage.RDY)
    job.refresh_from_db()
    return job


@pytest.fixture
def owner() -> Party:
    factory.shop()
    return factory.party()


@pytest.fixture
def bows(owner: Party) -> list[Job]:
    return [ready(owner, n) for n in (1, 2, 3)]


def desk() -> Client:
    client = Client()
    client.force_login(factory.person(Role.DESK))
    return client


def post(bows: list[Job], **changes: Any) -> Any:
    """The first with the others, everything ticked and signed."""
    owner = Party.objects.get(roles__job=bows[0], roles__role="owner")
    data: dict[str, Any] = {
        "key": "release-key-1",
        "thing": [f"i{bow.pk}" for bow in bows],
        "collector": owner.pk,
        "collector_name": owner.name,
        "identity_note": "known to us",
        "strokes": STROKES,
    }
    return desk().post(reverse("handover:release", kwargs={"number": bows[0].number}), {**data, **changes})


def stages(bows: list[Job]) -> list[str]:
    return [Job.objects.get(pk=bow.pk).stage for bow in bows]


def test_three_bows_go_home_on_one_signature_and_one_paper(bows: list[Job]) -> None:
    page = desk().get(reverse("handover:release", kwargs={"number": bows[0].number})).content.decode()
    assert page.count('name="thing"') == 3
    assert "checked" not in page, "nothing is ticked before it lies there"
    answer = post(bows)
    assert answer.status_code == 302
    assert stages(bows) == [Stage.HOME] * 3
    paper = Paper.objects.get(kind="release")
    assert {release.paper for release in Release.objects.all()} == {paper}
    assert json.loads(paper.text)["words"]["jobs"] == [bow.number for bow in bows]
    assert paper.text.count("number 1") == 1
    assert Sighting.objects.filter(how="home").count() == 3
    assert all(paper in papers_of(bow) for bow in bows), "each job has the paper"
    home = desk().get(reverse("handover:release", kwargs={"number": bows[2].number})).content.decode()
    assert "and 2 more have gone home" in home
    assert all(bow.number in home for bow in bows)


def test_one_of_them_alone_goes_as_before(bows: list[Job]) -> None:
    answer = post(bows, thing=[f"i{bows[0].pk}"])
    assert answer.status_code == 302
    assert stages(bows) == [Stage.HOME, Stage.RDY, Stage.RDY]
    paper = Paper.objects.get(kind="release")
    assert paper.job == bows[0]


def test_a_thing_of_another_that_is_not_ticked_stops_all_by_name(bows: list[Job]) -> None:
    Accessory.objects.create(job=bows[1], words="tube", left=True)
    answer = post(bows)
    assert answer.status_code == 422
    assert f"Not ticked: tube ({bows[1].number})" in answer.content.decode()
    assert stages(bows) == [Stage.RDY] * 3
    assert not Release.objects.exists()


def test_an_unpaid_one_stays_and_is_not_offered(owner: Party) -> None:
    bows = [ready(owner, 1), ready(owner, 2, paid=False)]
    page = desk().get(reverse("handover:release", kwargs={"number": bows[0].number})).content.decode()
    assert "Stays here: It is not paid" in page
    answer = post(bows)
    assert answer.status_code == 422
    assert f"{bows[1].number}: It is not paid" in answer.content.decode()
    assert stages(bows) == [Stage.RDY] * 2
    blocked = desk().get(reverse("handover:release", kwargs={"number": bows[1].number})).content.decode()
    assert f"Hand over {bows[0].number} Violin bow without it" in blocked


def test_what_was_moved_or_taped_meanwhile_stops_all(bows: list[Job]) -> None:
    Job.objects.filter(pk=bows[2].pk).update(stage=Stage.BEN)
    moved = post(bows)
    assert moved.status_code == 409
    assert "changed meanwhile" in moved.content.decode()
    Job.objects.filter(pk=bows[2].pk).update(stage=Stage.RDY)
    Hold.objects.create(job=bows[1], kind="dispute", laid_at=factory.NOW)
    answer = post(bows)
    assert f"{bows[1].number}: Lift the tape first" in answer.content.decode()
    assert stages(bows) == [Stage.RDY] * 3


def test_another_owners_job_is_neither_offered_nor_taken(bows: list[Job]) -> None:
    other = ready(factory.party("Pascoe Dunwinter"), 4)
    page = desk().get(reverse("handover:release", kwargs={"number": bows[0].number})).content.decode()
    assert other.number not in page
    answer = post([*bows, other])
    assert answer.status_code == 409
    with pytest.raises(Refused, match="different owners"):
        hand_over(
            [bows[0].pk, other.pk], ticked=[], collector=factory.party("Pip"), collector_name="", identity_note="",
            signed=None, by=factory.person(Role.DESK), at=factory.NOW, key="release-key-2",
        )  # fmt: skip
    assert stages([*bows, other]) == [Stage.RDY] * 4


def test_pressed_twice_it_is_done_once(bows: list[Job]) -> None:
    assert post(bows).status_code == 302
    assert "and 2 more have gone home" in post(bows).content.decode()
    assert Release.objects.count() == 3


@pytest.mark.parametrize("nonsense", ["", "x", "99999999999999999999", "-1"])
def test_nonsense_beside_it_gives_nothing_away(bows: list[Job], nonsense: str) -> None:
    answer = post(bows, thing=[f"i{bows[0].pk}", nonsense])
    assert answer.status_code == 409
    assert stages(bows) == [Stage.RDY] * 3


def test_the_page_asks_no_more_for_many_than_a_look_at_each_note(owner: Party) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(address).status_code == 200
        return len(seen)

    client, first = desk(), ready(owner, 1)
    address = reverse("handover:release", kwargs={"number": first.number})
    ready(owner, 2)
    two = asked()
    for n in range(3, 9):
        ready(owner, n)
    assert asked() - two <= 6
