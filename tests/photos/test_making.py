"""Making the sizes: once, by one, and in the end whatever happens to workers, store and broker."""

import logging
import threading
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from pytest_django import DjangoCaptureOnCommitCallbacks

from jobs.book import nudge as nudging
from jobs.book.models import Entry
from jobs.photos import reads, steps, tasks
from jobs.photos.models import Photo, photo_store
from jobs.photos.sizes import Sizes, make_sizes
from shop.celery import app
from tests import factory
from tests.factory import NOW
from tests.photos import pictures
from tests.photos.conftest import kept

LATER = NOW + timedelta(minutes=3)


def received(data: bytes | None = None, **fields: Any) -> Photo:
    upload = pictures.sent(data or pictures.coded("JPEG", exif=pictures.exif(6)))
    by = factory.person()
    return steps.receive(upload, purpose="intake", by=by, at=NOW, send_key=uuid4().hex, sitting=uuid4(), **fields)


def test_the_sizes_are_made_once_and_the_original_stays_as_it_was() -> None:
    data = pictures.coded("JPEG", exif=pictures.exif(6))
    photo = received(data)
    assert steps.make(photo.pk, at=NOW)
    assert not steps.make(photo.pk, at=NOW), "it is made"
    assert not steps.make(photo.pk, at=LATER)
    photo.refresh_from_db()
    assert (photo.state, photo.tries) == ("made", 1)
    with photo.original.open("rb") as original:
        assert original.read() == data
    with photo.small.open("rb") as small, photo.large.open("rb") as large:
        assert Sizes(small.read(), large.read()) == make_sizes(data)
    assert len(kept()) == 3


def test_a_worker_killed_after_its_claim_is_followed_by_another_after_two_minutes() -> None:
    photo = received()
    assert steps._claim(photo.pk, at=NOW), "and here the worker is killed"
    assert not steps.make(photo.pk, at=NOW + timedelta(seconds=119))
    assert not reads.waiting(at=NOW + timedelta(seconds=119)).exists()
    assert reads.waiting(at=LATER).get() == photo
    assert steps.make(photo.pk, at=LATER)
    photo.refresh_from_db()
    assert (photo.state, photo.tries) == ("made", 2)


def test_what_a_late_worker_still_makes_is_thrown_away(monkeypatch: pytest.MonkeyPatch) -> None:
    photo = received()

    def slow(data: bytes) -> Sizes:
        monkeypatch.setattr(steps, "make_sizes", make_sizes)
        assert steps.make(photo.pk, at=LATER), "another took over meanwhile"
        return make_sizes(data)

    monkeypatch.setattr(steps, "make_sizes", slow)
    assert not steps.make(photo.pk, at=NOW)
    photo.refresh_from_db()
    assert photo.claimed_at == LATER
    assert len(kept()) == 3
    assert {photo.small.name, photo.large.name} < set(kept())


def test_after_three_dead_workers_the_photo_is_given_up_with_words() -> None:
    job = factory.job()
    photo = received()
    Photo.objects.filter(pk=photo.pk).update(job=job)
    at = NOW
    for _ in range(steps.TRIES):
        assert steps._claim(photo.pk, at=at)
        at += timedelta(minutes=3)
    assert not steps.make(photo.pk, at=at)
    assert steps.give_up(at=at) == 1
    assert steps.give_up(at=at) == 0
    photo.refresh_from_db()
    assert photo.state == "failed"
    assert photo.failure == "The picture could not be worked on, three times over. Take it again."
    assert Entry.objects.get(action="photo.failed").job == job


def test_a_picture_that_cannot_be_decoded_is_given_up_at_once(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.CRITICAL)
    whole = bytearray(pictures.coded("JPEG"))
    head = whole.index(b"\xff\xc0")
    whole[head + 7] ^= 0x7F  # another width: the header reads well, what follows does not
    start = whole.index(b"\xff\xc4") + 5
    whole[start : start + 12] = b"\xff" * 12  # and impossible code lengths
    photo = received(bytes(whole))
    assert not steps.make(photo.pk, at=NOW)
    photo.refresh_from_db()
    assert (photo.state, photo.failure) == ("failed", "The picture is damaged and cannot be read. Take it again.")
    assert not reads.waiting(at=LATER).exists()
    assert kept() == [photo.original.name]


def test_a_missing_original_is_given_up_and_said() -> None:
    photo = received()
    photo_store().delete(photo.original.name or "")
    assert not steps.make(photo.pk, at=NOW)
    photo.refresh_from_db()
    assert photo.failure == "The picture’s file is missing from the shop’s store."


def test_while_the_store_is_full_no_try_is_counted(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.CRITICAL)
    photo, store = received(), photo_store()
    save, calls = store.save, []

    def full_at_second(name: str, content: Any) -> str:
        calls.append(name)
        if len(calls) % 2 == 0:
            raise OSError(28, "No space left on device")
        return save(name, content)

    with monkeypatch.context() as patch:
        patch.setattr(store, "save", full_at_second)
        for _ in range(5):
            assert not steps.make(photo.pk, at=NOW)
    photo.refresh_from_db()
    assert (photo.state, photo.tries) == ("due", 0)
    assert kept() == [photo.original.name]
    assert steps.make(photo.pk, at=NOW)


@pytest.mark.django_db(transaction=True)
def test_two_workers_never_both_make_it(monkeypatch: pytest.MonkeyPatch) -> None:
    photo, calls = received(), []

    def counted(data: bytes) -> Sizes:
        calls.append(threading.get_ident())
        return make_sizes(data)

    monkeypatch.setattr(steps, "make_sizes", counted)
    together = threading.Barrier(4)
    made: list[bool] = []

    def work(at: datetime) -> None:
        together.wait()
        try:
            made.append(steps.make(photo.pk, at=at))
        finally:
            connection.close()

    threads = [threading.Thread(target=work, args=(NOW + timedelta(milliseconds=n),)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(made) == [False, False, False, True]
    assert len(calls) == 1


def test_the_sweep_makes_what_no_nudge_arrived_for() -> None:
    photos = [received() for _ in range(3)]
    assert tasks.sweep() == 3
    assert tasks.sweep() == 0
    assert set(Photo.objects.values_list("state", flat=True)) == {"made"}
    assert not tasks.make(photos[0].pk), "a message that comes late or twice does nothing"


def test_the_worker_is_nudged_once_the_photo_is_committed(
    monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks
) -> None:
    sent: list[tuple[str, tuple[object, ...]]] = []
    monkeypatch.setattr(nudging, "_send", lambda name, args: sent.append((name, args)))
    with django_capture_on_commit_callbacks(execute=True):
        photo = received()
        assert sent == []
    assert sent == [("photos.make", (photo.pk,))]


def test_a_broker_that_is_away_neither_fails_nor_holds_up_a_photo(
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    tmp_path: Path,
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    monkeypatch.setitem(app.conf, "broker_write_url", "redis://127.0.0.1:1/0")
    monkeypatch.setattr(nudging, "_line", None)
    monkeypatch.setattr(nudging, "_rest_until", 0.0)
    with django_capture_on_commit_callbacks(execute=True):
        photo = received()
    assert "The broker is away" in caplog.text
    assert tasks.sweep() == 1, "the sweep found it"
    photo.refresh_from_db()
    assert photo.state == "made"
