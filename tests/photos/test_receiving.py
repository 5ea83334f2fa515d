"""Receiving: what is kept is what came; what is no photo is refused in one sentence that says what to do."""

import hashlib
import threading
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile, TemporaryUploadedFile
from django.db import DatabaseError, connection
from django.test import override_settings
from pytest_django import DjangoAssertNumQueries

from jobs.book.models import Entry
from jobs.book.refusals import Refused
from jobs.photos import steps
from jobs.photos.models import Photo, photo_store
from tests import factory
from tests.factory import NOW
from tests.photos import pictures
from tests.photos.conftest import kept

SITTING = UUID("6f1d2e77-90ac-4a53-8f6e-0b6d6c1b7a10")


def send(upload: SimpleUploadedFile | TemporaryUploadedFile, **fields: Any) -> Photo:
    fields.setdefault("send_key", uuid4().hex)
    fields.setdefault("purpose", "intake")
    if "job" not in fields:
        fields.setdefault("sitting", SITTING)
    return steps.receive(upload, by=factory.person(), at=NOW, **fields)


@pytest.mark.parametrize("large", [False, True], ids=["in memory", "in a file"])
@pytest.mark.parametrize("kind", pictures.KINDS)
def test_a_photo_is_kept_byte_for_byte(kind: str, large: bool) -> None:
    data = pictures.coded(kind, exif=pictures.exif(6))
    name = pictures.KINDS[kind]
    photo = send(
        pictures.sent_large(data, name) if large else pictures.sent(data, name), slot="violin", view="front-full"
    )
    photo.refresh_from_db()
    with photo.original.open("rb") as original:
        assert original.read() == data
    assert photo.sha256 == hashlib.sha256(data).hexdigest()
    assert (photo.format, photo.size, photo.state, photo.original_name) == (kind, len(data), "due", name)
    assert (photo.width, photo.height) == (480, 640), "as seen upright"
    assert (photo.sitting, photo.slot, photo.view) == (SITTING, "violin", "front-full")
    entry = Entry.objects.get(action="photo.received")
    assert entry.data == {"photo": photo.pk, "purpose": "intake", "view": "front-full", "sha256": photo.sha256}


def test_the_original_can_be_read_by_the_shop_alone() -> None:
    photo = send(pictures.sent(pictures.coded("JPEG")))
    path = Path(photo_store().path(photo.original.name or ""))
    assert oct(path.stat().st_mode & 0o777) == "0o600"


def test_the_time_of_taking_is_the_shops_own_unless_the_picture_says_otherwise() -> None:
    # Lisbon keeps UTC in winter and one hour more in summer (IANA time zone data base)
    winter = send(pictures.sent(pictures.coded("JPEG", exif=pictures.exif())))
    assert winter.taken_at == datetime(2026, 11, 6, 10, 42, 11, tzinfo=UTC)
    summer = send(pictures.sent(pictures.coded("JPEG", exif=pictures.exif(taken="2026:07:06 10:42:11"))))
    assert summer.taken_at == datetime(2026, 7, 6, 9, 42, 11, tzinfo=UTC)
    abroad = send(pictures.sent(pictures.coded("JPEG", exif=pictures.exif(offset="-05:30"))))
    assert abroad.taken_at == datetime(2026, 11, 6, 16, 12, 11, tzinfo=UTC)


@pytest.mark.parametrize("taken", ["0000:00:00 00:00:00", "yesterday", ""])
def test_a_time_of_taking_that_is_none_falls_back_to_the_senders(taken: str) -> None:
    data = pictures.coded("JPEG", exif=pictures.exif(taken=taken))
    assert send(pictures.sent(data)).taken_at is None
    assert send(pictures.sent(data), taken_at=NOW).taken_at == NOW


def test_a_photo_of_a_job_belongs_to_its_item_and_visit() -> None:
    job = factory.job()
    photo = send(pictures.sent(pictures.coded("PNG"), "front.png"), job=job, purpose="bench")
    assert (photo.job, photo.item, photo.visit) == (job, job.item, job.visit)
    assert Entry.objects.get(action="photo.received").job == job


