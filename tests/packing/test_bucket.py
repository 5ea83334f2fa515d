"""Photos and papers in an S3-compatible store are packed and put back as those in a folder are."""

from pathlib import Path
from unittest import mock

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, Storage
from storages.backends.s3 import S3Storage

from shop.packing.faults import CannotUnpackError
from shop.packing.making import _files
from shop.packing.reading import opened
from shop.packing.stores import is_empty
from shop.packing.unpacking import _put
from shop.packing.writing import written
from tests.packing.archives import AT, PICTURE, small
from tests.packing.bucket import bucket

NAMES = ["2026/11/a.jpg", "2026/11/b.jpg", "2026/12/ö.jpg"]


def s3(address: str) -> S3Storage:
    """As the settings make it."""
    return S3Storage(
        bucket_name="shop",
        location="photos",
        endpoint_url=address,
        access_key="a-key",
        secret_key="a-secret",
        region_name="eu-1",
        default_acl="private",
    )


def test_files_of_a_bucket_are_packed_and_a_missing_one_is_named(tmp_path: Path) -> None:
    with bucket() as (address, held):
        store = s3(address)
        assert is_empty(store)
        for name in NAMES[:2]:
            store.save(name, ContentFile(PICTURE))
        assert sorted(held) == ["photos/2026/11/a.jpg", "photos/2026/11/b.jpg"]
        assert not is_empty(store)
        missing: list[str] = []
        with (
            mock.patch("shop.packing.making.stores", return_value={"photos": store}),
            written(tmp_path / "copy.zip", passphrase="", at=AT, tick=bool) as archive,
        ):
            entries = list(_files(archive, [("photos", name) for name in NAMES], missing, lambda _words: None))
    assert [entry.size for entry in entries] == [len(PICTURE)] * 2
    assert missing == [f"files/photos/{NAMES[2]}"]


@pytest.mark.parametrize("kind", ["bucket", "folder"])
def test_files_are_put_back_into_either_and_read_back(tmp_path: Path, kind: str) -> None:
    small(tmp_path / "copy.zip")
    with bucket() as (address, held), opened(tmp_path / "copy.zip", passphrase="") as archive:
        store: Storage = s3(address) if kind == "bucket" else FileSystemStorage(tmp_path / "photos")
        with mock.patch("shop.packing.unpacking.stores", return_value={"photos": store}):
            for entry in archive.files():
                assert _put(archive, entry)
        with store.open("2026/11/a.jpg", "rb") as kept:
            assert kept.read() == PICTURE
        assert bool(held) is (kind == "bucket")


def test_a_store_that_gives_back_other_bytes_is_found(tmp_path: Path) -> None:
    small(tmp_path / "copy.zip")

    class Forgetful(FileSystemStorage):
        def save(self, name: str | None, content: object, max_length: int | None = None) -> str:
            return super().save(name, ContentFile(b"something else"))

    with opened(tmp_path / "copy.zip", passphrase="") as archive:
        stores = {"photos": Forgetful(tmp_path / "photos")}
        with mock.patch("shop.packing.unpacking.stores", return_value=stores):
            entry = next(archive.files())
            with pytest.raises(CannotUnpackError, match="not equal"):
                _put(archive, entry)


def test_a_picture_for_a_store_this_shop_does_not_have_is_refused(tmp_path: Path) -> None:
    small(tmp_path / "copy.zip")
    with (
        opened(tmp_path / "copy.zip", passphrase="") as archive,
        mock.patch("shop.packing.unpacking.stores", return_value={}),
        pytest.raises(CannotUnpackError, match="a store “photos”"),
    ):
        _put(archive, next(archive.files()))
