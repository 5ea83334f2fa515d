"""The clock at the bench: when it may run, one a person, stopped by starting another."""

from datetime import timedelta
from threading import Barrier, Thread
from typing import Any

import pytest
from django.db import connection

from jobs.bench import steps
from jobs.bench.clocks import Standing, hours_words, may_start
from jobs.bench.models import WorkSpell
from jobs.bench.reads import clocks_of, work_of
from jobs.book.models import Entry, Job
from jobs.book.parties import lay_hold
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW


@pytest.fixture
def tobiah(db: None) -> Person:
    factory.shop()
    return factory.person(Role.LUTHIER)


def running(person: Person) -> list[WorkSpell]:
    return list(WorkSpell.objects.filter(person=person, stopped_at__isnull=True))


@pytest.mark.parametrize("stage", list(Stage))
def test_a_clock_runs_only_on_the_bench_and_in_set_up(stage: Stage) -> None:
    reason = may_start(Standing(stage, work_agreed=True, line_agreed=True))
    assert (reason == "") == (stage in {Stage.BEN, Stage.SET})


def test_hours_are_never_shown_as_nothing_when_some_were_spent() -> None:
    assert [hours_words(seconds) for seconds in (0, 20, 1080, 5400)] == ["0 h", "0.1 h", "0.3 h", "1.5 h"]


def test_work_the_owner_approved_may_start(tobiah: Person) -> None:
    job = factory.job(Stage.BEN)
    (seam,) = factory.approved(job, "Glue one open seam")
    started = steps.start(job, seam, by=tobiah, at=NOW)
    assert started.spell.line == seam
    assert Entry.objects.filter(job=job, action="clock.started", by=tobiah, at=NOW).count() == 1


def test_a_line_of_another_option_is_refused_by_name(tobiah: Person) -> None:
    job, other = factory.job(Stage.BEN), factory.job(Stage.BEN)
    factory.approved(job, "Glue one open seam")
    (touch_up,) = factory.approved(other, "Small varnish touch-up")
    with pytest.raises(Refused, match="“Small varnish touch-up” is not approved"):
        steps.start(job, touch_up, by=tobiah, at=NOW)
    assert not running(tobiah)


def test_a_line_of_a_replaced_version_is_refused(tobiah: Person) -> None:
    job = factory.job(Stage.BEN)
    (old,) = factory.approved(job, "New bridge")
    job.estimates.update(state="replaced")
    factory.approved(job, "New soundpost")
    with pytest.raises(Refused, match="not approved"):
        steps.start(job, old, by=tobiah, at=NOW)


def test_nothing_approved_means_no_bench_time(tobiah: Person) -> None:
    with pytest.raises(Refused, match="not agreed to any work"):
        steps.start(factory.job(Stage.BEN), None, by=tobiah, at=NOW)


@pytest.mark.parametrize(
    "fields", [{"agreed_words": "Rehair", "agreed_net": "45"}, {"kind": "settling"}, {"kind": "internal"}]
)
def test_desk_agreed_and_free_work_needs_no_estimate(tobiah: Person, fields: dict[str, Any]) -> None:
    job = factory.job(Stage.SET, **fields)
    assert steps.start(job, None, by=tobiah, at=NOW).spell.line is None


def test_where_lines_were_approved_one_must_be_named(tobiah: Person) -> None:
    job = factory.job(Stage.BEN)
    factory.approved(job, "New bridge")
    with pytest.raises(Refused, match="Choose which"):
        steps.start(job, None, by=tobiah, at=NOW)


def test_in_the_queue_it_says_where_to_move_it(tobiah: Person) -> None:
    job = factory.job(Stage.QUE, kind="internal")
    with pytest.raises(Refused, match=r"It hangs on Bench queue\. Move it to On the bench or Set-up and playing first"):
        steps.start(job, None, by=tobiah, at=NOW)


