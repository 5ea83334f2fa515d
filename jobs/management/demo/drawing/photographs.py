"""Photographs for the sample shop, painted: ``draw`` makes the picture, ``as_jpeg`` the file a camera would leave."""

from __future__ import annotations

import zlib
from datetime import datetime
from decimal import Decimal
from io import BytesIO

import numpy as np
from PIL import Image

from jobs.management.demo.drawing import bow, bowed, orders, scenes, studio, views, workshop
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.skins import woods

# EXIF numbers (CIPA DC-008): orientation, the two inner lists, and what is written into them.
_ORIENTATION, _CAMERA, _PLACE = 274, 34665, 34853
_TAKEN, _OFFSET = 36867, 36881
#: How pixels must be turned so that a viewer that honours the orientation shows them upright.
_HELD = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}

#: Close views are as soft as a telephone makes them: painted smaller and enlarged, which is also quicker.
_SOFT = frozenset(
    {"ff-bass", "ff-treble", "label", "button-heel", "heel", "nut-close", "tail-saddle-endpin", "edges-corners", "fb-sight",
     "inside", "clamps", "soundhole", "bridge-pins-tail", "binding", "raking-light", "case-open", "bench"}
)  # fmt: skip
_LARGE = 1200


def draw(
    view: str,
    kind: str,
    *,
    seed: int,
    size: tuple[int, int] = (2016, 1512),
    label: str = "",
    defect: str = "",
    extent_mm: Decimal | float | None = None,
    tag_symbol: Image.Image | None = None,
) -> Image.Image:
    """Paints one photograph. The same arguments give the same pixels; the same ``seed`` is the same object in every view.

    ``view``: a code of ``views.views(kind)`` or ``views.EXTRA_VIEWS``; ``defect-04`` and the like are close-ups.
    ``kind``: item code (Vn …) or name (guitar-classical, bow-cello …). ``label``: words on the label. ``defect``:
    condition term; its ``extent_mm`` is true to the rule in the picture. ``tag_symbol``: a printed symbol that lies
    in the picture on a hang-tag. Raises ValueError for an unknown kind or a view that the kind does not have.
    """
    name = views.kind_of(kind)
    code = views.plain(view, name)
    rng = np.random.default_rng([seed, zlib.crc32(f"{view}/{name}".encode())])
    family = "guitar" if name.startswith("guitar") else "bow" if name in bow.BOWS else "bowed"
    w = woods(seed, family, bowed.BOWED[name].fine ** 0.7 if name in bowed.BOWED else 1.0)
    long = float(extent_mm) if extent_mm else None
    paper = size if code not in _SOFT or max(size) < _LARGE else (size[0] * 3 // 4, size[1] * 3 // 4)
    image = scenes.painted(orders.Order(code, name, w, seed, paper, rng, label, defect, long)).image
    if paper != size:
        image = image.resize(size, Image.Resampling.BICUBIC)
    if tag_symbol is not None:
        flat = Picture(size, size[1] / 100, (0, 0), rng, ground=image)
        workshop.hang_tag(flat, tag_symbol, (-50 * size[0] / size[1] + 4, 4), 32)
    return studio.developed(image, rng)


def as_jpeg(
    image: Image.Image, *, taken_at: datetime, orientation: int = 1, place: tuple[float, float] | None = None
) -> bytes:
    """JPEG as a camera leaves it: the time (its own zone), how it was held (1–8; pixels turned to match), and a place
    (latitude and longitude in degrees) if the camera knew one.
    """
    exif = Image.Exif()
    exif[_ORIENTATION] = orientation
    camera = exif.get_ifd(_CAMERA)
    camera[_TAKEN] = taken_at.strftime("%Y:%m:%d %H:%M:%S")
    if taken_at.tzinfo is not None:
        zone = taken_at.strftime("%z")
        camera[_OFFSET] = f"{zone[:3]}:{zone[3:5]}"
    if place is not None:
        spot = exif.get_ifd(_PLACE)
        for ref, value, names in ((1, place[0], "NS"), (3, place[1], "EW")):
            spot[ref] = names[value < 0]
            spot[ref + 1] = _degrees(abs(value))
    turn = _HELD.get(orientation)
    held = image if turn is None else image.transpose(turn)
    out = BytesIO()
    held.save(out, "JPEG", quality=86, exif=exif)
    return out.getvalue()


def _degrees(value: float) -> tuple[float, float, float]:
    """Degrees, minutes, seconds."""
    minutes = value % 1 * 60
    return float(int(value)), float(int(minutes)), round(minutes % 1 * 60, 3)
