"""An archive locked with a passphrase: AES-256-GCM in chunks under a key made by scrypt. Pure.

    line 1   {"chunk":…,"kdf":"scrypt","n":…,"p":…,"prefix":…,"r":…,"salt":…} after “WORKSHOP-COPY-LOCKED 1 ”, and a line feed
    then     chunks of 64 KiB, each with its 16-byte tag; the last may be shorter

Nonce of chunk i: 7 bytes of prefix, i in 4 bytes, 1 for the last chunk else 0 (the STREAM construction of Hoang, Reyhanitabar,
Rogaway and Vizár 2015), so that chunks can be neither exchanged, left out nor cut off. Line 1 is authenticated with each.
scrypt (RFC 7914) with n = 2^15, r = 8, p = 3: 32 MiB and about a tenth of a second for each guess.
"""

import base64
import io
import json
import os
from typing import Any, BinaryIO, Protocol

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from shop.packing.faults import CannotUnpackError, DamagedError

MAGIC = b"WORKSHOP-COPY-LOCKED 1 "
CHUNK = 64 * 1024
TAG = 16
N, R, P = 2**15, 8, 3
_LONGEST_HEAD = 1000
_MOST_CHUNKS = 2**32


class Sink(Protocol):
    """Where bytes go, in order."""

    def write(self, data: bytes, /) -> object: ...


def _key(passphrase: str, salt: bytes) -> bytes:
    return Scrypt(salt=salt, length=32, n=N, r=R, p=P).derive(passphrase.encode())


def _nonce(prefix: bytes, number: int, *, last: bool) -> bytes:
    return prefix + number.to_bytes(4, "big") + bytes([last])


class LockedWriter:
    """Locks what is written to it. `finish` writes the last chunk."""

    def __init__(self, out: Sink, passphrase: str) -> None:
        salt, self._prefix = os.urandom(16), os.urandom(7)
        said = {"kdf": "scrypt", "n": N, "r": R, "p": P, "chunk": CHUNK}
        given = {"salt": base64.b64encode(salt).decode(), "prefix": base64.b64encode(self._prefix).decode()}
        self._head = MAGIC + json.dumps({**said, **given}, sort_keys=True, separators=(",", ":")).encode() + b"\n"
        self._cipher, self._out = AESGCM(_key(passphrase, salt)), out
        self._waiting, self._number = bytearray(), 0
        out.write(self._head)

    def write(self, data: bytes, /) -> int:
        self._waiting += data
        while len(self._waiting) > CHUNK:  # one is kept back: it may be the last
            self._lock(bytes(self._waiting[:CHUNK]), last=False)
            del self._waiting[:CHUNK]
        return len(data)

    def finish(self) -> None:
        self._lock(bytes(self._waiting), last=True)

    def _lock(self, chunk: bytes, *, last: bool) -> None:
        if self._number >= _MOST_CHUNKS:
            raise OverflowError("A locked copy holds at most 256 TiB.")
        self._out.write(self._cipher.encrypt(_nonce(self._prefix, self._number, last=last), chunk, self._head))
        self._number += 1


def is_locked(source: BinaryIO) -> bool:
    """Whether a file begins as a locked archive does."""
    source.seek(0)
    return source.read(len(MAGIC)) == MAGIC


class LockedReader(io.RawIOBase):
    """The plain bytes of a locked archive, at any place. Raises DamagedError where they are not what was locked."""

    def __init__(self, source: BinaryIO, passphrase: str) -> None:
        source.seek(0)
        self._head, self._source = source.readline(_LONGEST_HEAD), source
        salt, self._prefix = _read_head(self._head)
        self._cipher = AESGCM(_key(passphrase, salt))
        size = source.seek(0, io.SEEK_END) - len(self._head)
        self._chunks, rest = divmod(size, CHUNK + TAG)
        if rest:
            self._chunks += 1
        if self._chunks == 0 or 0 < rest < TAG:
            raise DamagedError("The archive is cut off.")
        self._size = size - self._chunks * TAG
        self._at, self._held, self._plain = 0, -1, b""
        try:
            self._open(0)
        except DamagedError:
            raise CannotUnpackError(
                "The passphrase does not open this archive, or its first part is damaged.\n"
                "Look at the passphrase: capitals, blanks, the one of that day."
            ) from None

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def tell(self) -> int:
        return self._at

    def seek(self, offset: int, whence: int = io.SEEK_SET, /) -> int:
        base = {io.SEEK_SET: 0, io.SEEK_CUR: self._at, io.SEEK_END: self._size}[whence]
        self._at = max(0, base + offset)
        return self._at

    def readinto(self, buffer: Any, /) -> int:
        """Up to the end of the chunk at hand."""
        if self._at >= self._size:
            return 0
        number, within = divmod(self._at, CHUNK)
        self._open(number)
        part = self._plain[within : within + len(buffer)]
        buffer[: len(part)] = part
        self._at += len(part)
        return len(part)

    def _open(self, number: int) -> None:
        if number == self._held:
            return
        place = len(self._head) + number * (CHUNK + TAG)
        self._source.seek(place)
        chunk = self._source.read(CHUNK + TAG)
        nonce = _nonce(self._prefix, number, last=number == self._chunks - 1)
        try:
            self._plain = self._cipher.decrypt(nonce, chunk, self._head)
        except InvalidTag:
            raise DamagedError(
                f"The archive is damaged or cut off: byte {place:,} to {place + len(chunk):,}."
            ) from None
        self._held = number


def _read_head(head: bytes) -> tuple[bytes, bytes]:
    try:
        said = json.loads(head.removeprefix(MAGIC))
        salt, prefix = (base64.b64decode(said[name], validate=True) for name in ("salt", "prefix"))
        known = (said["kdf"], said["n"], said["r"], said["p"], said["chunk"]) == ("scrypt", N, R, P, CHUNK)
    except (ValueError, KeyError, TypeError):
        raise DamagedError("The archive is damaged: its first line cannot be read.") from None
    if not known or len(salt) != 16 or len(prefix) != 7:
        raise DamagedError("The archive is damaged, or locked by a newer program: its first line is not known here.")
    return salt, prefix