def test_receiving_costs_few_statements(django_assert_max_num_queries: DjangoAssertNumQueries) -> None:
    data, by = pictures.coded("JPEG"), factory.person()
    with django_assert_max_num_queries(6):
        steps.receive(pictures.sent(data), purpose="intake", by=by, at=NOW, send_key=uuid4().hex, sitting=SITTING)


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"\n <!DOCTYPE html><html><body onload='alert(1)'></body></html>"
REFUSED: dict[str, tuple[bytes, str]] = {
    "nothing in it": (b"", "is empty: 0 bytes"),
    "a text": (b"not an image at all", "is not a photo"),
    "a drawing": (SVG, "is a drawing (SVG)"),
    "a drawing with its declaration": (b'<?xml version="1.0"?>\n' + SVG, "is a drawing (SVG)"),
    "a web page": (HTML, "is a web page"),
    "a PDF": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3", "is a PDF"),
    "a film": (b"\x00\x00\x00\x18ftypisom\x00\x00\x02\x00", "is a film"),
    "a GIF": (b"GIF89a\x01\x00\x01\x00", "is a GIF picture"),
    "only the start of a JPEG": (b"\xff\xd8\xff", "came only in part"),
    "a JPEG of noise": (b"\xff\xd8\xff\xe0" + bytes(range(256)) * 40, "came only in part"),
    "a JPEG with an end and nothing in it": (b"\xff\xd8\xff\xda\x00\x02\xff\xd9", "cannot be read as a photo"),
    "a PNG with nothing in it": (b"\x89PNG\r\n\x1a\n\0\0\0\0IEND\xaeB`\x82", "cannot be read as a photo"),
    "a bomb": (pictures.png_bomb(), "60 million dots"),
    "a bomb just above what we take": (pictures.png_bomb(8_000), "60 million dots"),
    **{
        f"half of a {kind}": (data[: len(data) // 2], "came only in part")
        for kind in pictures.KINDS
        for data in [pictures.coded(kind, exif=pictures.exif())]
    },
    "a HEIC that lacks its last bytes": (pictures.coded("HEIF")[:-3], "came only in part"),
}


@pytest.mark.parametrize("large", [False, True], ids=["in memory", "in a file"])
@pytest.mark.parametrize("what", REFUSED)
def test_what_is_no_whole_photo_is_refused_by_name_and_leaves_nothing_behind(what: str, large: bool) -> None:
    data, words = REFUSED[what]
    before = kept()
    upload = pictures.sent_large(data, "front.jpg") if large and data else pictures.sent(data, "front.jpg")
    with pytest.raises(Refused) as refusal:
        send(upload)
    assert refusal.value.words.startswith("“front.jpg” ")
    assert words in refusal.value.words
    assert any(what_to_do in refusal.value.words for what_to_do in ("Send", "ake it again"))
    assert not Photo.objects.exists()
    assert kept() == before


def test_sixty_megabytes_are_refused_before_they_are_read() -> None:
    upload = pictures.sent_large(pictures.coded("JPEG"), "wall.jpg")
    upload.size = 60 * 1024 * 1024
    with pytest.raises(Refused, match=r"“wall.jpg” has 60 MB; a photo may have 50 MB at most\. Set the camera"):
        send(upload)


@override_settings(PHOTO_MAX_BYTES=4000)
def test_a_real_file_above_the_limit_is_refused() -> None:
    with pytest.raises(Refused, match="may have"):
        send(pictures.sent(pictures.coded("PNG", pictures.scene(3000, 2000)), "big.png"))


def test_a_png_with_something_after_its_end_is_taken_and_kept_as_it_is() -> None:
    data = pictures.coded("PNG") + b"<script>alert(1)</script>"
    photo = send(pictures.sent(data, "front.png"))
    with photo.original.open("rb") as original:
        assert original.read() == data


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
def test_a_photo_with_broken_camera_notes_is_taken_all_the_same() -> None:
    broken = b"Exif\x00\x00II*\x00\xff\xff\xff\xff" + b"\x00" * 40
    photo = send(pictures.sent(pictures.coded("JPEG", exif=broken)))
    assert photo.taken_at is None


@pytest.mark.parametrize(
    ("name", "said"), [("", "This photo"), ("blob", "This photo"), ("x\u202e\n.jpg", "“x.jpg”"), ("a" * 90, "a…a")]
)
def test_a_sentence_stays_readable_whatever_the_file_is_called(name: str, said: str) -> None:
    upload = pictures.sent(b"none", "later")
    upload.__dict__["_name"] = name  # past the checks of its setter
    with pytest.raises(Refused) as refusal:
        send(upload)
    assert said in refusal.value.words
    assert len(refusal.value.words) < 160


def test_the_same_send_key_gives_the_first_photo() -> None:
    data, key = pictures.coded("JPEG"), uuid4().hex
    first = send(pictures.sent(data), send_key=key)
    again = send(pictures.sent(data), send_key=key)
    assert again == first
    assert len(kept()) == len(set(kept())) == 1
    assert Entry.objects.filter(action="photo.received").count() == 1


def test_an_answer_that_was_lost_may_be_asked_for_again_after_the_note_is_sealed() -> None:
    key, data, job = uuid4().hex, pictures.coded("JPEG"), factory.job()
    first = send(pictures.sent(data), send_key=key, slot="a")
    assert steps.file_with_job(SITTING, "a", job=job, by=factory.person(), at=NOW) == 1
    assert send(pictures.sent(data), send_key=key, slot="a") == first


def test_a_send_key_of_another_sitting_gives_nothing_away() -> None:
    key, data = uuid4().hex, pictures.coded("JPEG")
    send(pictures.sent(data), send_key=key)
    with pytest.raises(Refused, match="sent before, with another instrument"):
        send(pictures.sent(data), send_key=key, sitting=uuid4())


@pytest.mark.parametrize("key", ["", "short", "k" * 61])
def test_a_photo_without_a_proper_send_key_is_refused(key: str) -> None:
    with pytest.raises(Refused, match="out of date"):
        send(pictures.sent(pictures.coded("JPEG")), send_key=key)


def test_no_file_is_left_when_the_row_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses(*_args: Any, **_fields: Any) -> None:
        raise DatabaseError("disk I/O error")

    before = kept()
    monkeypatch.setattr(steps, "record", refuses)
    with pytest.raises(DatabaseError):
        send(pictures.sent(pictures.coded("JPEG")))
    assert kept() == before
    assert not Photo.objects.exists()


def test_a_store_that_is_full_says_so_and_the_photo_may_be_sent_again(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_args: Any, **_fields: Any) -> str:
        raise OSError(28, "No space left on device")

    key = uuid4().hex
    with monkeypatch.context() as patch:
        patch.setattr(photo_store(), "save", full)
        with pytest.raises(Refused, match=r"“front.jpg” could not be stored.*send it again"):
            send(pictures.sent(pictures.coded("JPEG")), send_key=key)
    assert send(pictures.sent(pictures.coded("JPEG")), send_key=key).pk


def test_a_store_that_fills_up_midway_keeps_no_part_of_the_photo(monkeypatch: pytest.MonkeyPatch) -> None:
    store, before = photo_store(), kept()
    save = store.save

    def fills_up(name: str, content: Any) -> str:
        save(name, ContentFile(content.read(40)))
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(store, "save", fills_up)
        with pytest.raises(Refused, match="could not be stored"):
            send(pictures.sent(pictures.coded("JPEG")))
    assert kept() == before
    assert not Photo.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_two_sendings_at_the_same_moment_make_one_photo_and_one_file() -> None:
    data, key, by = pictures.coded("JPEG"), uuid4().hex, factory.person()
    together = threading.Barrier(2)
    made: list[int] = []

    def one() -> None:
        together.wait()
        try:
            photo = steps.receive(pictures.sent(data), purpose="intake", by=by, at=NOW, send_key=key, sitting=SITTING)
            made.append(photo.pk)
        finally:
            connection.close()

    threads = [threading.Thread(target=one) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert len(made) == 2
    assert len(set(made)) == Photo.objects.count() == 1
    assert len(kept()) == 1
