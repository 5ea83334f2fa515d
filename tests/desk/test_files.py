"""Papers, photos and the tag to print: who may open them."""

from datetime import timedelta
from io import BytesIO
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse
from PIL import Image

from jobs.book.models import Entry, Job
from jobs.book.stages import Stage
from jobs.papers.heads import shop_head
from jobs.papers.models import Paper
from jobs.papers.money_texts import ReceiptText
from jobs.papers.steps import freeze
from jobs.papers.texts import Named, day, moment
from jobs.photos.models import Photo
from jobs.photos.steps import receive
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def job() -> Job:
    factory.shop()
    return factory.job(Stage.EXA)


def sign_in(client: Client, role: Role) -> Person:
    person = factory.person(role)
    client.force_login(person, backend=BACKEND)
    return person


def picture() -> SimpleUploadedFile:
    kept = BytesIO()
    Image.new("RGB", (64, 48), (120, 60, 20)).save(kept, "JPEG")
    return SimpleUploadedFile("front.jpg", kept.getvalue(), content_type="image/jpeg")


def photo_of(job: Job | None, **fields: Any) -> Photo:
    return receive(
        picture(), purpose="intake", by=factory.person(Role.DESK), at=NOW, send_key=uuid4().hex, job=job, **fields
    )


def test_a_photo_is_there_at_once_in_both_sizes_and_never_untouched(client: Client, job: Job) -> None:
    photo = photo_of(job)
    sign_in(client, Role.APPRENTICE)
    for size in ("small", "large"):
        answer = client.get(reverse("desk:photo", args=[photo.pk, size]))
        assert answer.status_code == 200
        assert answer["Content-Type"] == "image/jpeg"
        assert b"".join(answer.streaming_content).startswith(b"\xff\xd8")  # type: ignore[attr-defined]
    assert client.get(reverse("desk:photo", args=[photo.pk, "original"])).status_code == 404


def test_a_photo_of_an_intake_in_progress_is_not_the_desks(client: Client, job: Job) -> None:
    photo = photo_of(None, sitting=uuid4(), slot="1")
    sign_in(client, Role.HEAD)
    assert client.get(reverse("desk:photo", args=[photo.pk, "small"])).status_code == 404


def test_photos_are_not_for_strangers_or_outside_workshops(client: Client, job: Job) -> None:
    address = reverse("desk:photo", args=[photo_of(job).pk, "small"])
    assert client.get(address).status_code == 302
    sign_in(client, Role.OUTSIDE)
    assert client.get(address).status_code == 403


def test_choosing_a_photo_for_the_owner(client: Client, job: Job) -> None:
    photo, other = photo_of(job), photo_of(factory.job(Stage.EXA))
    sign_in(client, Role.DESK)
    address = reverse("desk:choose-photo", args=[job.number])
    for may in ("1", "1"):
        client.post(address, {"photo": photo.pk, "may": may})
    photo.refresh_from_db()
    assert photo.owner_may_see
    assert job.entries.filter(action="photo.shown").count() == 1
    assert client.post(address, {"photo": other.pk, "may": "1"}).status_code == 422
    other.refresh_from_db()
    assert not other.owner_may_see
    client.post(address, {"photo": photo.pk, "may": "0"})
    photo.refresh_from_db()
    assert not photo.owner_may_see


OPENED_BY = {
    "note": {Role.DESK, Role.BOOKS, Role.HEAD, Role.LUTHIER, Role.RESTORER},
    "release": {Role.DESK, Role.BOOKS, Role.HEAD},
    "invoice": {Role.DESK, Role.BOOKS, Role.HEAD},
    "receipt": {Role.DESK, Role.BOOKS, Role.HEAD},
    "estimate": {Role.DESK, Role.BOOKS, Role.HEAD, Role.LUTHIER, Role.RESTORER, Role.TECHNICIAN, Role.BOW},
}


@pytest.mark.parametrize(("kind", "roles"), OPENED_BY.items())
def test_papers_open_to_those_who_may_see_what_stands_in_them(
    client: Client, job: Job, kind: str, roles: set[Role]
) -> None:
    # being printed elsewhere, so nothing is printed here: 404 with words is the open door, 403 the shut one
    paper = Paper.objects.create(
        kind=kind, number="X1", job=job, text="{}", text_sha256="0" * 64, position=1, at=NOW,
        state="making", claimed_at=NOW + timedelta(days=9999),
    )  # fmt: skip
    for role in Role:
        sign_in(client, role)
        answer = client.get(reverse("desk:paper", args=[paper.pk]))
        assert answer.status_code == (404 if role in roles else 403), role
        if role in roles:
            assert "just being printed" in answer.content.decode()
        if role is not Role.OUTSIDE:
            listed = (
                reverse("desk:paper", args=[paper.pk])
                in client.get(reverse("desk:job", args=[job.number])).content.decode()
            )
            assert listed == (role in roles), role


def test_the_tag_is_printed_as_one_page(client: Client, job: Job) -> None:
    sign_in(client, Role.APPRENTICE)
    answer = client.get(reverse("desk:tag-pdf", args=[job.number]))
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF-")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Cache-Control"] == "no-store, private"
    sign_in(client, Role.BOOKS)
    assert client.get(reverse("desk:tag-pdf", args=[job.number])).status_code == 403


def test_without_a_live_tag_there_is_nothing_to_print(client: Client, job: Job) -> None:
    job.item.tags.update(dead_at=NOW)
    sign_in(client, Role.DESK)
    assert client.get(reverse("desk:tag-pdf", args=[job.number])).status_code == 404


def test_a_paper_that_failed_can_be_printed_again_once(client: Client, job: Job) -> None:
    desk = sign_in(client, Role.DESK)
    shop = factory.shop()
    text = ReceiptText(
        shop=shop_head(shop),
        fixed=moment(NOW, shop.zone),
        payer=Named(name="Imelda"),
        on=day(NOW),
        amount="5.00",
        how="cash",
    )
    with transaction.atomic():
        paper = freeze(text, by=desk, at=NOW, job=job)
    Paper.objects.filter(pk=paper.pk).update(state="failed", tries=5, failure="The disk was full.")
    address = reverse("desk:paper", kwargs={"pk": paper.pk})
    failed = client.get(address)
    assert failed.status_code == 404
    assert "The disk was full." in failed.content.decode()
    assert "Print it again" in failed.content.decode()
    again = reverse("desk:paper-again", kwargs={"pk": paper.pk})
    for _ in range(2):
        assert client.post(again).status_code == 302
    assert client.get(address)["Content-Type"] == "application/pdf"
    assert Entry.objects.filter(job=job, action="paper.again").count() == 1
