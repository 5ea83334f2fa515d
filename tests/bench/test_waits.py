"""Waits: laid with the move, put right with both values kept, held by the gate, confirmed by whoever moves it on."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.bench.models import Wait
from jobs.bench.waits import Asked, asked_in, set_wait
from jobs.book.models import Entry, Job
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.moves.resting import hang_to_rest
from jobs.moves.steps import Moved, move, undo
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
SOON = NOW + timedelta(hours=5)


@pytest.fixture
def job() -> Job:
    factory.shop()
    return factory.job(Stage.BEN, assigned=factory.person(Role.TECHNICIAN), agreed_words="reglue bridge")


def jorin() -> Person:
    return factory.person(Role.TECHNICIAN)


def rests(job: Job, until: datetime | None = SOON, *, at: datetime = NOW, key: str = "a-key-for-a-rest") -> Moved:
    asked = Asked("glue", "bridge, three clamps", until)
    return hang_to_rest(Job.objects.get(pk=job.pk), asked, by=jorin(), at=at, seen=job.revision, key=key)


def on(
    job: Job,
    to: Stage = Stage.BEN,
    *,
    at: datetime,
    by: Person | None = None,
    key: str = "a-key-to-go-on",
    **how: object,
) -> Moved:
    seen = Job.objects.get(pk=job.pk).revision
    return move(job.pk, to, by=by or jorin(), at=at, seen=seen, key=key, **how)  # type: ignore[arg-type]


def stage(job: Job) -> str:
    return Job.objects.get(pk=job.pk).stage


def test_a_job_is_hung_to_rest_with_its_end_in_one_press(job: Job) -> None:
    rests(job)
    wait = Wait.objects.get(job=job)
    assert (stage(job), wait.what, wait.words, wait.until, wait.laid_by) == (
        "CUR",
        "glue",
        "bridge, three clamps",
        SOON,
        jorin(),
    )
    assert list(Entry.objects.filter(job=job).values_list("action", flat=True)) == ["wait.laid", "job.moved"]


def test_pressed_twice_it_rests_once_and_keeps_the_first_end(job: Job) -> None:
    rests(job)
    with pytest.raises(Again):
        rests(job, SOON + timedelta(minutes=1))
    assert Wait.objects.get().until == SOON
    assert Entry.objects.filter(action__startswith="wait").count() == 1


def test_a_move_that_is_refused_lays_no_wait(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(stage=Stage.QUE)
    with pytest.raises(Refused, match="Not from Bench queue"):
        rests(job)
    assert not Wait.objects.exists()


def test_nothing_leaves_before_the_clamps_are_off(job: Job) -> None:
    rests(job)
    for to in (Stage.BEN, Stage.SET):
        with pytest.raises(Refused, match=r"^Not before the clamps are off, 15:12\.$"):
            on(job, to, at=SOON - timedelta(seconds=1))
    assert stage(job) == "CUR"


def test_whoever_moves_it_on_confirms_that_they_are_off(job: Job) -> None:
    rests(job)
    on(job, at=SOON, by=factory.person(Role.LUTHIER))
    wait = Wait.objects.get()
    assert (wait.confirmed_by, wait.confirmed_at) == (factory.person(Role.LUTHIER), SOON)
    confirmed = Entry.objects.get(action="wait.confirmed")
    assert confirmed.data == {"wait": wait.pk, "until": SOON.isoformat()}


def test_an_end_nobody_has_said_leaves_it_to_whoever_looks(job: Job) -> None:
    rests(job, None)
    on(job, at=NOW + timedelta(minutes=10))
    assert Wait.objects.get().confirmed_at is not None


def test_the_head_luthier_may_let_it_go_on_with_a_reason(job: Job) -> None:
    rests(job)
    ottilie = factory.person(Role.HEAD)
    with pytest.raises(Refused, match="Write why"):
        on(job, at=NOW, by=ottilie, anyway=True)
    with pytest.raises(Refused, match="Only the head luthier"):
        on(job, at=NOW, anyway=True, reason="concert tonight")
    on(job, at=NOW, by=ottilie, anyway=True, reason="concert tonight")
    told = Entry.objects.get(action="wait.overruled")
    assert (told.by, told.data["reason"], told.data["until"]) == (ottilie, "concert tonight", SOON.isoformat())
    assert stage(job) == "BEN"


def test_anyway_opens_the_clock_and_nothing_else(job: Job) -> None:
    rests(job)
    job.holds.create(kind="quarantine", laid_at=NOW)
    with pytest.raises(Refused, match="Not before"):
        on(job, at=NOW, by=factory.person(Role.HEAD), anyway=True, reason="concert tonight")
    assert not Entry.objects.filter(action="wait.overruled").exists()


def test_an_end_put_right_keeps_both_values(job: Job) -> None:
    rests(job)
    later = SOON + timedelta(hours=3)
    asked, zone = Asked("glue", "bridge, four clamps", later), factory.shop().zone
    set_wait(job, asked, by=jorin(), at=NOW, zone=zone)
    set_wait(job, asked, by=jorin(), at=NOW, zone=zone)
    changed = Entry.objects.get(action="wait.changed")
    assert changed.data["was"] == {"what": "glue", "words": "bridge, three clamps", "until": SOON.isoformat()}
    assert changed.data["now"] == {"what": "glue", "words": "bridge, four clamps", "until": later.isoformat()}
    assert Wait.objects.get().until == later


def test_what_does_not_rest_has_no_end_to_say(job: Job) -> None:
    with pytest.raises(Refused, match="does not rest"):
        set_wait(job, Asked("glue"), by=jorin(), at=NOW, zone=factory.shop().zone)


@pytest.mark.parametrize(
    ("until", "words"), [(NOW - timedelta(minutes=2), "past"), (NOW + timedelta(days=400), "more than a year")]
)
def test_an_end_that_cannot_be_is_refused(job: Job, until: datetime, words: str) -> None:
    with pytest.raises(Refused, match=words):
        rests(job, until)
    assert stage(job) == "BEN"


def test_an_end_is_a_whole_minute_never_too_early(job: Job) -> None:
    rests(job, SOON + timedelta(seconds=1))
    assert Wait.objects.get().until == SOON + timedelta(minutes=1)


def test_taking_the_move_back_takes_the_rest_back(job: Job) -> None:
    moved = rests(job)
    undo(job.pk, by=jorin(), at=NOW, seen=moved.revision, key="a-key-to-take-back")
    wait = Wait.objects.get()
    assert (stage(job), wait.dropped_at, wait.confirmed_at) == ("BEN", NOW, None)


def test_taking_the_next_move_back_lets_it_rest_again(job: Job) -> None:
    rests(job)
    moved = on(job, at=SOON)
    undo(job.pk, by=jorin(), at=SOON, seen=moved.revision, key="a-key-to-take-back")
    wait = Wait.objects.get()
    assert (stage(job), wait.confirmed_at, wait.until) == ("CUR", None, SOON)
    assert Entry.objects.filter(action="wait.reopened").count() == 1


def test_the_book_holds_one_open_wait_a_job(job: Job) -> None:
    rests(job)
    with pytest.raises(IntegrityError), transaction.atomic():
        Wait.objects.create(job=job, what="glue", laid_at=NOW)


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"rest": "h99", "rest_what": "glue"}, "Choose until when"),
        ({"rest": "at", "rest_what": "glue", "rest_at": "25 November"}, "Type the day and the time"),
        ({"rest": "at", "rest_what": "glue", "rest_at": "99999-01-01T00:00"}, "Type the day and the time"),
        ({"rest": "open", "rest_what": "dance"}, "Choose what rests"),
    ],
)
def test_a_form_that_says_nothing_is_asked_again(form: dict[str, str], said: str) -> None:
    with pytest.raises(Refused, match=said):
        asked_in(form, (), shop=factory.shop())


def test_a_typed_moment_is_by_the_shops_clock() -> None:
    shop = factory.shop(time_zone="Europe/London")
    asked = asked_in({"rest": "at", "rest_at": "2026-06-25T15:30", "rest_what": "varnish"}, (), shop=shop)
    assert asked == Asked("varnish", "", datetime(2026, 6, 25, 14, 30, tzinfo=UTC))


@pytest.mark.parametrize("page", ["board:move", "scan:move", "desk:move"])
def test_each_page_hangs_it_to_rest(client: Client, job: Job, page: str) -> None:
    client.force_login(jorin(), backend="django.contrib.auth.backends.ModelBackend")
    before = timezone.now()
    form = {"to": "CUR", "seen": job.revision, "key": "a-key-for-a-rest", "rest": "h24", "rest_what": "glue"}
    assert client.post(reverse(page, args=[job.number]), form).status_code in {302, 303}
    wait = Wait.objects.get(job=job)
    assert wait.until is not None
    assert timedelta(hours=24) <= wait.until - before <= timedelta(hours=24, minutes=1, seconds=5)
    where = {"board:move": "board:tag", "scan:move": "scan:bench", "desk:move": "desk:job"}[page]
    shown = client.get(reverse(where, args=[job.number])).content.decode()
    assert "Not before the clamps are off" in shown
    assert "Do not move it" in shown
    assert "before its time" not in shown  # that is the head luthier's


@pytest.mark.parametrize("page", ["board:rest", "scan:rest", "desk:rest"])
def test_each_page_puts_the_end_right_or_says_why_not(client: Client, job: Job, page: str) -> None:
    rests(job, timezone.now() + timedelta(hours=2), at=timezone.now())
    client.force_login(jorin(), backend="django.contrib.auth.backends.ModelBackend")
    address = reverse(page, args=[job.number])
    refused = client.post(address, {"rest": "at", "rest_at": "2020-01-01T09:00", "rest_what": "glue"})
    assert refused.status_code == 422
    assert "That moment is past." in refused.content.decode()
    assert client.post(address, {"rest": "open", "rest_what": "varnish"}).status_code in {302, 303}
    wait = Wait.objects.get()
    assert (wait.what, wait.until) == ("varnish", None)
