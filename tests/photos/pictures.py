"""Pictures made in code: a scene whose corners tell which way is up, in the formats telephones send."""

import struct
import zlib
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile, TemporaryUploadedFile
from PIL import ExifTags, Image, ImageCms
from pillow_heif import register_heif_opener

register_heif_opener(thumbnails=False)

RED, GREEN, BLUE, WHITE = (200, 30, 30), (30, 160, 60), (40, 60, 190), (250, 250, 245)
# a place that must never leave the shop: 52° 12' 30" N, 0° 7' 15" E
PLACE = {1: "N", 2: (52.0, 12.0, 30.0), 3: "E", 4: (0.0, 7.0, 15.0)}
TAKEN = "2026:11:06 10:42:11"


def scene(width: int = 640, height: int = 480, mode: str = "RGB") -> Image.Image:
    """White with a red corner at top left, green at top right, blue at bottom left."""
    picture = Image.new("RGB", (width, height), WHITE)
    w, h = width // 3, height // 3
    for colour, corner in ((RED, (0, 0)), (GREEN, (width - w, 0)), (BLUE, (0, height - h))):
        picture.paste(colour, (*corner, corner[0] + w, corner[1] + h))
    return picture.convert(mode)


def exif(turned: int = 1, *, taken: str = TAKEN, offset: str = "") -> bytes:
    """EXIF with orientation, time of taking, maker's words and a place."""
    data = Image.Exif()
    data[ExifTags.Base.Orientation] = turned
    data[ExifTags.Base.Make] = "camera of nobody"
    inner: dict[int, Any] = {ExifTags.Base.DateTimeOriginal: taken}
    if offset:
        inner[ExifTags.Base.OffsetTimeOriginal] = offset
    data[ExifTags.IFD.Exif] = inner
    data[ExifTags.IFD.GPSInfo] = PLACE
    return data.tobytes()


def coded(kind: str, picture: Image.Image | None = None, **options: Any) -> bytes:
    """The picture as JPEG, PNG, WEBP or HEIF bytes."""
    out = BytesIO()
    if kind == "JPEG":
        options.setdefault("quality", 90)
    (picture or scene()).save(out, kind, **options)
    return out.getvalue()


OPENED: list[TemporaryUploadedFile] = []  # closed after each test, as a request closes its own
KINDS = {"JPEG": "front.jpg", "PNG": "front.png", "WEBP": "front.webp", "HEIF": "front.heic"}


def sent(data: bytes, name: str = "front.jpg") -> SimpleUploadedFile:
    """An upload kept in memory, as Django does up to 2 MB."""
    return SimpleUploadedFile(name, data)


def sent_large(data: bytes, name: str = "front.jpg") -> TemporaryUploadedFile:
    """An upload that lies in a file of its own, as Django does above 2 MB."""
    upload = TemporaryUploadedFile(name, "image/jpeg", len(data), None)
    OPENED.append(upload)
    upload.write(data)
    upload.seek(0)
    return upload


def png_bomb(edge: int = 30_000) -> bytes:
    """A PNG of `edge` × `edge` black dots, about a thousandth of its size when packed: whole, with sound check sums."""
    packer = zlib.compressobj(9)
    row = b"\x00" * (1 + edge // 8)
    body = b"".join(packer.compress(row) for _ in range(edge)) + packer.flush()
    head = struct.pack(">IIBBBBB", edge, edge, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + _chunk(b"IDAT", body) + _chunk(b"IEND", b"")


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def wide_profile() -> bytes:
    """An ICC profile that is not sRGB: red and green change places, so a conversion cannot be missed.

    Made from the sRGB profile of littleCMS by swapping the names of two of its colorant tags.
    """
    data = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return data.replace(b"rXYZ", b"????").replace(b"gXYZ", b"rXYZ").replace(b"????", b"gXYZ")


def segments(data: bytes) -> list[int]:
    """The markers of a JPEG's segments up to its first scan (ITU-T T.81, annex B)."""
    at, found = 2, []
    while data[at + 1] != 0xDA:
        found.append(data[at + 1])
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return found
