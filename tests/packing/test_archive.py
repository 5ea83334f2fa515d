"""An archive is plain, whole, and believed in nothing before it is checked."""

import hashlib
import io
import json
import os
import random
import stat
import subprocess
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from shop.packing import manifest as manifests
from shop.packing.faults import CannotUnpackError, DamagedError
from shop.packing.locked import CHUNK, TAG
from shop.packing.names import is_safe
from shop.packing.reading import checked, opened
from shop.packing.writing import HEX, written
from tests.packing.archives import AT, PICTURE, ROWS, renamed, small

PASSPHRASE = "nine cords on one rail"


@pytest.fixture
def plain(tmp_path: Path) -> Path:
    """A good archive, not locked."""
    small(tmp_path / "copy.zip")
    return tmp_path / "copy.zip"


@pytest.fixture
def locked(tmp_path: Path) -> Path:
    """A good archive, locked."""
    small(tmp_path / "copy.zip.locked", passphrase=PASSPHRASE)
    return tmp_path / "copy.zip.locked"


def refused(path: Path, *, passphrase: str = "") -> str:
    with pytest.raises(CannotUnpackError) as told:
        checked(path, passphrase=passphrase)
    return str(told.value)


def test_any_unzip_opens_it_without_this_program(plain: Path, tmp_path: Path) -> None:
    """Python's own command-line unzip, in another process, and its check of every CRC."""
    done = subprocess.run([sys.executable, "-m", "zipfile", "-e", str(plain), str(tmp_path / "out")], check=True)
    assert done.returncode == 0
    assert (tmp_path / "out/files/photos/2026/11/a.jpg").read_bytes() == PICTURE
    assert (tmp_path / "out/tables/jobs_word.jsonl").read_bytes() == b"".join(ROWS)
    said = json.loads((tmp_path / "out/manifest.json").read_text())
    assert said["tables"][0]["sha256"] == hashlib.sha256(b"".join(ROWS)).hexdigest()
    assert said["tables"][0]["rows"] == 200


def test_what_is_written_is_what_is_read(plain: Path, locked: Path) -> None:
    for path, word in ((plain, ""), (locked, PASSPHRASE)):
        with opened(path, passphrase=word) as archive:
            archive.check()
            assert list(archive.lines(archive.manifest.tables[0])) == ROWS
            assert [entry.size for entry in archive.files()] == [len(PICTURE)]
            assert archive.read(archive.manifest.keys[0]) == b"s3cret"


def test_only_its_owner_may_read_it(plain: Path) -> None:
    assert stat.S_IMODE(plain.stat().st_mode) == 0o600


def test_the_hash_at_its_end_is_of_the_whole_file_with_zeros_there(plain: Path) -> None:
    data = plain.read_bytes()
    assert data[-HEX:].decode() == hashlib.sha256(data[:-HEX] + b"0" * HEX).hexdigest()


def test_every_changed_byte_is_found(plain: Path) -> None:
    data = plain.read_bytes()
    chance = random.Random(7)
    places = sorted({*range(60), *range(len(data) - 900, len(data)), *chance.sample(range(len(data)), 300)})
    for place in places:
        plain.write_bytes(data[:place] + bytes([data[place] ^ 1 << chance.randrange(8)]) + data[place + 1 :])
        refused(plain)


def test_every_changed_byte_of_a_locked_one_is_found(locked: Path) -> None:
    data = locked.read_bytes()
    chance = random.Random(8)
    for place in [0, 30, 90, 150, *chance.sample(range(len(data)), 10)]:
        locked.write_bytes(data[:place] + bytes([data[place] ^ 1 << chance.randrange(8)]) + data[place + 1 :])
        refused(locked, passphrase=PASSPHRASE)


def test_damage_is_told_with_the_file_and_its_place(plain: Path) -> None:
    data = bytearray(plain.read_bytes())
    place = data.index(PICTURE[:64]) + 5000
    data[place] ^= 4
    plain.write_bytes(data)
    words = refused(plain)
    assert "files/photos/2026/11/a.jpg" in words
    start, end = (
        int(part.replace(",", "")) for part in words.rpartition("between byte ")[2].rstrip(".").split(" and ")
    )
    assert start <= place < end


