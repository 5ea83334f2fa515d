"""Grey grain tiles (0–255) of woods and cloths; colour comes later. Tiles repeat without a hard seam.

Grain runs up and down. The middle of a tile is the middle joint of a plate: left and right match like a book.
"""

from __future__ import annotations

from functools import lru_cache
from math import floor

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageOps

Floats = npt.NDArray[np.float32]

#: Pixels of half a tile's width; a tile is twice as high and twice as wide.
HALF = 1024
#: Rows that blend into the first rows, so that a tile can be repeated upwards and downwards.
_BLEND = 96
#: Pixels per millimetre at full size.
FINE = {
    "spruce": 7.0,
    "spruce-close": 18.0,
    "maple": 6.0,
    "maple-close": 16.0,
    "rosewood": 6.0,
    "streak": 7.0,
    "streak-close": 20.0,
    "ebony": 9.0,
    "cloth": 7.0,
    "plush": 5.0,
    "beech": 5.0,
    "metal": 9.0,
    "paper": 9.0,
    "hair": 24.0,
}


def clouds(rng: np.random.Generator, shape: tuple[int, int], cells: tuple[int, int]) -> Floats:
    """Smooth noise about 0 (standard deviation near 0.3): random cells (rows, columns) enlarged to ``shape``."""
    small = rng.random(cells, dtype=np.float32) - np.float32(0.5)
    picture = Image.fromarray(small).resize((shape[1], shape[0]), Image.Resampling.BICUBIC)
    return np.asarray(picture, dtype=np.float32)


def _rings(rng: np.random.Generator, count: int, least: float, most: float) -> Floats:
    """One line of year rings, ``count`` pixels long: light early wood that darkens and breaks off."""
    edges = np.cumsum(rng.uniform(least, most, count))
    edges = edges[: int(np.searchsorted(edges, count + 200))]
    x = np.arange(count, dtype=np.float32)
    at = np.searchsorted(edges, x)
    before = np.concatenate([[0], edges])[at]
    share = (x - before) / np.maximum(edges[np.minimum(at, len(edges) - 1)] - before, 1)
    late = rng.uniform(0.55, 1.0, len(edges) + 1)[at]
    return np.asarray(late * np.clip(share, 0, 1) ** 2.6, dtype=np.float32)


def _bend(line: Floats, shift: Floats) -> Floats:
    """A line repeated over rows, each pixel taken ``shift`` pixels further along."""
    x = np.arange(shift.shape[1], dtype=np.float32)[None, :] + shift
    bent = np.interp(x.ravel(), np.arange(len(line)), line).reshape(shift.shape)
    return np.asarray(bent, dtype=np.float32)


def _spruce(rng: np.random.Generator, mm: float, size: tuple[int, int]) -> Floats:
    w = size[1]
    line = _rings(rng, w + 200, 0.75 * mm, 1.5 * mm)
    blur = max(1, int(mm * 0.1))
    line = np.convolve(line, np.ones(blur) / blur, "same").astype(np.float32)
    tall = size[0] / mm
    wave = (
        clouds(rng, size, (max(4, int(tall / 34)), 3)) * 1.3 * mm
        + clouds(rng, size, (int(tall / 9), 7)) * 0.16 * mm
        + 60
    )
    out = 168 - 84 * _bend(line, wave)
    out += clouds(rng, size, (48, 420)) * 30 + clouds(rng, size, (280, 700)) * 20
    return out + clouds(rng, size, (8, 5)) * 26


def _maple(rng: np.random.Generator, mm: float, size: tuple[int, int]) -> Floats:
    h, w = size
    bands = np.asarray(clouds(rng, (1, h + 500), (1, int((h + 500) / mm / rng.uniform(3.2, 5.6))))[0])
    slope = np.linspace(0, rng.uniform(-14, 22) * mm, w, dtype=np.float32)[None, :]
    wave = clouds(rng, size, (12, 9)) * 6 * mm + clouds(rng, size, (24, 34)) * 2.4 * mm + slope + 250
    strength = 0.9 + clouds(rng, size, (16, 7)) * 1.5
    out = 150 + 130 * _bend(bands, wave.T).T * strength
    out += clouds(rng, size, (92, 330)) * 20 + clouds(rng, size, (340, 800)) * 26
    return out + clouds(rng, size, (9, 4)) * 24


def _streaks(rng: np.random.Generator, mm: float, size: tuple[int, int], dark: float, pores: float) -> Floats:
    w = size[1]
    wave = clouds(rng, size, (9, 4)) * 5 * mm + 80
    bands = np.asarray(clouds(rng, (1, w + 200), (1, int(w / mm / 3.4)))[0])
    thin = np.asarray(clouds(rng, (1, w + 200), (1, int(w / mm * 1.4)))[0])
    out = 140 + dark * _bend(bands, wave) * 2 + dark * 0.7 * _bend(thin, wave)
    out += clouds(rng, size, (80, 400)) * 26
    dots = clouds(rng, size, (260, 800))
    return np.asarray(out - pores * np.clip(dots - 0.22, 0, 1) * 3, dtype=np.float32)