def test_quarantine_tape_keeps_hands_off(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal")
    lay_hold(job, "quarantine", "live worm?", by=tobiah, at=NOW)
    with pytest.raises(Refused, match="Lift the tape first: quarantine"):
        steps.start(job, None, by=tobiah, at=NOW)


def test_a_closed_job_gets_no_time(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal", closed_at=NOW, closed_as="lost")
    with pytest.raises(Refused, match="closed"):
        steps.start(job, None, by=tobiah, at=NOW)


def test_someone_who_has_left_the_shop_starts_nothing(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal")
    Person.objects.filter(pk=tobiah.pk).update(is_active=False)
    with pytest.raises(Refused, match="sign-in is closed"):
        steps.start(job, None, by=tobiah, at=NOW)


def test_starting_another_stops_the_first_with_an_entry(tobiah: Person) -> None:
    first, second = factory.job(Stage.BEN, kind="internal"), factory.job(Stage.BEN, kind="internal")
    steps.start(first, None, by=tobiah, at=NOW)
    later = NOW + timedelta(minutes=18)
    started = steps.start(second, None, by=tobiah, at=later)
    assert started.stopped is not None
    assert started.stopped.job == first
    assert [spell.job for spell in running(tobiah)] == [second]
    entry = Entry.objects.get(action="clock.stopped", job=first)
    assert entry.data["seconds"] == 18 * 60
    assert entry.data["because"] == "another"


def test_starting_what_runs_already_changes_nothing(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal")
    first = steps.start(job, None, by=tobiah, at=NOW).spell
    again = steps.start(job, None, by=tobiah, at=NOW + timedelta(minutes=5))
    assert again.spell == first
    assert again.stopped is None
    assert WorkSpell.objects.count() == 1


def test_two_people_may_work_on_one_job(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal")
    ottilie = factory.person(Role.HEAD)
    steps.start(job, None, by=tobiah, at=NOW)
    steps.start(job, None, by=ottilie, at=NOW)
    assert len(running(tobiah)) == len(running(ottilie)) == 1


def test_the_same_press_starts_once(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal")
    spell = steps.start(job, None, by=tobiah, at=NOW, key="one-press-only").spell
    with pytest.raises(Again) as pressed:
        steps.start(job, None, by=tobiah, at=NOW, key="one-press-only")
    assert pressed.value.made == {"spell": spell.pk}


def test_stopping_twice_keeps_the_first_time(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal")
    spell = steps.start(job, None, by=tobiah, at=NOW).spell
    steps.stop(spell, by=tobiah, at=NOW + timedelta(hours=1))
    stopped = steps.stop(spell, by=tobiah, at=NOW + timedelta(hours=2))
    assert stopped.stopped_at == NOW + timedelta(hours=1)
    assert Entry.objects.filter(action="clock.stopped").count() == 1


def test_a_clock_never_ends_before_it_began(tobiah: Person) -> None:
    job = factory.job(Stage.BEN, kind="internal")
    spell = steps.start(job, None, by=tobiah, at=NOW).spell
    assert steps.stop(spell, by=tobiah, at=NOW - timedelta(seconds=3)).stopped_at == NOW


def test_time_is_added_up_line_by_line_over_versions(tobiah: Person) -> None:
    job = factory.job(Stage.BEN)
    (old,) = factory.approved(job, "New bridge")
    spell = steps.start(job, old, by=tobiah, at=NOW).spell
    steps.stop(spell, by=tobiah, at=NOW + timedelta(minutes=30))
    job.estimates.update(state="replaced")
    new, post = factory.approved(job, "New bridge", "New soundpost")
    steps.start(job, new, by=tobiah, at=NOW + timedelta(hours=1))
    at = NOW + timedelta(minutes=90)
    clocks = clocks_of(job, work_of(job), tobiah, at=at)
    assert [(line.work.line, line.seconds, line.mine) for line in clocks.lines] == [
        (new.pk, 3600, True),
        (post.pk, 0, False),
    ]
    assert clocks.lines[0].spent == "1.0 of 1 h"
    assert clocks.mine is not None
    assert clocks.mine.seconds == 1800


def test_proposed_but_unanswered_lines_are_shown_as_not_agreed(tobiah: Person) -> None:
    job = factory.job(Stage.BEN)
    factory.approved(job, "New bridge")
    factory.approved(job, "New bridge", "Small varnish touch-up")
    job.estimates.filter(version=2).update(state="sent")
    work = work_of(job)
    assert [line.words for line in work.agreed] == ["New bridge"]
    assert [line.words for line in work.not_agreed] == ["Small varnish touch-up"]


@pytest.mark.django_db(transaction=True)
def test_two_starts_at_once_leave_one_running_clock() -> None:
    factory.shop()
    tobiah = factory.person(Role.LUTHIER)
    jobs = [factory.job(Stage.BEN, kind="internal") for _ in range(4)]
    together, faults = Barrier(len(jobs)), []

    def start(job: Job) -> None:
        try:
            together.wait(10)
            steps.start(job, None, by=tobiah, at=NOW)
        except Exception as fault:  # noqa: BLE001  (told to the main thread below)
            faults.append(fault)
        finally:
            connection.close()

    threads = [Thread(target=start, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert faults == []
    assert len(running(tobiah)) == 1
    assert WorkSpell.objects.count() == len(jobs)
    assert Entry.objects.filter(action="clock.stopped").count() == len(jobs) - 1
