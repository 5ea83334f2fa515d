"""Whether a picture file holds its own end, found without decoding it. Pure.

A photo that a phone sent only half of usually has a sound header. Each format says where it ends: JPEG by an end marker
outside its segments (ITU-T T.81, annex B), PNG by an IEND chunk after chunks with lengths and check sums (RFC 2083),
WebP by the length in its head (RFC 9649), HEIC by the lengths of its boxes (ISO/IEC 14496-12). Bytes after a sound end are
let be: telephones append short films there.
"""

import re
from mmap import mmap
from zlib import crc32

Data = bytes | mmap

# inside a scan 0xFF00 is a stuffed byte and 0xFFD0 to 0xFFD7 restart it; any other marker ends it
_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_END, _SCAN, _ALONE = 0xD9, 0xDA, 0x01
# the boxes a HEIC picture needs: its kind, where its parts are, and the parts
_PICTURE = {b"ftyp", b"meta", b"mdat"}


def is_whole(data: Data, kind: str) -> bool:
    """Whether `data`, a file that begins as `kind` (JPEG, PNG, WEBP or HEIF), holds its own end."""
    return {"JPEG": _jpeg, "PNG": _png, "WEBP": _webp, "HEIF": _heif}[kind](data)


def _jpeg(data: Data) -> bool:
    at, scanned = 2, False
    while found := _MARKER.search(data, at):
        at = found.start()
        marker = data[at + 1]
        if marker == _END:
            return scanned
        if marker == _ALONE:
            at += 2
            continue
        length = _number(data, at + 2, 2)
        at += 2 + length
        if length < 2 or at > len(data):
            return False
        scanned = scanned or marker == _SCAN
    return False


def _png(data: Data) -> bool:
    at = 8
    while at + 12 <= len(data):
        end = at + 12 + _number(data, at, 4)
        if end > len(data) or crc32(data[at + 4 : end - 4]) != _number(data, end - 4, 4):
            return False
        if data[at + 4 : at + 8] == b"IEND":
            return True
        at = end
    return False


def _webp(data: Data) -> bool:
    return len(data) >= 8 + int.from_bytes(data[4:8], "little")


def _heif(data: Data) -> bool:
    at, seen = 0, set[bytes]()
    while at < len(data):
        name = data[at + 4 : at + 8]
        length, head = _number(data, at, 4), 8
        if length == 1:
            length, head = _number(data, at + 8, 8), 16
        elif length == 0:  # the last box, up to the end of the file
            length = len(data) - at
        if length < head or at + length > len(data):
            # what is appended after the picture need be neither a box nor whole
            return name not in _PICTURE and seen == _PICTURE
        seen |= {name} & _PICTURE
        at += length
    return seen == _PICTURE


def _number(data: Data, at: int, size: int) -> int:
    return int.from_bytes(data[at : at + size], "big")