def _even(rng: np.random.Generator, size: tuple[int, int], base: float, *layers: tuple[int, int, float]) -> Floats:
    """Layers of noise (rows, columns, strength) on one grey."""
    out = np.full(size, base, dtype=np.float32)
    for rows, columns, strength in layers:
        out += clouds(rng, size, (rows, columns)) * strength
    return out


def _hair(rng: np.random.Generator, mm: float, size: tuple[int, int]) -> Floats:
    w = size[1]
    wave = clouds(rng, size, (9, 4)) * 0.6 * mm + 50
    line = rng.random(int(w / mm * 6) + 60, dtype=np.float32) - np.float32(0.5)
    long = np.interp(np.linspace(0, len(line) - 1, w + 200), np.arange(len(line)), line).astype(np.float32)
    return 170 + 110 * _bend(long, wave) + clouds(rng, size, (40, 900)) * 30


#: Grains that are only layers of noise: base grey, then (rows, columns, strength).
_PLAIN: dict[str, tuple[float, tuple[tuple[int, int, float], ...]]] = {
    "ebony": (120, ((20, 180, 34), (180, 700, 44), (8, 6, 30))),
    "cloth": (128, ((700, 350, 40), (2000, 512, 24), (12, 6, 30))),
    "plush": (120, ((36, 22, 90), (1000, 512, 46), (120, 80, 30))),
    "metal": (150, ((2000, 20, 34), (512, 8, 26))),
    "paper": (160, ((1000, 512, 16), (120, 60, 20), (16, 8, 40))),
}


def _grey(name: str, rng: np.random.Generator) -> Floats:
    mm, kind, size = FINE[name], name.removesuffix("-close"), (2 * HALF + _BLEND, HALF)
    if kind == "spruce":
        return _spruce(rng, mm, size)
    if kind == "maple":
        return _maple(rng, mm, size)
    if kind == "rosewood":
        return _streaks(rng, mm, size, 70, 110)
    if kind == "streak":
        return _streaks(rng, mm, size, 40, 100)
    if kind == "beech":
        flecks = np.clip(clouds(rng, size, (300, 520)) - 0.2, 0, 1)
        return np.asarray(_streaks(rng, mm * 1.8, size, 24, 0) - 60 * flecks, dtype=np.float32)
    if kind == "hair":
        return _hair(rng, mm, size)
    base, layers = _PLAIN[kind]
    return _even(rng, size, base, *layers)


@lru_cache(maxsize=64)
def tile(name: str, version: int, level: int) -> Image.Image:
    """A whole tile (grey), made smaller by 2 ** ``level``."""
    if level:
        return tile(name, version, level - 1).reduce(2)
    grey = _grey(name, np.random.default_rng([version, *name.encode()]))
    fade = np.linspace(0, 1, _BLEND, dtype=np.float32)[:, None]
    grey[:_BLEND] = grey[:_BLEND] * fade + grey[2 * HALF :] * (1 - fade)
    half = Image.fromarray(np.clip(grey[: 2 * HALF], 0, 255).astype(np.uint8))
    whole = Image.new("L", (2 * HALF, 2 * HALF))
    whole.paste(half, (HALF, 0))
    whole.paste(ImageOps.mirror(half), (0, 0))
    return whole


#: How many different tiles of a grain exist.
VERSIONS = {"spruce": 3, "maple": 4, "rosewood": 2, "streak": 2}


def choose(name: str, want: float, reach: float) -> tuple[str, int, float]:
    """Grain name (close-up or not), level and pixels per mm for a picture of ``want`` pixels per mm.

    ``reach`` is the longest side in mm to cover; a close-up tile that is too small for it is passed over.
    """
    close = f"{name}-close"
    if close in FINE and want > FINE[name] * 1.4 and reach * FINE[close] < 2 * HALF:
        name = close
    level = 0
    while level < 5 and FINE[name] / 2**level > want * 1.25:
        level += 1
    return name, level, FINE[name] / 2**level


def rolled(source: Image.Image, roll: tuple[int, int], window: tuple[int, int, int, int]) -> Image.Image:
    """A window of an endlessly repeated tile that has been rolled by ``roll`` pixels."""
    n = source.size[0]
    out = Image.new(source.mode, (window[2] - window[0], window[3] - window[1]))
    x0, y0 = window[0] - roll[0], window[1] - roll[1]
    for ty in range(floor(y0 / n), floor((y0 + out.size[1] - 1) / n) + 1):
        for tx in range(floor(x0 / n), floor((x0 + out.size[0] - 1) / n) + 1):
            left, top = max(0, x0 - tx * n), max(0, y0 - ty * n)
            right, low = min(n, x0 + out.size[0] - tx * n), min(n, y0 + out.size[1] - ty * n)
            out.paste(source.crop((left, top, right, low)), (tx * n + left - x0, ty * n + top - y0))
    return out
