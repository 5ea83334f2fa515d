"""The second check on the phone: photos from the same sides, each line, the verdict in one press."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from jobs.bench import steps
from jobs.bench.models import Check
from jobs.book.models import Accessory, Entry, Job
from jobs.book.stages import Stage
from jobs.photos.models import Photo
from jobs.photos.steps import receive
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
KEY = "one-press-only"


def picture(name: str = "front.jpg") -> SimpleUploadedFile:
    kept = BytesIO()
    Image.new("RGB", (64, 48), (120, 60, 20)).save(kept, "JPEG")
    return SimpleUploadedFile(name, kept.getvalue(), content_type="image/jpeg")


@pytest.fixture
def job() -> Job:
    """Worked on by Tobiah, two views photographed at intake, a case left with it, now at Second check."""
    factory.shop()
    tobiah = factory.person(Role.LUTHIER)
    made = factory.job(Stage.BEN, assigned=tobiah)
    lines = factory.approved(made, "New bridge", "New soundpost")
    Accessory.objects.create(job=made, words="case, brown")
    for view in ("front-full", "back-full"):
        receive(picture(), purpose="intake", by=tobiah, at=NOW, send_key=f"intake-{view}", job=made, view=view)
    spell = steps.start(made, lines[0], by=tobiah, at=NOW).spell
    steps.stop(spell, by=tobiah, at=NOW + timedelta(hours=1))
    Job.objects.filter(pk=made.pk).update(stage=Stage.CHK)
    made.refresh_from_db()
    return made


def sign_in(client: Client, role: Role) -> Person:
    person = factory.person(role)
    client.force_login(person, backend=BACKEND)
    return person


def address(job: Job, name: str = "check") -> str:
    return reverse(f"scan:{name}", args=[job.number])


def form(job: Job, **more: object) -> dict[str, object]:
    lines = job.estimates.get().options.get().lines.all()
    here = job.accessories.get().pk
    return {**{f"line-{line.pk}": "done" for line in lines}, "here": here, "seen": job.revision, "key": KEY, **more}


def test_whoever_worked_on_it_is_told_to_ask_someone_else(client: Client, job: Job) -> None:
    sign_in(client, Role.LUTHIER)
    page = client.get(address(job)).content.decode()
    assert "You worked on this. Someone who did not must make the second check." in page
    assert "Passed</button>" not in page
    refused = client.post(address(job), form(job, verdict="passed"))
    assert refused.status_code == 422
    assert not Check.objects.exists()


def test_it_is_passed_once_by_someone_else(client: Client, job: Job) -> None:
    ottilie = sign_in(client, Role.HEAD)
    for _ in range(2):
        assert client.post(address(job), form(job, verdict="passed")).status_code == 302
    made = Check.objects.get()
    assert (made.by, made.passed) == (ottilie, True)
    job.refresh_from_db()
    assert job.stage == Stage.CHK


def test_sent_back_to_the_bench_in_one_press(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    page = client.post(address(job), form(job, verdict="BEN", words="Post leans to the bass side."), follow=True)
    assert "Sent back to On the bench." in page.content.decode()
    job.refresh_from_db()
    assert job.stage == Stage.BEN
    assert Entry.objects.get(job=job, action="job.moved").data["reason"] == "Post leans to the bass side."


def test_a_refusal_keeps_every_tick_and_word(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    lines = list(job.estimates.get().options.get().lines.all())
    typed = form(job, verdict="passed", words="bridge good")
    del typed[f"line-{lines[1].pk}"]
    page = client.post(address(job), typed)
    assert page.status_code == 422
    shown = page.content.decode()
    assert "Still open: New soundpost." in shown
    assert f'name="line-{lines[0].pk}" value="done" checked' in shown
    assert f'name="here" value="{job.accessories.get().pk}" checked' in shown
    assert "bridge good</textarea>" in shown


def test_a_case_that_is_not_there_stops_it(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    typed = form(job, verdict="passed")
    del typed["here"]
    page = client.post(address(job), typed)
    assert page.status_code == 422
    assert "Not seen here: case, brown." in page.content.decode()


@pytest.mark.parametrize(
    "bad",
    [
        {"verdict": ""},
        {"verdict": "HOME"},
        {"verdict": "BEN", "words": "x", "seen": ""},
        {"verdict": "passed", "key": ""},
    ],
)
def test_a_form_that_makes_no_sense_does_nothing(client: Client, job: Job, bad: dict[str, str]) -> None:
    sign_in(client, Role.HEAD)
    assert client.post(address(job), form(job, **bad)).status_code == 422
    assert not Check.objects.exists()


def test_an_old_page_is_told_who_moved_it(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    page = client.post(address(job), form(job, verdict="BEN", words="Post.", seen=7))
    assert page.status_code == 409
    assert not Check.objects.exists()


def test_photos_are_kept_beside_those_of_the_same_side(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    assert "2 views from intake are not taken again yet" in client.get(address(job)).content.decode()
    for _ in range(2):
        client.post(address(job, "check-photos"), {"view-front-full": picture(), "view-check": picture(), "key": KEY})
    kept = Photo.objects.filter(job=job, purpose="check").order_by("view")
    assert [photo.view for photo in kept] == ["check", "front-full"]
    assert "1 view from intake is not taken again yet" in client.get(address(job)).content.decode()


def test_a_file_that_is_no_picture_is_refused_at_its_view_and_the_others_stay(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    fake = SimpleUploadedFile("back.jpg", b"not a picture at all", content_type="image/jpeg")
    page = client.post(address(job, "check-photos"), {"view-front-full": picture(), "view-back-full": fake, "key": KEY})
    assert page.status_code == 422
    assert [photo.view for photo in Photo.objects.filter(job=job, purpose="check")] == ["front-full"]


def test_no_photo_chosen_says_so(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    page = client.post(address(job, "check-photos"), {"key": KEY})
    assert page.status_code == 422
    assert "No photo was chosen." in page.content.decode()


def test_a_view_nobody_asked_for_is_not_kept(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    client.post(address(job, "check-photos"), {"view-ultraviolet": picture(), "key": KEY})
    assert not Photo.objects.filter(purpose="check").exists()


def test_the_bench_page_leads_to_the_check_only_at_second_check(client: Client, job: Job) -> None:
    sign_in(client, Role.HEAD)
    bench = reverse("scan:bench", args=[job.number])
    assert address(job) in client.get(bench).content.decode()
    Job.objects.filter(pk=job.pk).update(stage=Stage.SET)
    assert address(job) not in client.get(bench).content.decode()
    assert "It hangs on Set-up and playing, not on Second check." in client.get(address(job)).content.decode()
