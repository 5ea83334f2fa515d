"""Writes an archive: one ZIP, written straight through, with a hash over all of it at its end. Pure.

ZIP because every computer opens it without this program, and because its index lets one file be read without the others;
with the ZIP64 extension neither files nor their number have a limit that matters. Rows are deflated, pictures and papers
are stored as they are. The ZIP's comment is "sha256 " and 64 hex digits: the hash of the whole file with zeros in their
place, so that one changed byte anywhere is found, also between the files. Locked archives: see locked.py.
"""

import hashlib
import io
import os
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO, BinaryIO, Protocol, cast

from shop.packing.locked import LockedWriter, Sink
from shop.packing.manifest import Entry

MARK = b"sha256 "
HEX = 64
PIECE = 1024 * 1024


class Readable(Protocol):
    """Anything bytes can be read from in pieces."""

    def read(self, size: int = ..., /) -> bytes: ...


class _Through:
    """A file that only goes forward, as zipfile wants it: hashes all, and keeps the last 64 bytes back until the end."""

    def __init__(self, out: Sink) -> None:
        self._out, self._tail, self._sha = out, b"", hashlib.sha256()
        self.given_up = False

    def write(self, data: bytes, /) -> int:
        if self.given_up:
            return len(data)
        whole = self._tail + bytes(data)
        self._tail = whole[-HEX:]
        self._put(whole[:-HEX])
        return len(data)

    def _put(self, data: bytes) -> None:
        self._sha.update(data)
        self._out.write(data)

    def flush(self) -> None:
        """Nothing is held back but the end."""

    def finish(self) -> None:
        """Put the hash in its place."""
        self._sha.update(self._tail)
        self._out.write(self._sha.hexdigest().encode())


class Archive:
    """An archive being written. `add` and `stream` return what the manifest says of a file."""

    def __init__(self, out: Sink, *, at: datetime, tick: Callable[[], object]) -> None:
        self._through, self._at, self._tick = _Through(out), at.timetuple()[:6], tick
        self._zip = zipfile.ZipFile(cast(IO[bytes], self._through), "w", allowZip64=True)
        self._zip.comment = MARK + b"0" * HEX

    def add(self, name: str, source: Readable) -> Entry:
        """Copy a file in, in pieces of a megabyte, as it is."""
        return self.stream(name, iter(lambda: source.read(PIECE), b""), deflate=False)

    def stream(self, name: str, pieces: Iterable[bytes], *, deflate: bool = True, rows: bool = False) -> Entry:
        """Write pieces as one file; with `rows`, count them."""
        info = zipfile.ZipInfo(name, self._at)
        info.compress_type = zipfile.ZIP_DEFLATED if deflate else zipfile.ZIP_STORED
        info.external_attr = 0o600 << 16
        sha, size, count = hashlib.sha256(), 0, 0
        with self._zip.open(info, "w", force_zip64=True) as out:
            for piece in pieces:
                out.write(piece)
                sha.update(piece)
                size += len(piece)
                count += 1
                self._tick()
        return Entry(name, size, sha.hexdigest(), count if rows else 0)

    def give_up(self) -> None:
        """Leave it as it is: nothing more is written."""
        self._through.given_up = True
        self._zip.close()

    def finish(self) -> None:
        """Write the index and the hash over all."""
        self._zip.close()
        self._through.finish()


@contextmanager
def written(path: Path, *, passphrase: str, at: datetime, tick: Callable[[], object]) -> Iterator[Archive]:
    """Write an archive to a new file that only its owner can read, and see it down to the disk.

    Left half done, the file is removed. Raises OSError.
    """
    number = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(number, "wb", buffering=PIECE) as out:
            yield from _filled(out, passphrase, at, tick)
            out.flush()
            os.fsync(out.fileno())
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def _filled(
    out: BinaryIO | io.BufferedWriter, passphrase: str, at: datetime, tick: Callable[[], object]
) -> Iterator[Archive]:
    locked = LockedWriter(out, passphrase) if passphrase else None
    archive = Archive(locked or out, at=at, tick=tick)
    try:
        yield archive
    except BaseException:
        archive.give_up()
        raise
    archive.finish()
    if locked:
        locked.finish()


def settle(folder: Path) -> None:
    """See a folder's names down to the disk."""
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
