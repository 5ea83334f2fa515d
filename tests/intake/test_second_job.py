"""Taking in what has an open job already: said before it is signed, on the list, at the counter and beside the note."""

import pytest
from django.test import Client
from django.urls import reverse

from jobs.book.models import Item, Job
from jobs.book.stages import Stage
from jobs.intake import drafts
from jobs.intake.models import Draft
from jobs.intake.steps import add_piece, begin
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


def sitting(item: Item, job: Job | None = None) -> Draft:
    maris = factory.person(Role.DESK)
    row = begin(by=maris, at=NOW, draft=drafts.Draft(depositor=item.owner_id))
    return add_piece(row, seen=None, by=maris, at=NOW, key="a-key-for-a-piece", kind=item.kind, item=item, job=job)


def page(row: Draft, step: str) -> str:
    client = Client()
    client.force_login(factory.person(Role.DESK))
    answer = client.get(reverse("intake:step", args=[row.key, step]))
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.mark.parametrize("step", ["items", "sign"])
def test_a_second_job_is_announced_before_it_is_signed(step: str) -> None:
    factory.shop()
    job = factory.job(Stage.BEN, number="26-0417", work="new bridge")
    words = "0417 is still open on this violin: new bridge, On the bench. This note opens a second job beside 26-0417."
    assert words in page(sitting(job.item), step)


def test_an_expected_job_that_comes_is_no_second_one() -> None:
    factory.shop()
    job = factory.job(Stage.EXP, ready=False)
    assert "opens a second job" not in page(sitting(job.item, job), "items")


def test_nothing_is_said_of_what_has_gone_home() -> None:
    factory.shop()
    job = factory.job(Stage.HOME, closed_at=NOW, closed_as="home")
    assert "opens a second job" not in page(sitting(job.item), "items")
