"""Copies are asked for, made once, recorded as they are, and cleared away; what goes wrong is said in words."""

import errno
import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Barrier, Thread
from typing import Any
from unittest import mock

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.photos.models import Photo, photo_store
from jobs.photos.steps import receive
from shop.packing import making, steps
from shop.packing.faults import CannotPackError
from shop.packing.models import SafeCopy
from shop.packing.reading import checked
from shop.packing.reads import last_good
from shop.people.roles import Role
from tests import factory
from tests.packing.shops import manifest_of, packed
from tests.photos.pictures import coded, sent

pytestmark = pytest.mark.django_db(transaction=True)
AT = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


class Clock:
    """A clock that is set by hand."""

    def __init__(self, at: datetime = AT) -> None:
        self.at = at

    def __call__(self) -> datetime:
        return self.at


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: Any) -> Path:
    """A home and a folder of copies of this test's own."""
    settings.SHOP_HOME = tmp_path / "home"
    settings.SHOP_HOME.mkdir()
    settings.COPIES_FOLDER = tmp_path / "copies"
    factory.shop(time_zone="Europe/Lisbon")
    return tmp_path / "copies"


def photo(key: str = "a-key-for-a-photo") -> Photo:
    return receive(sent(coded("JPEG")), purpose="bench", by=factory.person(), at=AT, send_key=key, job=factory.job())


def made_at(at: datetime, settings: Any, folder: Path) -> SafeCopy:
    """A copy made at a moment of the past."""
    copy = packed(folder, settings, clock=Clock(at))
    SafeCopy.objects.filter(pk=copy.pk).update(made_at=at)
    copy.refresh_from_db()
    return copy


def test_a_copy_is_written_read_back_and_only_then_good(folder: Path, settings: Any) -> None:
    photo()
    copy = packed(folder, settings)
    assert (copy.state, copy.failure, copy.doing, copy.gone_at) == ("good", "", "", None)
    assert checked(Path(copy.path), passphrase="").rows == copy.rows > 0
    assert copy.files == 1
    assert [path.name for path in folder.iterdir()] == [Path(copy.path).name]
    assert folder.stat().st_mode & 0o077 == 0
    assert Path(copy.path).stat().st_size == copy.size


def test_its_name_tells_the_day_and_time_on_the_shops_clock(folder: Path, settings: Any) -> None:
    copy = packed(folder, settings, clock=Clock(datetime(2026, 7, 1, 22, 45, tzinfo=UTC)))
    assert Path(copy.path).name == f"safe-copy-2026-07-01-2345-{copy.pk}.zip"


def test_while_one_waits_or_is_made_there_is_no_other() -> None:
    steps.ask(by=None, at=AT)
    with pytest.raises(CannotPackError, match="already"):
        steps.ask(by=None, at=AT)
    assert steps.ask_daily(at=AT) is None
    SafeCopy.objects.update(state="making")
    with pytest.raises(CannotPackError, match="already"):
        steps.ask(by=None, at=AT)


