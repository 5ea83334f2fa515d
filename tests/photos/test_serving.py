"""Serving: privately, under our own name, never the original to outsiders, and also while the worker is away."""

from datetime import timedelta
from io import BytesIO
from uuid import uuid4

import pytest
from django.http import FileResponse, HttpResponse
from PIL import Image

from jobs.book.models import Entry
from jobs.book.refusals import Refused
from jobs.photos import reads, steps
from jobs.photos.models import Photo, photo_store
from jobs.photos.serving import photo_response
from tests import factory
from tests.factory import NOW
from tests.photos import pictures

GPS = 0x8825


def received(kind: str = "JPEG", **fields: object) -> Photo:
    data = pictures.coded(kind, pictures.scene(2400, 1800), exif=pictures.exif())
    upload = pictures.sent(data, pictures.KINDS[kind])
    fields.setdefault("purpose", "bench")
    return steps.receive(upload, by=factory.person(), at=NOW, send_key=uuid4().hex, **fields)  # type: ignore[arg-type]


def body(response: FileResponse | HttpResponse) -> bytes:
    if isinstance(response, FileResponse):
        data = b"".join(response.streaming_content)  # type: ignore[arg-type]
        assert response.file_to_stream is not None
        response.file_to_stream.close()  # not response.close(): that ends the request and its connection
        return data
    return response.content


@pytest.mark.parametrize(("size", "edge"), [("small", 480), ("large", 1600)])
@pytest.mark.parametrize("kind", ["JPEG", "HEIF"])
def test_a_size_is_made_when_asked_for_before_the_worker_came(kind: str, size: str, edge: int) -> None:
    photo = received(kind)
    response = photo_response(photo, size, at=NOW)
    picture = Image.open(BytesIO(body(response)))
    assert (max(picture.size), picture.format) == (edge, "JPEG")
    photo.refresh_from_db()
    assert photo.state == "made"
    assert not steps.make(photo.pk, at=NOW), "the worker finds it done"


def test_a_photo_leaves_with_the_rules_of_a_private_picture() -> None:
    photo = received(words="Nkechi’s violin")
    response = photo_response(photo, "large", at=NOW)
    body(response)
    assert response["Cache-Control"] == "private, max-age=86400, immutable"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Content-Type"] == "image/jpeg"
    assert response["Content-Disposition"] == f'inline; filename="photo-{photo.pk}-large.jpg"'
    assert response.has_header("Content-Length")


def test_a_kiosk_keeps_no_photo() -> None:
    response = photo_response(received(), "small", at=NOW, keep=False)
    body(response)
    assert response["Cache-Control"] == "no-store, private"


def test_the_original_goes_to_staff_alone_as_a_download() -> None:
    photo = received("HEIF")
    assert photo_response(photo, "original", at=NOW).status_code == 404
    response = photo_response(photo, "original", at=NOW, staff=True)
    assert response["Content-Type"] == "image/heic"
    assert response["Content-Disposition"] == f'attachment; filename="photo-{photo.pk}-original.heic"'
    assert Image.open(BytesIO(body(response))).getexif().get_ifd(GPS), "untouched, with its place"


@pytest.mark.parametrize("size", ["", "huge", "../small"])
def test_no_other_size_exists(size: str) -> None:
    assert photo_response(received(), size, at=NOW, staff=True).status_code == 404


def test_while_a_dead_worker_holds_the_claim_the_page_is_answered_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reads, "_WAIT", 0.1)
    photo = received()
    assert steps._claim(photo.pk, at=NOW - timedelta(seconds=30))
    photo.refresh_from_db()
    response = photo_response(photo, "small", at=NOW)
    picture = Image.open(BytesIO(body(response)))
    assert max(picture.size) == 480
    assert not picture.getexif()
    assert response["Cache-Control"] == "no-store, private", "drawn for this answer only"
    photo.refresh_from_db()
    assert (photo.state, photo.tries) == ("making", 1)


def test_a_photo_that_failed_is_answered_with_its_words() -> None:
    photo = received()
    Photo.objects.filter(pk=photo.pk).update(state="failed", failure="The picture is damaged.")
    photo.refresh_from_db()
    response = photo_response(photo, "small", at=NOW)
    assert (response.status_code, body(response)) == (404, b"The picture is damaged.")


def test_a_photo_whose_files_are_gone_is_answered_with_words() -> None:
    photo = received()
    steps.make(photo.pk, at=NOW)
    photo.refresh_from_db()
    photo_store().delete(photo.small.name or "")
    assert photo_response(photo, "small", at=NOW).status_code == 404


def test_photos_are_read_by_sitting_slot_job_and_view() -> None:
    sitting, job, by = uuid4(), factory.job(), factory.person()
    first = received(sitting=sitting, slot="a", view="front-full", purpose="intake")
    again = received(sitting=sitting, slot="a", view="front-full", purpose="intake")
    other = received(sitting=sitting, slot="b", view="label", purpose="intake")
    received(sitting=uuid4(), slot="a", view="back-full", purpose="intake")
    assert list(reads.of_sitting(sitting)) == [first, again, other]
    assert reads.by_view(reads.of_sitting(sitting, "a")) == {"front-full": again}
    steps.put_aside(first, by=by, at=NOW)
    assert list(reads.of_sitting(sitting, "a")) == [again]

    assert steps.file_with_job(sitting, "a", job=job, by=by, at=NOW) == 2
    assert list(reads.of_job(job)) == [again]
    assert list(reads.of_sitting(sitting)) == [other]
    again.refresh_from_db()
    assert (again.item, again.visit, again.slot) == (job.item, job.visit, "")
    bench = received(job=job)
    assert list(reads.of_job(job, "bench")) == [bench]
    assert Entry.objects.get(action="photo.filed").data == {"photos": [first.pk, again.pk]}


def test_the_owner_sees_what_was_chosen_and_no_longer_what_was_taken_back() -> None:
    job, by = factory.job(), factory.person()
    photo = received(job=job)
    assert not reads.for_owner(job).exists()
    steps.choose_for_owner(photo, True, by=by, at=NOW)
    steps.choose_for_owner(photo, True, by=by, at=NOW)
    assert list(reads.for_owner(job)) == [photo]
    assert Entry.objects.filter(action="photo.shown").count() == 1
    steps.choose_for_owner(photo, False, by=by, at=NOW)
    assert not reads.for_owner(job).exists()
    assert Entry.objects.filter(action="photo.hidden").count() == 1


def test_a_photo_put_aside_or_without_a_job_cannot_be_chosen() -> None:
    by = factory.person()
    with pytest.raises(Refused, match="no job yet"):
        steps.choose_for_owner(received(sitting=uuid4(), purpose="intake"), True, by=by, at=NOW)
    photo = received(job=factory.job())
    steps.choose_for_owner(photo, True, by=by, at=NOW)
    steps.put_aside(photo, by=by, at=NOW)
    steps.put_aside(photo, by=by, at=NOW)
    assert not photo.owner_may_see
    assert Entry.objects.filter(action="photo.aside").count() == 1
    with pytest.raises(Refused, match="Choose another"):
        steps.choose_for_owner(photo, True, by=by, at=NOW)


def test_a_photo_of_the_note_cannot_be_put_aside_once_the_job_is_open() -> None:
    photo = received(job=factory.job(), purpose="intake")
    with pytest.raises(Refused, match="belongs to the note"):
        steps.put_aside(photo, by=factory.person(), at=NOW)
    photo.refresh_from_db()
    assert photo.put_aside_at is None
