"""Reads an archive and believes nothing of it before it is checked: its hash, every size, every name. Pure."""

import hashlib
import io
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, BinaryIO, cast

from shop.packing import manifest as manifests
from shop.packing import names
from shop.packing.faults import CannotUnpackError, DamagedError
from shop.packing.locked import LockedReader, is_locked
from shop.packing.manifest import Entry, Manifest
from shop.packing.writing import HEX, MARK, PIECE

LONGEST_LINE = 256 * 1024 * 1024  # bytes of one row
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, UnicodeDecodeError)


class Opened:
    """A checked archive: `manifest`, and what is inside by name."""

    def __init__(self, source: BinaryIO) -> None:
        self._source = source
        try:
            self._zip = zipfile.ZipFile(source)
        except (*_BROKEN, ValueError, OSError):
            raise DamagedError("The archive is damaged or cut off: its index cannot be read.") from None
        self._inside = {info.filename: info for info in self._zip.infolist()}
        if len(self._inside) != len(self._zip.infolist()):
            raise DamagedError("The archive is not one of this program: it holds one name twice.")
        self.manifest = manifests.read(self._manifest())

    def _manifest(self) -> bytes:
        info = self._inside.get(names.MANIFEST)
        if info is None:
            raise DamagedError("This is no safe copy of a shop, or it is damaged: it has no manifest.json.")
        if info.file_size > manifests.LONGEST:
            raise DamagedError("The archive is damaged: manifest.json is too long to be one.")
        return b"".join(self._pieces(Entry(names.MANIFEST, info.file_size, "")))

    def check(self, tick: Callable[[], object] = bool) -> None:
        """Hash everything; `tick` is called for every piece. Raises DamagedError with the file's name and its place in the archive."""
        wanted = {names.MANIFEST}
        for entry in self.entries():
            wanted.add(entry.name)
            for _ in self._pieces(entry):
                tick()
        more = sorted(self._inside.keys() - wanted)
        if more:
            raise DamagedError(f"The archive holds {_short(more[0])}, which its manifest does not name.")
        self._check_whole(tick)

    def entries(self) -> Iterator[Entry]:
        """Everything but the manifest, as the manifest says it should be."""
        yield from self.manifest.tables
        yield from self.manifest.keys
        yield self.manifest.files
        yield from self.files()

    def files(self) -> Iterator[Entry]:
        """Every photo and paper, from the list of files."""
        size = count = 0
        seen: set[str] = set()
        for line in self.lines(self.manifest.files):
            entry = manifests.file_entry(line)
            size, count = size + entry.size, count + 1
            if entry.name in seen:
                raise DamagedError(f"The archive is damaged: {_short(entry.name)} is named twice.")
            seen.add(entry.name)
            yield entry
        if (size, count) != (self.manifest.files_size, self.manifest.files.rows):
            raise DamagedError("The archive is damaged: its list of files is not the one its manifest speaks of.")

    def lines(self, entry: Entry) -> Iterator[bytes]:
        """The lines of a file of the archive."""
        with self.open(entry) as source:
            left = entry.size
            while left > 0:
                try:
                    line = source.readline(LONGEST_LINE)
                except _BROKEN:
                    raise self._damaged(entry) from None
                left -= len(line)
                if not line.endswith(b"\n") or left < 0:
                    raise self._damaged(entry)
                yield line

    @contextmanager
    def open(self, entry: Entry) -> Iterator[IO[bytes]]:
        """One file of the archive, to read."""
        info = self._inside.get(entry.name)
        if info is None:
            raise DamagedError(f"The archive is damaged: {_short(entry.name)} is missing from it.")
        if info.file_size != entry.size or info.flag_bits & 1:
            raise self._damaged(entry)
        try:
            source = self._zip.open(info)
        except (*_BROKEN, ValueError):
            raise self._damaged(entry) from None
        with source:
            yield source

    def _pieces(self, entry: Entry) -> Iterator[bytes]:
        """The pieces of a file; DamagedError unless together they are of its size and hash."""
        sha, left = hashlib.sha256(), entry.size
        with self.open(entry) as source:
            while True:
                try:
                    piece = source.read(min(PIECE, left + 1))
                except _BROKEN:
                    raise self._damaged(entry) from None
                if not piece:
                    break
                left -= len(piece)
                if left < 0:  # more than was said: never unpacked further
                    raise self._damaged(entry)
                sha.update(piece)
                yield piece
        if left or (entry.sha256 and sha.hexdigest() != entry.sha256):
            raise self._damaged(entry)

    def read(self, entry: Entry) -> bytes:
        """A small file whole (keys)."""
        return b"".join(self._pieces(entry))

    def _damaged(self, entry: Entry) -> DamagedError:
        start = self._inside[entry.name].header_offset
        later = [info.header_offset for info in self._inside.values() if info.header_offset > start]
        end = min(later, default=self._zip.start_dir)
        return DamagedError(f"The archive is damaged: {_short(entry.name)}, between byte {start:,} and {end:,}.")

    def _check_whole(self, tick: Callable[[], object]) -> None:
        size = self._source.seek(0, io.SEEK_END)
        self._source.seek(0)
        sha, left = hashlib.sha256(), size - HEX
        while left > 0:
            piece = self._source.read(min(PIECE, left))
            if not piece:
                raise DamagedError("The archive is cut off.")
            sha.update(piece)
            left -= len(piece)
            tick()
        sha.update(b"0" * HEX)
        if self._zip.comment != MARK + sha.hexdigest().encode():
            raise DamagedError(
                "The archive is damaged between its files: all of them are whole, but it is not the archive that was made."
            )


def _short(name: str) -> str:
    return name if len(name) <= 90 else f"{name[:90]}…"


@contextmanager
def opened(path: Path, *, passphrase: str) -> Iterator[Opened]:
    """Open an archive. Raises CannotUnpackError where it is none, is locked and there is no passphrase, or is damaged."""
    try:
        file = path.open("rb")
    except IsADirectoryError:
        raise CannotUnpackError(f"{path} is a folder.\nName the archive in it.") from None
    except OSError as fault:
        raise CannotUnpackError(
            f"{path} cannot be opened: {fault.strerror}.\nLook at its name and its place."
        ) from None
    with file:
        source: BinaryIO = file
        if is_locked(file):
            if not passphrase:
                raise CannotUnpackError(
                    "This archive is locked with a passphrase.\nSet it as SHOP_COPIES_PASSPHRASE, then unpack again."
                )
            source = cast(BinaryIO, io.BufferedReader(LockedReader(file, passphrase), PIECE))
        try:
            yield Opened(source)
        except OSError as fault:
            raise CannotUnpackError(f"{path} cannot be read: {fault.strerror or fault}.") from fault


def checked(path: Path, *, passphrase: str, tick: Callable[[], object] = bool) -> Manifest:
    """Read an archive back from end to end; its manifest. Raises CannotUnpackError."""
    with opened(path, passphrase=passphrase) as archive:
        archive.check(tick)
        return archive.manifest
