"""Makes the small and the large size of a photo: upright, in sRGB, without anything but the picture. Pure.

What leaves the shop is one of these. They are drawn anew from the dots alone, so no place, no camera and no comment of the
original can be in them.
"""

import zlib
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageCms

from jobs.photos.ends import Data
from jobs.photos.looking import BROKEN, orientation

LONG_EDGES = {"small": 480, "large": 1600}
_QUALITY = 82
_WHITE = (255, 255, 255)
# EXIF orientation (JEITA CP-3451): what brings the picture upright
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_FAULTS = (*BROKEN, zlib.error, MemoryError, Image.DecompressionBombError, Image.DecompressionBombWarning)


class UnreadableError(ValueError):
    """The picture cannot be decoded."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Two JPEG files: long edge 480 and 1600 dots at most (never larger than the original)."""

    small: bytes
    large: bytes


def make_sizes(data: Data) -> Sizes:
    """Decode a photo once and make both sizes. Raises UnreadableError."""
    try:
        large = _upright_srgb(data, LONG_EDGES["large"])
        return Sizes(_jpeg(_fitted(large, LONG_EDGES["small"])), _jpeg(large))
    except _FAULTS as fault:
        raise UnreadableError(str(fault)) from fault


def make_one(data: Data, size: str) -> bytes:
    """Only one of the sizes, for a page that cannot wait. Raises UnreadableError."""
    try:
        return _jpeg(_upright_srgb(data, LONG_EDGES[size]))
    except _FAULTS as fault:
        raise UnreadableError(str(fault)) from fault


def _upright_srgb(data: Data, edge: int) -> Image.Image:
    with Image.open(BytesIO(data), formats=["JPEG", "PNG", "HEIF", "WEBP"]) as picture:
        # JPEG decodes to a half, quarter or eighth at little cost, as long as that is not smaller than we need
        scale = min(1.0, edge / max(picture.size))
        picture.draft("RGB", (round(picture.width * scale), round(picture.height * scale)))
        picture.load()
        profile = picture.info.get("icc_profile")
        smaller = _fitted(_eight_bit(picture), edge)
        turn = _TURNS.get(orientation(picture))
    return _srgb(smaller if turn is None else smaller.transpose(turn), profile)


def _eight_bit(picture: Image.Image) -> Image.Image:
    if picture.mode.startswith("I;16") or picture.mode in {"I", "F"}:
        return picture.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    if picture.mode in {"P", "PA", "1"}:
        return picture.convert("RGBA")
    return picture


def _fitted(picture: Image.Image, edge: int) -> Image.Image:
    scale = edge / max(picture.size)
    if scale >= 1:
        return picture.copy()
    size = max(1, round(picture.width * scale)), max(1, round(picture.height * scale))
    return picture.resize(size, Image.Resampling.BICUBIC, reducing_gap=1.5)


def _srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    if "A" in picture.getbands():
        with_alpha = picture.convert("RGBA")
        flat = Image.new("RGB", picture.size, _WHITE)
        flat.paste(with_alpha, mask=with_alpha.getchannel("A"))
        picture = flat
    if profile and picture.mode in {"RGB", "CMYK", "L"}:
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            made = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
        except (ImageCms.PyCMSError, OSError, ValueError):
            made = None  # a profile that does not fit the picture: better slightly wrong colours than no photo
        if made is not None:
            return made
    return picture.convert("RGB")


def _jpeg(picture: Image.Image) -> bytes:
    bare = picture.copy()
    bare.info = {}
    out = BytesIO()
    bare.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()