@pytest.mark.parametrize("part", [0.0, 0.001, 0.2, 0.5, 0.9, 0.999])
def test_one_that_is_cut_off_is_refused(plain: Path, locked: Path, part: float) -> None:
    for path, word in ((plain, ""), (locked, PASSPHRASE)):
        data = path.read_bytes()
        path.write_bytes(data[: int(len(data) * part)])
        refused(path, passphrase=word)


def test_a_locked_one_cut_off_between_two_chunks_is_refused(locked: Path) -> None:
    data = locked.read_bytes()
    head = data.index(b"\n") + 1
    locked.write_bytes(data[: head + 2 * (CHUNK + TAG)])
    assert "damaged or cut off" in refused(locked, passphrase=PASSPHRASE)


def test_chunks_of_a_locked_one_cannot_change_places(locked: Path) -> None:
    data = locked.read_bytes()
    head, step = data.index(b"\n") + 1, CHUNK + TAG
    first, second = data[head : head + step], data[head + step : head + 2 * step]
    locked.write_bytes(data[:head] + second + first + data[head + 2 * step :])
    refused(locked, passphrase=PASSPHRASE)


def test_a_locked_one_shows_nothing_and_wants_its_passphrase(locked: Path) -> None:
    data = locked.read_bytes()
    assert b"manifest" not in data
    assert b"s3cret" not in data
    assert "SHOP_COPIES_PASSPHRASE" in refused(locked)
    assert "passphrase does not open" in refused(locked, passphrase="nine cords on two rails")


@pytest.mark.parametrize(
    "gone", ["tables/jobs_word.jsonl", "files/photos/2026/11/a.jpg", "keys/seal.pem", "files.jsonl", "manifest.json"]
)
def test_a_file_taken_out_is_missed(plain: Path, gone: str) -> None:
    rewritten(plain, {name: data for name, data in unzipped(plain).items() if name != gone})
    assert gone in refused(plain)


def test_a_file_put_in_is_found(plain: Path) -> None:
    rewritten(plain, {**unzipped(plain), "keys/another.pem": b"x"})
    assert "keys/another.pem" in refused(plain)


def test_a_file_changed_by_hand_is_found_although_the_zip_is_whole(plain: Path) -> None:
    rewritten(plain, {**unzipped(plain), "keys/secret.key": b"s3creT"})
    assert "keys/secret.key" in refused(plain)


def test_a_zip_made_again_by_another_program_is_not_the_archive_that_was_made(plain: Path) -> None:
    rewritten(plain, unzipped(plain))
    assert "not the archive that was made" in refused(plain)


BAD_NAMES = [
    "../evil", "tables/../../evil.jsonl", "/etc/evil", "keys/../home.json", "keys/home.json", "keys/shop.sqlite3",
    "keys/files/x", "keys/.hidden", "keys", "files/photos", "files/photos/../../x", "files//x", "files/photos/a\\b",
    "files/photos/a\0b", "keys/C:x", "tables/JOBS.jsonl", "tables/a/b.jsonl", "other/x", "", "keys/copies/x", "keys/running.lock",
]  # fmt: skip


@pytest.mark.parametrize("name", BAD_NAMES)
def test_a_name_that_leads_elsewhere_is_refused(tmp_path: Path, name: str) -> None:
    assert not is_safe(name)
    small(tmp_path / "evil.zip", change=renamed("tables/jobs_word.jsonl", name))
    assert "no place here" in refused(tmp_path / "evil.zip")


