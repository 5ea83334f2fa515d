"""The job page: what each role sees, each press once, refused in words."""

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.bench import steps
from jobs.book.models import Accessory, Entry, Job
from jobs.book.stages import Stage
from jobs.condition.models import ConditionLine
from jobs.moves.facts import gather
from jobs.tags.models import Tag
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
KEY = "one-press-only"


@pytest.fixture
def job() -> Job:
    factory.shop()
    owner = factory.party("Imelda Rookstone", phone="+445550177", address="9 Weir Lane", remarks="rings at noon")
    return factory.job(
        Stage.EXA, owner=owner, work="New bridge", said="It buzzes.", assigned=factory.person(Role.LUTHIER)
    )


def sign_in(client: Client, role: Role) -> Person:
    person = factory.person(role)
    client.force_login(person, backend=BACKEND)
    return person


def at(name: str, job: Job) -> str:
    return reverse(f"desk:{name}", args=[job.number])


def page(client: Client, job: Job) -> str:
    answer = client.get(at("job", job))
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.mark.parametrize(
    ("role", "sees"),
    [(Role.DESK, True), (Role.BOOKS, True), (Role.HEAD, True), (Role.TECHNICIAN, False), (Role.LUTHIER, False)],
)
def test_address_and_telephone_are_for_the_desk(client: Client, job: Job, role: Role, sees: bool) -> None:
    sign_in(client, role)
    shown = page(client, job)
    for private in ("+445550177", "9 Weir Lane", "rings at noon", "Imelda"):
        assert (private in shown) == sees
    assert "Rookstone" in shown


