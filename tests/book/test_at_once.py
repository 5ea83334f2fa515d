"""Two people at the same moment, on a database that locks rows: nobody is thrown out, nothing is lost, nothing is made twice.

One transaction is kept open with its step done while the other's step runs into it, so that the order is always the same.
"""

from collections.abc import Callable
from threading import Event, Thread
from time import sleep
from typing import Any

import pytest
from django.db import connection, transaction

from jobs.bench.models import WorkSpell
from jobs.bench.steps import start
from jobs.book.models import Job, Party
from jobs.book.parties import assign, make_party
from jobs.book.refusals import Refused, Stale
from jobs.book.stages import Stage
from jobs.catalogue import price_steps
from jobs.catalogue.models import PriceList
from jobs.custody.models import Location
from jobs.custody.place_reads import hanging
from jobs.custody.place_steps import shut_place
from jobs.custody.steps import see
from jobs.office import staff_steps
from jobs.office.changing import Faults
from jobs.office.staff_fields import FIELDS, read_person
from jobs.updates import wording_steps
from jobs.updates.models import OwnWords
from jobs.updates.wording import Wording
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = [pytest.mark.needs_postgres, pytest.mark.django_db(transaction=True)]
Step = Callable[[], Any]


def crossed(first: Step, second: Step) -> list[Any]:
    """Keep the first step's transaction open until the second has run into it. What each gave back, or was refused with."""
    done, gave = Event(), [None, None]

    def kept_open() -> None:
        with transaction.atomic():
            try:
                gave[0] = first()
            finally:
                done.set()
            sleep(0.6)

    def runs_into_it() -> None:
        assert done.wait(10)
        gave[1] = second()

    def guarded(n: int, step: Step) -> None:
        try:
            step()
        except Exception as fault:  # noqa: BLE001 - whatever it was is looked at by the test
            gave[n] = fault  # type: ignore[call-overload]
        finally:
            connection.close()

    threads = [Thread(target=guarded, args=pair) for pair in enumerate((kept_open, runs_into_it))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    return gave


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.shop()


def test_a_clock_is_started_while_the_desk_gives_that_job_to_the_same_person() -> None:
    tobiah, desk = factory.person(Role.LUTHIER), factory.person(Role.DESK)
    job = factory.job(Stage.BEN, agreed_words="rehair")
    gave = crossed(lambda: assign(job, tobiah, by=desk, at=NOW), lambda: start(job, None, by=tobiah, at=NOW))
    assert not [one for one in gave if isinstance(one, Exception)]
    assert (Job.objects.get(pk=job.pk).assigned, WorkSpell.objects.count()) == (tobiah, 1)


def test_somebody_is_let_go_while_they_move_a_job() -> None:
    head, tobiah, other = factory.person(Role.HEAD), factory.person(Role.LUTHIER), factory.person(Role.TECHNICIAN)
    job = factory.job(Stage.QUE, agreed_words="rehair", assigned=tobiah)
    gave = crossed(
        lambda: assign(job, None, by=tobiah, at=NOW),
        lambda: staff_steps.leave(tobiah, jobs_to=other, by=head, at=NOW),
    )
    assert not [one for one in gave if isinstance(one, Exception)]
    assert not Person.objects.get(pk=tobiah.pk).is_active


def test_two_head_luthiers_take_each_others_role(monkeypatch: pytest.MonkeyPatch) -> None:
    factory.person(Role.HEAD)
    factory.person(Role.HEAD, username="hedda", name="Hedda Millrace")
    one, other = Person.objects.filter(role=Role.HEAD).order_by("pk")
    met = Event()

    def slowly(*asked: Any) -> Any:
        met.wait(0.4)  # long enough for the other to get as far
        return read_person(*asked)

    monkeypatch.setattr("jobs.office.staff_steps.read_person", slowly)
    gave: list[Any] = []

    def take(of: Person, by: Person) -> None:
        typed = {name: str(getattr(of, name)) for name in FIELDS} | {"role": "technician"}
        try:
            staff_steps.change(of, typed, seen=staff_steps.mark_of(of), by=by, at=NOW)
        except Exception as fault:  # noqa: BLE001 - as above
            gave.append(fault)
        finally:
            connection.close()

    threads = [Thread(target=take, args=pair) for pair in ((one, other), (other, one))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert [type(fault) for fault in gave] == [Refused]
    assert Person.objects.filter(role=Role.HEAD).count() == 1


def test_a_place_is_closed_while_something_is_put_there() -> None:
    head, job, place = factory.person(Role.HEAD), factory.job(), factory.location("C4")
    gave = crossed(
        lambda: see(job.item, place, by=head, at=NOW, how="hand", job=job), lambda: shut_place(place, by=head, at=NOW)
    )
    assert isinstance(gave[1], Refused)
    assert Location.objects.get(pk=place.pk).closed_at is None


def test_something_is_put_where_a_place_is_just_being_closed() -> None:
    head, job, place = factory.person(Role.HEAD), factory.job(), factory.location("C4")
    gave = crossed(
        lambda: shut_place(place, by=head, at=NOW), lambda: see(job.item, place, by=head, at=NOW, how="hand", job=job)
    )
    assert isinstance(gave[1], Refused)
    assert not hanging(place.pk)


def test_two_desks_write_the_same_owner_down() -> None:
    desk = factory.person(Role.DESK)
    gave = crossed(*[lambda: make_party(name="Perrin Aldous", email="perrin@example.org", by=desk, at=NOW)] * 2)
    assert gave[0] == gave[1]
    assert Party.objects.filter(email="perrin@example.org").count() == 1


def test_two_head_luthiers_invite_the_same_staff_name() -> None:
    head = factory.person(Role.HEAD)
    typed = {"name": "Perrin Aldous", "username": "perrin", "role": "technician", "skill": "2"}
    gave = crossed(
        lambda: staff_steps.invite(typed, by=head, at=NOW, key="a-key-of-one-page"),
        lambda: staff_steps.invite(typed, by=head, at=NOW, key="a-key-of-another"),
    )
    assert isinstance(gave[1], Faults | Refused)
    assert Person.objects.filter(username="perrin").count() == 1


def test_two_begin_the_next_price_list() -> None:
    head = factory.person(Role.HEAD)
    factory.prices()
    gave = crossed(
        lambda: price_steps.begin_list(since=NOW.date(), by=head, at=NOW, key="a-key-of-one-page"),
        lambda: price_steps.begin_list(since=NOW.date(), by=head, at=NOW, key="a-key-of-another"),
    )
    assert not isinstance(gave[0], Exception)
    assert isinstance(gave[1], Refused) or gave[0] == gave[1]
    assert PriceList.objects.filter(draft=True).count() == 1


def test_two_write_the_first_own_words_of_a_letter() -> None:
    head, words = factory.person(Role.HEAD), Wording("Your {thing} rests", "It rests, {number}.")
    gave = crossed(*[lambda: wording_steps._next("stage-CUR", words, seen=0, by=head, at=NOW)] * 2)
    assert isinstance(gave[1], Stale)
    assert OwnWords.objects.count() == 1
