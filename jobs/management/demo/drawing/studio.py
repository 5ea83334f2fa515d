"""What stands round the object: paper sweep, cloth, bench; the finishing of a photograph; the millimetre scale."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from PIL import Image, ImageChops, ImageDraw, ImageFont

from jobs.management.demo.drawing.grain import clouds
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Point, box
from jobs.management.demo.drawing.skins import BENCH, STEEL, Rgb, Skin, times

#: Colours of the paper sweep and of the cloth under the object.
PAPERS: tuple[Rgb, ...] = (
    (176, 174, 168), (150, 156, 160), (190, 182, 168), (128, 130, 128), (164, 160, 152), (112, 118, 124),
)  # fmt: skip
FELTS: tuple[Rgb, ...] = ((74, 88, 80), (92, 90, 88), (66, 76, 92), (104, 96, 86))


def sweep(size: tuple[int, int], rng: np.random.Generator, colour: Rgb | None = None) -> Image.Image:
    """Background paper in soft light that falls off to the lower right."""
    base = np.array(colour or PAPERS[int(rng.integers(len(PAPERS)))], dtype=np.float32)
    y, x = np.mgrid[0:36, 0:48].astype(np.float32)
    cx, cy = 48 * rng.uniform(0.3, 0.5), 36 * rng.uniform(0.22, 0.42)
    fall = np.exp(-(((x - cx) / 34) ** 2 + ((y - cy) / 27) ** 2))
    low = (0.62 + 0.5 * fall + clouds(rng, (36, 48), (3, 4)) * 0.05)[..., None] * base
    small = Image.fromarray(np.clip(low, 0, 255).astype(np.uint8))
    middle = (max(48, size[0] // 6), max(36, size[1] // 6))
    return small.resize(middle, Image.Resampling.BICUBIC).resize(size, Image.Resampling.BILINEAR)


def cloth(size: tuple[int, int], rng: np.random.Generator, per: float, colour: Rgb | None = None) -> Image.Image:
    """Felt or linen on the table, with its weave."""
    base = colour or FELTS[int(rng.integers(len(FELTS)))]
    skin = Skin("cloth", times(base, 0.7), base, times(base, 1.28), (0.8, 0.8, 0.8), 0.5, 0.0)
    return _laid(size, rng, per, skin)


def bench(size: tuple[int, int], rng: np.random.Generator, per: float) -> Image.Image:
    """The top of a beech bench."""
    return _laid(size, rng, per, BENCH.but(angle=90))


def _laid(size: tuple[int, int], rng: np.random.Generator, per: float, skin: Skin) -> Image.Image:
    # The stuff is painted once for sizes near each other; the light on it is new every time.
    step = 1.35 ** round(math.log(per, 1.35))
    light = sweep(size, rng, (216, 214, 208))
    return ImageChops.multiply(_stuff(size, step, skin, int(rng.integers(2))), light)


@lru_cache(maxsize=5)
def _stuff(size: tuple[int, int], per: float, skin: Skin, version: int) -> Image.Image:
    picture = Picture(size, per, (0, 0), np.random.default_rng(version))
    w, h = size[0] / per, size[1] / per
    picture.part(box(-w / 2 - 2, -h / 2 - 2, w + 4, h + 4), skin)
    return picture.image


@lru_cache(maxsize=3)
def _film(size: tuple[int, int], version: int) -> Image.Image:
    """Darker corners and noise in one sheet to multiply by."""
    rng = np.random.default_rng([version, 5])
    y, x = np.mgrid[-1 : 1 : complex(0, 60), -1 : 1 : complex(0, 80)].astype(np.float32)
    fall = (248 * (1 - 0.25 * np.clip((x * x + y * y) / 2, 0, 1) ** 1.6)).astype(np.uint8)
    light = np.asarray(Image.fromarray(fall).resize(size, Image.Resampling.BICUBIC), dtype=np.float32)
    rough = rng.normal(0, 3.6, ((size[1] + 1) // 2, (size[0] + 1) // 2)).astype(np.float32)
    coarse = np.repeat(np.repeat(rough, 2, axis=0), 2, axis=1)[: size[1], : size[0]]
    sheets = [
        Image.fromarray(np.clip(light + coarse + rng.integers(-4, 5, light.shape), 0, 255).astype(np.uint8))
        for _ in range(2)
    ]
    return Image.merge("RGB", (sheets[0], sheets[0], sheets[1]))


def developed(image: Image.Image, rng: np.random.Generator) -> Image.Image:
    """The last step of every photograph: white balance, contrast, darker corners, a little noise."""
    warm = rng.uniform(-0.025, 0.04)
    gain = np.array([1 + warm, 1.0, 1 - warm]) * rng.uniform(0.97, 1.05)
    table: list[int] = []
    for g in gain:
        v = np.clip(np.arange(256) / 255 * g, 0, 1)
        v = 0.82 * v + 0.18 * (v * v * (3 - 2 * v))
        table += [int(x) for x in np.clip(v * 255 + 4, 0, 255)]
    return ImageChops.multiply(image.point(table), _film(image.size, int(rng.integers(3))))


def scale_bar(picture: Picture, left: Point, long: int, *, high: float) -> None:
    """A steel rule with a line for every millimetre (every five from far) and a figure for every ten (fifty); ``left`` is its upper left corner, mm."""
    x, y = left
    picture.part(box(x - 4, y, long + 8, high, high * 0.05), STEEL.but(mm=0.5), lift=high * 0.06, dark=0.6)
    fine = ((0.24, 1), (0.34, 5), (0.44, 10)) if picture.per > 5 else ((0.24, 5), (0.34, 10), (0.44, 50))
    for share, step in fine:
        ticks = [[(x + i, y + high * 0.02), (x + i, y + high * share)] for i in range(0, long + 1, step)]
        picture.lines(ticks, max(0.13, 1.1 / picture.per), (26, 26, 28), 0.95)
    font = ImageFont.load_default(size=max(9, high * 0.34 * picture.per))
    pen = ImageDraw.Draw(picture.image)
    figures = 10 if 10 * picture.per > high * picture.per * 0.9 else 50
    for i in range(0, long + 1, figures):
        px, py = picture.pixels([(x + i, y + high * 0.7)])[0]
        pen.text((float(px), float(py)), str(i), fill=(30, 30, 32), font=font, anchor="mm")