def test_a_technician_sees_no_money_and_no_letters(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    shown = page(client, job)
    assert 'id="money"' not in shown
    assert 'id="letters"' not in shown
    sign_in(client, Role.DESK)
    shown = page(client, job)
    assert 'id="money"' in shown
    assert 'id="letters"' in shown


def test_every_next_stage_stands_there_with_its_reason(client: Client, job: Job) -> None:
    sign_in(client, Role.DESK)
    shown = page(client, job)
    assert "No estimate has been sent. Write one and send it; then it waits for the answer." in shown
    assert "The owner has not agreed to anything yet." in shown


def test_as_it_came_is_told_apart_from_what_was_found(client: Client, job: Job) -> None:
    Accessory.objects.create(job=job, words="case, brown")
    Accessory.objects.create(job=job, words="shoulder rest", left=False)
    ConditionLine.objects.create(
        job=job, number=1, term="scratch", term_words="Scratch", extent_mm="33", severity="minor"
    )
    sign_in(client, Role.TECHNICIAN)
    shown = page(client, job)
    for words in ("It buzzes.", "case, brown", "shoulder rest", "Scratch", "33 mm"):
        assert words in shown


def test_nothing_needed_opens_the_way_to_ready(client: Client, job: Job) -> None:
    sign_in(client, Role.LUTHIER)
    assert client.post(at("nothing-needed", job), {"words": " ", "key": KEY}).status_code == 422
    for _ in range(2):
        client.post(at("nothing-needed", job), {"words": "Bridge and post sound.", "key": "another-press"})
    assert Entry.objects.filter(job=job, action="job.nothing_needed").count() == 1
    assert gather(job).nothing_needed
    assert "found nothing to do: Bridge and post sound." in page(client, job)


def test_nothing_needed_is_said_at_examination_only(client: Client) -> None:
    factory.shop()
    job = factory.job(Stage.BEN)
    sign_in(client, Role.LUTHIER)
    assert client.post(at("nothing-needed", job), {"words": "Sound.", "key": KEY}).status_code == 422
    assert not gather(job).nothing_needed


def test_a_day_is_promised_with_its_sureness(client: Client, job: Job) -> None:
    sign_in(client, Role.DESK)
    refused = client.post(at("promise", job), {"day": "2026-12-04"})
    assert refused.status_code == 422
    assert "Say how sure the day is" in refused.content.decode()
    assert 'value="2026-12-04"' in refused.content.decode()
    for _ in range(2):
        client.post(at("promise", job), {"day": "2026-12-04", "sure": "likely"})
    job.refresh_from_db()
    assert (job.promised, job.sureness) == (date(2026, 12, 4), "likely")
    assert Entry.objects.filter(job=job, action="job.promised").count() == 1
    assert "promised it for Fri 4 Dec (likely)" in page(client, job)
    assert client.post(at("promise", job), {"day": "soon", "sure": "firm"}).status_code == 422
    client.post(at("promise", job), {"day": ""})
    job.refresh_from_db()
    assert job.promised is None


def test_giving_to_nobody_and_to_someone(client: Client, job: Job) -> None:
    sign_in(client, Role.DESK)
    client.post(at("give", job), {"to": "nobody"})
    job.refresh_from_db()
    assert job.assigned is None
    jorin = factory.person(Role.TECHNICIAN)
    client.post(at("give", job), {"to": jorin.pk})
    assert "gave it to Jorin" in page(client, job)
    assert client.post(at("give", job), {"to": factory.person(Role.BOOKS).pk}).status_code == 422


def test_an_expected_job_that_did_not_come_is_closed_with_its_reason(client: Client) -> None:
    factory.shop()
    job = factory.job(Stage.EXP)
    sign_in(client, Role.DESK)
    refused = client.post(at("close", job), {"as": "nocome", "reason": "", "seen": 1, "key": KEY})
    assert refused.status_code == 422
    for _ in range(2):
        client.post(at("close", job), {"as": "nocome", "reason": "rang off", "seen": 1, "key": "another-press"})
    job.refresh_from_db()
    assert job.closed_as == "nocome"
    assert Entry.objects.filter(job=job, action="job.closed").count() == 1
    shown = page(client, job)
    assert "closed it as did not come: rang off" in shown
    assert "May hang on" not in shown


def test_a_stage_that_may_not_be_closed_offers_no_closing(client: Client, job: Job) -> None:
    sign_in(client, Role.DESK)
    assert "Close it without handing over" not in page(client, job)
    answer = client.post(at("close", job), {"as": "written", "reason": "x", "seen": 1, "key": KEY})
    assert answer.status_code == 422
    assert "cannot be closed as written off" in answer.content.decode()


def test_moving_and_taking_back(client: Client, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(kind="warranty")
    sign_in(client, Role.DESK)
    for _ in range(2):
        assert client.post(at("move", job), {"to": "QUE", "seen": 1, "key": KEY}).status_code == 302
    job.refresh_from_db()
    assert (job.stage, job.revision) == (Stage.QUE, 2)
    assert "Take the move back, to Examination" in page(client, job)
    late = client.post(at("move", job), {"to": "BEN", "seen": 1, "key": "another-press"})
    assert late.status_code == 409
    assert "Maris moved this to Bench queue" in late.content.decode()
    client.post(at("undo", job), {"seen": 2, "key": "third-press"})
    job.refresh_from_db()
    assert job.stage == Stage.EXA


def test_tape_and_place_from_the_job_page(client: Client, job: Job) -> None:
    sign_in(client, Role.DESK)
    for _ in range(2):
        client.post(at("hold", job), {"kind": "permit", "words": "ivory?"})
    assert "permit: ivory?" in page(client, job)
    client.post(at("lift", job), {"hold": job.holds.get().pk})
    for _ in range(2):
        client.post(at("place", job), {"location": factory.location("S").pk, "key": KEY})
    shown = page(client, job)
    assert "put it on S" in shown
    assert job.item.sightings.filter(how="hand").count() == 1


def test_a_torn_tag_is_replaced_once_and_the_old_code_is_dead(client: Client, job: Job) -> None:
    old = Tag.objects.get(item=job.item, dead_at=None)
    sign_in(client, Role.TECHNICIAN)
    assert client.post(at("new-tag", job), {"tag": old.pk, "reason": ""}).status_code == 422
    for _ in range(2):
        client.post(at("new-tag", job), {"tag": old.pk, "reason": "torn"})
    old.refresh_from_db()
    assert old.dead_at is not None
    assert Tag.objects.filter(item=job.item).count() == 2


def test_bench_time_is_shown_line_by_line(client: Client, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(stage=Stage.BEN)
    job.refresh_from_db()
    (bridge,) = factory.approved(job, "New bridge")
    spell = steps.start(job, bridge, by=factory.person(Role.LUTHIER), at=datetime(2026, 11, 25, 9, 0, tzinfo=UTC)).spell
    steps.stop(spell, by=factory.person(Role.LUTHIER), at=datetime(2026, 11, 25, 9, 30, tzinfo=UTC))
    sign_in(client, Role.DESK)
    shown = page(client, job)
    assert "0.5 h of 1 h" in shown
    assert "stopped the clock after 0.5 h" in shown


PRESSES = {
    "move": Role.BOOKS,
    "undo": Role.BOOKS,
    "close": Role.BOOKS,
    "nothing-needed": Role.DESK,
    "give": Role.APPRENTICE,
    "promise": Role.BOOKS,
    "hold": Role.BOOKS,
    "lift": Role.BOOKS,
    "place": Role.BOOKS,
    "choose-photo": Role.APPRENTICE,
    "new-tag": Role.BOOKS,
}


@pytest.mark.parametrize(("name", "barred"), PRESSES.items())
def test_presses_are_for_those_whose_part_it_is(client: Client, job: Job, name: str, barred: Role) -> None:
    assert client.post(at(name, job))["Location"].startswith("/sign-in/")
    sign_in(client, barred)
    assert client.post(at(name, job)).status_code == 403
    sign_in(client, Role.HEAD)
    assert client.get(at(name, job)).status_code == 405
    assert client.post(at(name, job)).status_code in {302, 422}


def test_the_page_asks_as_many_questions_however_long_its_history(client: Client, job: Job) -> None:
    maris = sign_in(client, Role.DESK)
    page(client, job)

    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            page(client, job)
        return len(seen)

    few = asked()
    for number in range(12):
        steps.add_note(job, f"note {number}", by=maris, at=NOW)
        job.item.sightings.create(location=factory.location(f"R1-{number}"), at=NOW, how="hand", by=maris)
    assert asked() == few <= 40, few