@pytest.mark.parametrize("name", ["../../evil.jpg", "files/../x", "keys/seal.pem", "files/photos/../../../x"])
def test_a_picture_whose_name_leads_elsewhere_is_refused(tmp_path: Path, name: str) -> None:
    said = json.dumps({"name": name, "size": 1, "sha256": ""}).encode() + b"\n"
    path = tmp_path / "evil.zip"

    def bent(made: manifests.Manifest) -> manifests.Manifest:
        digest = hashlib.sha256(said).hexdigest()
        return replace(made, files=manifests.Entry("files.jsonl", len(said), digest, 1), files_size=1)

    small(path)
    inside = unzipped(path)
    made = bent(manifests.read(inside["manifest.json"]))
    rewritten(path, {**inside, "files.jsonl": said, "manifest.json": made.written()})
    assert "no place here" in refused(path)


def test_a_zip_bomb_is_not_unpacked_beyond_what_its_manifest_says(tmp_path: Path) -> None:
    """Ten megabytes of zeros under a name that is to hold 5 kB: only the declared size counts."""
    path = tmp_path / "bomb.zip"
    small(path)
    inside = unzipped(path)
    rewritten(path, {**inside, "keys/seal.pem": bytes(10_000_000)})
    assert "keys/seal.pem" in refused(path)
    data = bytearray(path.read_bytes())  # and one whose own header lies about it
    with zipfile.ZipFile(path) as held:
        size = held.getinfo("keys/seal.pem").file_size
    data = data.replace(size.to_bytes(4, "little"), (120).to_bytes(4, "little"))
    path.write_bytes(data)
    assert "keys/seal.pem" in refused(path)


def test_a_manifest_that_never_ends_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(manifests, "LONGEST", 500)
    small(tmp_path / "long.zip")
    assert "too long" in refused(tmp_path / "long.zip")


def test_one_of_a_newer_program_is_refused_with_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(manifests, "FORMAT", 2)
    small(tmp_path / "newer.zip")
    monkeypatch.setattr(manifests, "FORMAT", 1)
    assert "newer program" in refused(tmp_path / "newer.zip")
    assert "Update this program first" in refused(tmp_path / "newer.zip")


@pytest.mark.parametrize(
    "said", [b"", b"[]", b"{}", b"\xff\xfe", b'{"format":1}', b'{"format":1,"made_at":5}', b"[" * 100_000]
)
def test_a_manifest_that_says_nothing_is_refused(plain: Path, said: bytes) -> None:
    rewritten(plain, {**unzipped(plain), "manifest.json": said})
    refused(plain)


@pytest.mark.parametrize(
    "data", [b"", b"x", b"PK\x03\x04", os.urandom(4000), b"WORKSHOP-COPY-LOCKED 1 ", b"WORKSHOP-COPY-LOCKED 1 {}\nxx"]
)
def test_what_is_no_archive_is_refused(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "no.zip").write_bytes(data)
    refused(tmp_path / "no.zip", passphrase="x")


def test_what_is_not_there_or_a_folder_is_told(tmp_path: Path) -> None:
    assert "is a folder" in refused(tmp_path)
    assert "cannot be opened" in refused(tmp_path / "none.zip")


def test_one_left_half_done_leaves_nothing(tmp_path: Path) -> None:
    with (
        pytest.raises(OSError, match="full"),
        written(tmp_path / "half.zip", passphrase="", at=AT, tick=bool) as archive,
    ):
        archive.stream("tables/a.jsonl", [b"x"])
        raise OSError("full")
    assert list(tmp_path.iterdir()) == []


def test_more_names_than_an_old_zip_can_hold_are_no_limit(tmp_path: Path) -> None:
    """Beyond 65,535 files the ZIP64 extension carries on (APPNOTE 4.3.14)."""
    path = tmp_path / "many.zip"
    with written(path, passphrase="", at=AT, tick=bool) as archive:
        for number in range(66_000):
            archive.stream(f"keys/{number}", [b""], deflate=False)
    with zipfile.ZipFile(path) as held:
        assert len(held.namelist()) == 66_000


def unzipped(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as held:
        return {name: held.read(name) for name in held.namelist()}


def rewritten(path: Path, inside: dict[str, bytes]) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in inside.items():
            made.writestr(name, data)
    path.write_bytes(out.getvalue())


def test_the_refusals_are_of_one_family() -> None:
    assert issubclass(DamagedError, CannotUnpackError)
