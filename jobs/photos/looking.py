"""Looks at an uploaded file before anything is kept: is it a photo, whole, and of a size we can take. Pure.

Only the header is read and the end is looked for; the pictures themselves are decoded later, by the worker.
"""

import struct
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from io import BytesIO
from typing import IO, cast
from zoneinfo import ZoneInfo

from PIL import ExifTags, Image
from pillow_heif import register_heif_opener

from jobs.book.refusals import Refused
from jobs.photos.ends import Data, is_whole

register_heif_opener(thumbnails=False)

# what Pillow and its plug-ins raise on bytes that are not what they seem
BROKEN = (
    OSError,
    SyntaxError,
    ValueError,
    struct.error,
    EOFError,
    LookupError,
    TypeError,
    ArithmeticError,
    RuntimeError,
)
# brands of still pictures coded as HEVC (ISO/IEC 23008-12)
_HEIF = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
_OTHERS = (
    (b"%PDF", "a PDF"),
    (b"PK\x03\x04", "a packed folder"),
    (b"GIF8", "a GIF picture"),
    (b"BM", "a bitmap picture"),
    (b"II*\x00", "a TIFF or raw picture"),
    (b"MM\x00*", "a TIFF or raw picture"),
    (b"<svg", "a drawing (SVG)"),
    (b"<!doctype html", "a web page"),
    (b"<html", "a web page"),
    (b"<?xml", "a text in XML"),
)
ENDINGS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}
CONTENT_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "HEIF": "image/heic"}


@dataclass(frozen=True, slots=True)
class Seen:
    """What a photo file says of itself. Width and height in pixels, as seen upright."""

    format: str
    width: int
    height: int
    taken_at: datetime | None


def called(name: str | None) -> str:
    """How a file is called in a sentence: “front.jpg”, or “This photo” when it has no name."""
    plain = "".join(character for character in (name or "") if character.isprintable()).strip()
    if len(plain) > 48:
        plain = f"{plain[:32]}…{plain[-12:]}"
    return f"“{plain}”" if plain and plain != "blob" else "This photo"


def check_size(size: int, name: str | None, *, max_bytes: int) -> None:
    """Refuse an empty or too large file by its size alone."""
    if size == 0:
        raise Refused(f"{called(name)} is empty: 0 bytes came. Send it again, or take it again.")
    if size > max_bytes:
        raise Refused(
            f"{called(name)} has {_mb(size)} MB; a photo may have {_mb(max_bytes)} MB at most. "
            "Set the camera to a smaller picture and take it again."
        )


def look(data: Data, name: str | None, *, max_pixels: int, zone: ZoneInfo) -> Seen:
    """Return what the file says of itself, or raise Refused with a sentence that names the file and what to do.

    `zone` is used for a time of taking that comes without one. Reads the header, walks to the end, decodes nothing.
    """
    kind = _kind(data)
    if kind is None:
        what = _other(data)
        raise Refused(f"{called(name)} is {what}. Send a photo: JPEG, PNG, HEIC or WebP.")
    if not is_whole(data, kind):
        raise Refused(f"{called(name)} came only in part or damaged. Send it again, or take it again.")
    try:
        with Image.open(_reader(data), formats=[kind]) as picture:
            width, height = picture.size
            turned, taken_at = orientation(picture), _taken_at(picture, zone)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as fault:
        raise _too_many_pixels(name, max_pixels) from fault
    except BROKEN as fault:
        raise Refused(f"{called(name)} cannot be read as a photo: it is damaged. Take it again.") from fault
    if width * height > max_pixels:
        raise _too_many_pixels(name, max_pixels)
    if turned in {5, 6, 7, 8}:
        width, height = height, width
    return Seen(kind, width, height, taken_at)


def _reader(data: Data) -> IO[bytes]:
    if isinstance(data, bytes):
        return BytesIO(data)
    data.seek(0)
    return cast("IO[bytes]", data)  # a mapped file reads and seeks like an open one, without a copy


def _kind(data: Data) -> str | None:
    head = data[:12]
    if head.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if head.startswith(b"RIFF") and head.endswith(b"WEBP"):
        return "WEBP"
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF:
        return "HEIF"
    return None


def _other(data: Data) -> str:
    head = data[:512]
    if head[4:8] == b"ftyp":
        return "a film, or a picture of a kind we cannot read"
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if text.startswith(b"<?xml") and b"<svg" in text:
        return "a drawing (SVG)"
    for start, words in _OTHERS:
        if head.startswith(start) or text.startswith(start.lower()):
            return words
    return "not a photo"


def _too_many_pixels(name: str | None, max_pixels: int) -> Refused:
    return Refused(
        f"{called(name)} is larger than {max_pixels // 1_000_000} million dots, more than can be worked with. "
        "Set the camera to a smaller picture and take it again."
    )


def orientation(picture: Image.Image) -> int:
    """EXIF orientation 1 to 8 of an opened picture; 1 where there is none (HEIC is turned upright by its own boxes)."""
    try:
        turned = picture.getexif().get(ExifTags.Base.Orientation, 1)
    except BROKEN:
        return 1
    return turned if isinstance(turned, int) and 1 <= turned <= 8 else 1


def _taken_at(picture: Image.Image, zone: ZoneInfo) -> datetime | None:
    try:
        inner = picture.getexif().get_ifd(ExifTags.IFD.Exif)
    except BROKEN:
        return None
    return _moment(inner.get(ExifTags.Base.DateTimeOriginal), inner.get(ExifTags.Base.OffsetTimeOriginal), zone)


def _moment(taken: object, offset: object, zone: ZoneInfo) -> datetime | None:
    """The aware moment of an EXIF time (“2026:11:06 10:42:11”, zone “+01:00” or none), or None."""
    try:
        local = datetime.strptime(str(taken).strip("\x00 "), "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007 - the zone follows
    except ValueError:
        return None
    return local.replace(tzinfo=_offset(offset) or zone)


def _offset(text: object) -> timezone | None:
    try:
        sign, hours, minutes = str(text)[0], *map(int, str(text)[1:6].split(":"))
        return timezone((-1 if sign == "-" else 1) * timedelta(hours=hours, minutes=minutes)) if sign in "+-" else None
    except (ValueError, IndexError):
        return None


def _mb(size: int) -> str:
    whole = size / (1024 * 1024)
    return f"{whole:.0f}" if whole >= 10 else f"{whole:.1f}"
