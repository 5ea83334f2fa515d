"""Two jobs, one instrument: what is open on the same item, in words."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.book.apart import items_apart, parties_apart
from jobs.book.beside import beside, open_on, still_open
from jobs.book.models import Job
from jobs.book.stages import Stage
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


def test_open_jobs_on_one_item_stand_beside_each_other() -> None:
    first = factory.job(Stage.BEN, number="26-0417", work="new bridge")
    second = factory.job(Stage.QUE, item=first.item, number="26-0421", kind="rehair")
    factory.job(Stage.QUE, number="26-0500")
    assert [one.number for one in beside(first)] == ["26-0421"]
    assert [(one.short, one.what, one.stage) for one in beside(second)] == [("0417", "new bridge", "On the bench")]


def test_a_closed_job_stands_beside_nothing() -> None:
    first = factory.job(Stage.BEN)
    factory.job(Stage.HOME, item=first.item, closed_at=NOW, closed_as="home")
    assert beside(first) == ()


def test_it_is_said_in_a_sentence() -> None:
    first = factory.job(Stage.BEN, number="26-0417", work="new bridge")
    second = factory.job(Stage.QUE, item=first.item)
    assert still_open(beside(second)[0], second.item) == "0417 is still open on this violin: new bridge, On the bench."


def test_many_items_are_one_question() -> None:
    jobs = [factory.job(Stage.BEN) for _ in range(5)]
    factory.job(Stage.QUE, item=jobs[0].item)
    with CaptureQueriesContext(connection) as seen:
        found = open_on([job.item_id for job in jobs])
    assert len(seen) == 1
    assert [len(found[job.item_id]) for job in jobs] == [2, 1, 1, 1, 1]
    assert Job.objects.count() == 6


def test_two_of_the_same_name_are_told_apart() -> None:
    one = factory.party("John Smith", email="", phone="+442079460155", address="9 Weir Lane\nOstlemere")
    other = factory.party("john smith", email="john@example.org")
    alone = factory.party("Imelda Rookstone")
    assert [words for _, words in parties_apart([one, other, alone])] == [
        "John Smith, telephone …0155, 9 Weir Lane",
        "john smith, jo…@example.org",
        "Imelda Rookstone",
    ]


def test_two_that_look_the_same_carry_their_number_in_the_book() -> None:
    one, other = factory.item(), factory.item()
    marked = factory.item(marks="scratched button")
    assert [words for _, words in items_apart([one, other, marked])] == [
        f"Violin 4/4, no. {one.pk} in the book",
        f"Violin 4/4, no. {other.pk} in the book",
        "Violin 4/4, scratched button",
    ]
