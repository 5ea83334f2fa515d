"""Memory stays the same however much is packed, and so it does when it is read back."""

import tracemalloc
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from shop.packing.canonical import line
from shop.packing.reading import opened
from shop.packing.writing import written
from tests.packing.archives import AT, small

MEGABYTE = 1_000_000
BOUND = 24 * MEGABYTE  # a few pieces of a megabyte each, scrypt's 32 MiB are given back before


class Photo:
    """A picture of some length that nobody holds whole."""

    def __init__(self, size: int) -> None:
        self.left = size

    def read(self, size: int = -1, /) -> bytes:
        got = min(self.left, size)
        self.left -= got
        return bytes(got)


def peak(do: Callable[[], object]) -> int:
    tracemalloc.start()
    try:
        do()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def rows(count: int) -> Iterator[bytes]:
    return (line({"id": n, "words": "a row of a usual length, with some words in it"}) for n in range(count))


@pytest.mark.parametrize("passphrase", ["", "nine cords on one rail"])
def test_a_large_shop_is_packed_and_read_back_in_little_memory(tmp_path: Path, passphrase: str) -> None:
    """70 MB of pictures in one file and in many, and 20,000 rows."""
    path = tmp_path / "large.zip"

    def pack() -> None:
        with written(path, passphrase=passphrase, at=AT, tick=bool) as archive:
            archive.stream("tables/jobs_word.jsonl", rows(20_000), rows=True)
            archive.add("files/photos/one.jpg", Photo(40 * MEGABYTE))
            for number in range(10):
                archive.add(f"files/photos/{number}.jpg", Photo(3 * MEGABYTE))

    assert peak(pack) < BOUND
    assert path.stat().st_size > 70 * MEGABYTE


def test_checking_a_large_archive_takes_little_memory(tmp_path: Path) -> None:
    path = tmp_path / "large.zip"
    made = small(path, picture=bytes(60 * MEGABYTE))

    def look() -> None:
        with opened(path, passphrase="") as archive:
            archive.check()

    assert made.files_size == 60 * MEGABYTE
    assert peak(look) < BOUND
