"""Which part of a sealed PDF a byte belongs to, in words a person at the desk understands. Pure.

Reads the plain object layout typst and the seal write (no compressed object tables). It never has to be right for a
paper to be refused: it only names what was touched.
"""

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

_OBJECT = re.compile(rb"(?:^|[\r\n ])(\d{1,7}) 0 obj\b")
_LENGTH = re.compile(rb"/Length\s+(\d{1,9})\b")
_STREAM = re.compile(rb"stream\r?\n")
_PAGE = re.compile(rb"/Type\s*/Page\b(?!s)")
_CONTENTS = re.compile(rb"/Contents\s+(\d+) 0 R")
_HEAD_BYTES = 4000

_NAMES: tuple[tuple[re.Pattern[bytes], str], ...] = (
    (re.compile(rb"/EmbeddedFile\b"), "the text carried inside"),
    (re.compile(rb"/Type\s*/Filespec\b"), "the text carried inside"),
    (re.compile(rb"/ByteRange\b"), "the seal"),
    (re.compile(rb"/FT\s*/Sig\b"), "the seal"),
    (re.compile(rb"/Subtype\s*/Image\b"), "a picture"),
    (re.compile(rb"/Type\s*/Metadata\b"), "the description of the file"),
    (
        re.compile(rb"/Type\s*/(Font|FontDescriptor|CMap)\b|/FontFile|/Subtype\s*/(CIDFontType0C|OpenType)\b"),
        "the lettering",
    ),
    (_PAGE, "a page"),
    (re.compile(rb"/Type\s*/Catalog\b"), "the list of what is in the file"),
    (re.compile(rb"/StructElem\b|/StructTreeRoot\b"), "the order of reading"),
)
ELSEWHERE = "the file around the pages"


@dataclass(frozen=True, slots=True)
class Piece:
    """One object of the file: its number, where it lies, its dictionary and, if it has one, its stream."""

    number: int
    start: int
    end: int
    head: bytes
    stream: bytes | None

    def inflated(self) -> bytes | None:
        """The stream as it reads, or None when it is damaged."""
        if self.stream is None or b"/FlateDecode" not in self.head:
            return self.stream
        try:
            return zlib.decompress(self.stream)
        except zlib.error:
            return None


def pieces(pdf: bytes) -> Iterator[Piece]:
    """Every object in the order of the file. Damaged ones come out as far as they can be read."""
    at = 0
    while found := _OBJECT.search(pdf, at):
        body = found.end()
        opened = _STREAM.search(pdf, body, body + _HEAD_BYTES)
        closed = pdf.find(b"endobj", body)
        closed = len(pdf) if closed < 0 else closed
        head, stream, end = pdf[body:closed], None, closed
        if opened and opened.start() < closed:
            head = pdf[body : opened.start()]
            length = _LENGTH.search(head)
            size = int(length[1]) if length else 0
            stream = pdf[opened.end() : opened.end() + size]
            closed = pdf.find(b"endobj", opened.end() + size)
            end = len(pdf) if closed < 0 else closed
        yield Piece(int(found[1]), found.start(), end, head, stream)
        at = max(end, body)


def _name(piece: Piece, pages: dict[int, int]) -> str:
    if piece.number in pages:
        return f"what is printed on page {pages[piece.number]}"
    for pattern, words in _NAMES:
        if pattern.search(piece.head):
            return words
    return ELSEWHERE


def _printed(found: list[Piece]) -> dict[int, int]:
    """The number of each page's contents object, to its page counted from 1."""
    contents: dict[int, int] = {}
    for piece in found:
        if _PAGE.search(piece.head) and (drawn := _CONTENTS.search(piece.head)):
            contents.setdefault(int(drawn[1]), len(contents) + 1)
    return contents


def page_count(pdf: bytes) -> int:
    """How many pages are printed."""
    return len(_printed(list(pieces(pdf))))


def where(pdf: bytes, offset: int) -> str:
    """What lies at a byte of an untouched PDF."""
    found = list(pieces(pdf))
    pages = _printed(found)
    for piece in found:
        if piece.start <= offset < piece.end:
            return _name(piece, pages)
    return ELSEWHERE


def damaged(pdf: bytes) -> list[str]:
    """The parts whose own inner sums do not fit, each named once."""
    found = list(pieces(pdf))
    pages = _printed(found)
    names = [_name(piece, pages) for piece in found if piece.inflated() is None and piece.stream is not None]
    return list(dict.fromkeys(names))


def carried_text(pdf: bytes) -> bytes | None:
    """The canonical JSON carried inside, or None when there is none or it is damaged."""
    for piece in pieces(pdf):
        if piece.stream is not None and re.search(rb"/EmbeddedFile\b", piece.head):
            return piece.inflated()
    return None


def written_sha256(pdf: bytes) -> str:
    """The hash of the text as the file itself states it, or ""."""
    found = re.search(rb"text-sha256:([0-9a-f]{64})", pdf)
    return found[1].decode() if found else ""