def test_two_workers_make_one_daily_copy(folder: Path) -> None:
    gate = Barrier(4)

    def work() -> None:
        gate.wait()
        try:
            steps.ask_daily(at=AT)
            for pk in list(SafeCopy.objects.filter(state="due").values_list("pk", flat=True)):
                steps.make(pk, clock=Clock())
            steps.ask_daily(at=AT + timedelta(minutes=1))
        finally:
            connection.close()

    threads = [Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert [copy.state for copy in SafeCopy.objects.all()] == ["good"]
    assert len(list(folder.iterdir())) == 1


def test_the_daily_copy_catches_up_when_the_computer_was_off() -> None:
    clock = Clock(AT)
    first = steps.ask_daily(at=clock.at)
    assert first is not None
    assert str(first.day) == "2026-11-25"
    steps.make(first.pk, clock=clock)
    assert steps.ask_daily(at=AT + timedelta(hours=12)) is None
    assert steps.ask_daily(at=datetime(2026, 11, 26, 2, 29, tzinfo=UTC)) is None
    after_days_off = steps.ask_daily(at=datetime(2026, 11, 29, 16, 0, tzinfo=UTC))
    assert after_days_off is not None
    assert str(after_days_off.day) == "2026-11-29"


def test_before_the_shop_is_open_there_is_nothing_to_copy() -> None:
    factory.shop().delete()
    assert steps.ask_daily(at=AT) is None


def test_a_daily_copy_that_failed_is_tried_three_times_an_hour_apart() -> None:
    at = AT
    for tries in range(3):
        copy = steps.ask_daily(at=at)
        assert copy is not None, tries
        SafeCopy.objects.filter(pk=copy.pk).update(state="failed", finished_at=at)
        assert steps.ask_daily(at=at + timedelta(minutes=59)) is None
        at += timedelta(hours=1)
    assert steps.ask_daily(at=at) is None
    assert steps.ask_daily(at=at + timedelta(days=1)) is not None


def full(*_args: object, **_more: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_is_told_leaves_no_part_and_keeps_the_old_copies(folder: Path, settings: Any) -> None:
    before = packed(folder, settings)
    with mock.patch("shop.packing.writing.os.fsync", full):
        copy = packed(folder, settings)
    assert copy.state == "failed"
    assert f"The disk of {folder} is full. The older copies are still there." in copy.failure
    assert [str(path) for path in folder.iterdir()] == [before.path]
    assert last_good(at=before.made_at or AT).words == "The last good copy was made just now."


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path, settings: Any) -> None:
    (tmp_path / "a-file").write_text("")
    copy = packed(tmp_path / "a-file" / "copies", settings)
    assert copy.state == "failed"
    assert "cannot be written: Not a directory" in copy.failure


def test_a_disk_that_gives_back_other_bytes_makes_no_good_copy(folder: Path, settings: Any) -> None:
    def spoiled(path: Path, **more: Any) -> Any:
        with path.open("r+b") as held:
            held.seek(200)
            byte = held.read(1)[0]
            held.seek(200)
            held.write(bytes([byte ^ 1]))
        return checked(path, **more)

    with mock.patch("shop.packing.steps.checked", spoiled):
        copy = packed(folder, settings)
    assert copy.state == "failed"
    assert "damaged" in copy.failure
    assert list(folder.iterdir()) == []


def test_a_photo_missing_from_the_store_is_named_and_the_copy_is_not_good(folder: Path, settings: Any) -> None:
    gone, there = photo("first-photo"), photo("second-photo")
    photo_store().delete(str(gone.original.name))
    copy = packed(folder, settings)
    assert copy.state == "failed"
    assert copy.failure.startswith(f"1 file is missing from the shop’s store: photos/{gone.original.name}.")
    made = manifest_of(Path(copy.path))  # all else is in it
    assert made.missing == (f"files/photos/{gone.original.name}",)
    assert made.files.rows == 1
    assert there.original.name
    assert steps.ask_daily(at=AT) is not None  # asked for by hand, it was nobody's daily copy


def test_a_daily_copy_with_files_missing_is_not_made_again_and_again(folder: Path) -> None:
    photo_store().delete(str(photo().original.name))
    daily = steps.ask_daily(at=AT)
    assert daily is not None
    steps.make(daily.pk, clock=Clock())
    assert SafeCopy.objects.get().state == "failed"
    assert steps.ask_daily(at=AT + timedelta(hours=5)) is None


def test_a_photo_whose_disk_fails_in_the_middle_is_named(folder: Path, settings: Any) -> None:
    kept = photo()

    class Failing:
        def __enter__(self) -> "Failing":
            return self

        def __exit__(self, *_said: object) -> None: ...

        def read(self, _size: int) -> bytes:
            raise OSError(errno.EIO, "Input/output error")

    with mock.patch.object(type(photo_store()), "open", return_value=Failing()):
        copy = packed(folder, settings)
    assert str(kept.original.name) in copy.failure
    assert checked(Path(copy.path), passphrase="").files.rows == 1


def test_one_whose_maker_died_is_given_up_and_its_part_thrown_away(folder: Path) -> None:
    copy = steps.ask(by=None, at=AT)
    folder.mkdir()
    part = folder / "safe-copy.zip.part"
    part.write_bytes(b"half")
    SafeCopy.objects.filter(pk=copy.pk).update(state="making", claimed_at=AT, alive_at=AT, path=str(part))
    assert steps.give_up(at=AT + timedelta(minutes=4)) == 0
    assert steps.give_up(at=AT + timedelta(minutes=6)) == 1
    copy.refresh_from_db()
    assert copy.state == "failed"
    assert "stopped in the middle" in copy.failure
    assert not part.exists()


def test_one_given_up_meanwhile_does_not_become_good(folder: Path) -> None:
    copy = steps.ask(by=None, at=AT)
    make = making.make

    def slow(*args: Any, **more: Any) -> Any:
        made = make(*args, **more)
        SafeCopy.objects.filter(pk=copy.pk).update(state="failed", failure="given up")
        return made

    with mock.patch("shop.packing.steps.making.make", slow):
        after = steps.make(copy.pk, clock=Clock())
    assert after is not None
    assert (after.state, after.failure) == ("failed", "given up")
    assert list(folder.iterdir()) == []


def test_old_copies_go_and_their_rows_say_so(folder: Path, settings: Any) -> None:
    settings.COPIES_KEPT = (2, 0, 0)
    copies = [made_at(AT + timedelta(days=day), settings, folder) for day in range(4)]
    steps.clear_away(at=AT + timedelta(days=4))
    there = [Path(copy.path).exists() for copy in copies]
    assert there == [False, False, True, True]
    gone = SafeCopy.objects.get(pk=copies[0].pk)
    assert (gone.path, gone.gone_at is not None) == ("", True)


def test_a_copy_taken_away_is_no_last_good_one_until_it_is_back(folder: Path, settings: Any) -> None:
    copy = made_at(AT, settings, folder)
    Path(copy.path).rename(folder / "elsewhere")
    steps.look_after(at=AT)
    assert last_good(AT).age is None
    (folder / "elsewhere").rename(copy.path)
    steps.look_after(at=AT)
    assert last_good(AT).age == timedelta(0)


@pytest.mark.parametrize(
    ("age", "late", "words"),
    [
        (timedelta(hours=5), False, "The last good copy is 5 hours old."),
        (timedelta(hours=26), False, "The last good copy is 26 hours old."),
        (timedelta(hours=26, minutes=1), True, "The last good copy is 26 hours old."),
        (timedelta(days=3, hours=2), True, "The last good copy is 3 days old."),
    ],
)
def test_the_age_of_the_last_good_copy_in_one_query(age: timedelta, late: bool, words: str) -> None:
    SafeCopy.objects.create(asked_at=AT, made_at=AT, state="good", path="x")
    SafeCopy.objects.create(asked_at=AT, made_at=AT + timedelta(hours=1), state="failed", path="y")
    with CaptureQueriesContext(connection) as seen:
        said = last_good(AT + age)
    assert (said.late, said.words, len(seen)) == (late, words, 1)


def test_without_any_copy_the_head_luthier_is_warned() -> None:
    assert last_good(AT).late
    assert "no good safe copy" in last_good(AT).words


def test_rows_are_of_one_moment_while_others_write(folder: Path, settings: Any) -> None:
    """A job that comes in between two tables is in neither."""
    tables, wrote = making._table, []

    def take_in() -> None:
        try:
            with transaction.atomic():
                wrote.append(factory.job().pk)
        finally:
            connection.close()

    def between(archive: Any, model: Any, using: str, say: Any) -> Any:
        thread = Thread(target=take_in)
        thread.start()
        thread.join(20)
        return tables(archive, model, using, say)

    factory.person(Role.DESK)
    with mock.patch("shop.packing.making._table", between):
        copy = packed(folder, settings)
    made = {entry.name: entry.rows for entry in manifest_of(Path(copy.path)).tables}
    assert len(wrote) == len(made)
    assert made["tables/jobs_job.jsonl"] == made["tables/jobs_item.jsonl"] == made["tables/jobs_visit.jsonl"] == 0
