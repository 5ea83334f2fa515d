"""The job in the hand: each press by who may do it, once, with a sentence when refused."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.bench import steps
from jobs.bench.models import BenchNote, WorkSpell
from jobs.book.gate import offers
from jobs.book.models import Entry, Job
from jobs.book.stages import Stage
from jobs.custody.models import Sighting
from jobs.moves.facts import gather
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
    return factory.job(Stage.BEN, kind="internal", work="clean and string", assigned=factory.person(Role.TECHNICIAN))


def sign_in(client: Client, role: Role) -> Person:
    person = factory.person(role)
    client.force_login(person, backend=BACKEND)
    return person


def at(name: str, job: Job) -> str:
    return reverse(f"scan:{name}", args=[job.number])


def test_moving_goes_through_the_same_gate(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    refused = client.post(at("move", job), {"to": "CHK", "seen": 1, "key": KEY})
    assert refused.status_code == 422
    assert "No bench time is written down" in refused.content.decode()
    moved = client.post(at("move", job), {"to": "SET", "seen": 1, "key": KEY}, follow=True)
    assert "It hangs on Set-up and playing now." in moved.content.decode()
    job.refresh_from_db()
    assert (job.stage, job.revision) == (Stage.SET, 2)


def test_the_same_press_moves_once(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    for _ in range(2):
        assert client.post(at("move", job), {"to": "SET", "seen": 1, "key": KEY}).status_code == 302
    assert Entry.objects.filter(job=job, action="job.moved").count() == 1


def test_a_move_seen_too_late_says_who_moved_it(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    client.post(at("move", job), {"to": "SET", "seen": 1, "key": KEY})
    sign_in(client, Role.LUTHIER)
    late = client.post(at("move", job), {"to": "CUR", "seen": 1, "key": "another-press"})
    assert late.status_code == 409
    assert "Jorin moved this to Set-up and playing" in late.content.decode()


def test_a_refused_reason_keeps_what_was_typed(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    Job.objects.filter(pk=job.pk).update(stage=Stage.SET)
    back = client.post(at("move", job), {"to": "BEN", "seen": 1, "key": KEY, "reason": "  "})
    assert back.status_code == 422
    assert "needs a reason" in back.content.decode()
    late = client.post(at("move", job), {"to": "BEN", "seen": 9, "key": KEY, "reason": "peg slips again"})
    assert 'value="peg slips again"' in late.content.decode()


@pytest.mark.parametrize(
    "bad", [{"to": "NOWHERE", "seen": 1}, {"to": "SET", "seen": "x"}, {"to": "SET", "seen": 1, "key": ""}]
)
def test_a_form_that_makes_no_sense_is_refused_in_words(client: Client, job: Job, bad: dict[str, object]) -> None:
    sign_in(client, Role.TECHNICIAN)
    answer = client.post(at("move", job), {"key": KEY, **bad})
    assert answer.status_code == 422
    job.refresh_from_db()
    assert job.revision == 1


def test_taking_it_and_giving_it(client: Client, job: Job) -> None:
    tobiah = sign_in(client, Role.LUTHIER)
    client.post(at("give", job), {"to": tobiah.pk})
    job.refresh_from_db()
    assert job.assigned == tobiah
    ottilie = factory.person(Role.HEAD)
    page = client.post(at("give", job), {"to": ottilie.pk}, follow=True).content.decode()
    assert "Ottilie has it now." in page


def test_nobody_gets_it_who_is_gone_or_keeps_books(client: Client, job: Job) -> None:
    sign_in(client, Role.LUTHIER)
    gone = factory.person(Role.BOW)
    Person.objects.filter(pk=gone.pk).update(is_active=False)
    for one in (gone, factory.person(Role.BOOKS)):
        answer = client.post(at("give", job), {"to": one.pk})
        assert answer.status_code == 422
        assert "Choose someone who works here." in answer.content.decode()


def test_the_clock_starts_and_stops_and_says_so(client: Client, job: Job) -> None:
    jorin = sign_in(client, Role.TECHNICIAN)
    page = client.post(at("start", job), {"line": "whole", "key": KEY}, follow=True).content.decode()
    assert "Your clock runs." in page
    assert "Stop the clock" in page
    client.post(at("start", job), {"line": "whole", "key": KEY})
    spell = WorkSpell.objects.get(person=jorin)
    page = client.post(at("stop", job), {"spell": spell.pk}, follow=True).content.decode()
    assert "Your clock is stopped." in page
    spell.refresh_from_db()
    assert spell.stopped_at is not None


def test_starting_elsewhere_says_which_clock_was_stopped(client: Client, job: Job) -> None:
    jorin = sign_in(client, Role.TECHNICIAN)
    other = factory.job(Stage.BEN, kind="internal")
    steps.start(other, None, by=jorin, at=timezone.now() - timedelta(minutes=5))
    page = client.post(at("start", job), {"line": "whole", "key": KEY}, follow=True).content.decode()
    assert f"The one on {other.number} was stopped." in page


def test_unapproved_work_is_refused_by_name(client: Client) -> None:
    factory.shop()
    job = factory.job(Stage.BEN)
    factory.approved(job, "New bridge")
    (touch_up,) = factory.approved(job, "Small varnish touch-up")
    job.estimates.filter(version=2).update(state="sent")
    sign_in(client, Role.LUTHIER)
    page = client.get(at("bench", job)).content.decode()
    assert "not approved: no bench time" in page
    answer = client.post(at("start", job), {"line": touch_up.pk, "key": KEY})
    assert answer.status_code == 422
    assert "“Small varnish touch-up” is not approved" in answer.content.decode()
    assert not WorkSpell.objects.exists()


def test_another_ones_clock_is_stopped_only_by_who_may_give_out_work(client: Client, job: Job) -> None:
    spell = steps.start(job, None, by=factory.person(Role.TECHNICIAN), at=timezone.now()).spell
    sign_in(client, Role.APPRENTICE)
    answer = client.post(at("stop", job), {"spell": spell.pk})
    assert answer.status_code == 422
    assert "That is Jorin’s clock" in answer.content.decode()
    sign_in(client, Role.LUTHIER)
    assert (
        "Jorin’s clock is stopped." in client.post(at("stop", job), {"spell": spell.pk}, follow=True).content.decode()
    )


def test_a_note_is_kept_once_and_an_empty_one_refused(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    assert (
        "Write something, or take a photo." in client.post(at("note", job), {"words": " ", "key": KEY}).content.decode()
    )
    for _ in range(2):
        client.post(at("note", job), {"words": "Nut is cracked.", "key": "another-press"})
    assert [note.words for note in BenchNote.objects.all()] == ["Nut is cracked."]


def test_a_file_that_is_no_picture_is_refused_and_the_words_stay(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    fake = SimpleUploadedFile("crack.jpg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", content_type="image/jpeg")
    answer = client.post(at("note", job), {"words": "Crack at the heel.", "photo": fake, "key": KEY})
    assert answer.status_code == 422
    assert "Crack at the heel." in answer.content.decode()
    assert not BenchNote.objects.exists()


def test_tape_is_laid_once_and_lifted(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    for _ in range(2):
        client.post(at("hold", job), {"kind": "parts", "words": "pegs "})
    hold = job.holds.get()
    assert "parts: pegs" in client.get(at("bench", job)).content.decode()
    for _ in range(2):
        assert client.post(at("lift", job), {"hold": hold.pk}).status_code == 302
    assert Entry.objects.filter(job=job, action="hold.lifted").count() == 1


def test_tape_of_another_job_stays(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    hold = factory.job(Stage.BEN).holds.create(kind="dispute", laid_at=NOW)
    assert client.post(at("lift", job), {"hold": hold.pk}).status_code == 422
    hold.refresh_from_db()
    assert hold.lifted_at is None


def test_where_it_is_put_is_one_more_sighting(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    hook = factory.location("R4-8")
    for _ in range(2):
        client.post(at("place", job), {"location": hook.pk, "key": KEY})
    assert Sighting.objects.filter(item=job.item, location=hook, how="scan").count() == 1
    assert "R4-8" in client.get(at("bench", job)).content.decode()
    assert client.post(at("place", job), {"location": "", "key": "another-press"}).status_code == 422


def test_not_this_one_is_written_into_the_history(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    assert job.item.title in client.get(at("not-this", job)).content.decode()
    assert client.post(at("not-this", job), {"words": "", "key": KEY}).status_code == 422
    client.post(at("not-this", job), {"words": "a viola", "key": "another-press"})
    assert Entry.objects.filter(job=job, action="tag.doubted").count() == 1


def test_a_closed_job_offers_nothing(client: Client, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(closed_at=NOW, closed_as="home", stage=Stage.HOME)
    sign_in(client, Role.TECHNICIAN)
    page = client.get(at("bench", job)).content.decode()
    assert "This job is closed" in page
    assert "What may be done next" not in page


PRESSES = ["move", "give", "start", "stop", "note", "hold", "lift", "place", "check-photos"]


@pytest.mark.parametrize("name", PRESSES)
def test_presses_are_not_links(client: Client, job: Job, name: str) -> None:
    sign_in(client, Role.HEAD)
    assert client.get(at(name, job)).status_code == 405


@pytest.mark.parametrize("name", [*PRESSES, "bench", "not-this", "check"])
def test_strangers_are_sent_to_the_door_and_outside_workshops_kept_out(client: Client, job: Job, name: str) -> None:
    method = client.get if name in {"bench", "not-this", "check"} else client.post
    assert method(at(name, job)).status_code == 302
    sign_in(client, Role.OUTSIDE)
    assert method(at(name, job)).status_code == 403


def test_someone_who_has_left_presses_nothing(client: Client, job: Job) -> None:
    jorin = sign_in(client, Role.TECHNICIAN)
    Person.objects.filter(pk=jorin.pk).update(is_active=False)
    assert client.post(at("start", job), {"line": "whole", "key": KEY})["Location"].startswith("/sign-in")
    assert not WorkSpell.objects.exists()


def test_the_bench_page_asks_twelve_questions_however_full_it_is(client: Client, job: Job) -> None:
    jorin = sign_in(client, Role.TECHNICIAN)
    client.get(at("bench", job))

    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(at("bench", job)).status_code == 200
        return len(seen) - 2  # session and person

    empty = asked()
    factory.approved(job, "New bridge", "New soundpost")
    for number in range(8):
        spell = steps.start(
            job, job.estimates.get().options.get().lines.first(), by=jorin, at=NOW + timedelta(hours=number)
        ).spell
        steps.stop(spell, by=jorin, at=NOW + timedelta(hours=number, minutes=10))
        steps.add_note(job, f"note {number}", by=jorin, at=NOW)
        job.holds.create(kind="parts", words=str(number), laid_at=NOW)
    assert asked() == empty <= 12


def test_ones_own_last_move_may_be_taken_back_from_here(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    page = client.post(at("move", job), {"to": "SET", "seen": 1, "key": KEY}, follow=True).content.decode()
    assert "Take the move back" in page
    page = client.post(at("undo", job), {"seen": 2, "key": "another-press"}, follow=True).content.decode()
    assert "Taken back: it hangs on On the bench again." in page
    assert "Take the move back" not in page
    job.refresh_from_db()
    assert job.stage == Stage.BEN


def test_nobody_is_offered_anothers_move_to_take_back(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    client.post(at("move", job), {"to": "SET", "seen": 1, "key": KEY})
    sign_in(client, Role.LUTHIER)
    assert "Take the move back" not in client.get(at("bench", job)).content.decode()
    assert client.post(at("undo", job), {"seen": 2, "key": "another-press"}).status_code == 422


def test_a_new_finding_stands_beside_the_note(client: Client, job: Job) -> None:
    sign_in(client, Role.TECHNICIAN)
    assert client.post(at("note", job), {"words": " ", "finding": "1", "key": KEY}).status_code == 422
    for _ in range(2):
        client.post(at("note", job), {"words": "Bar is loose.", "finding": "1", "key": "another-press"})
    assert [finding.words for finding in job.findings.all()] == ["Bar is loose."]
    assert not BenchNote.objects.exists()


@pytest.mark.parametrize("stage", [stage for stage in Stage if stage is not Stage.HOME])
@pytest.mark.parametrize("clock", ["none", "stopped", "running"])
def test_the_offers_are_those_of_the_gate_whatever_the_stage_and_clock(
    client: Client, stage: Stage, clock: str
) -> None:
    factory.shop()
    jorin = sign_in(client, Role.TECHNICIAN)
    job = factory.job(Stage.BEN, kind="internal", assigned=jorin)
    if clock != "none":
        spell = steps.start(job, None, by=jorin, at=NOW).spell
        if clock == "stopped":
            steps.stop(spell, by=jorin, at=NOW + timedelta(minutes=5))
    Job.objects.filter(pk=job.pk).update(stage=stage)
    job.refresh_from_db()
    page = client.get(at("bench", job)).context["page"]
    assert page.offers == offers(stage, gather(job))
