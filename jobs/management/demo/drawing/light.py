"""From a shape to light: how a part is rounded or arched, which way its surface leans, what that does to light.

Everything here works on small rasters; pictures enlarge the result, which is smooth anyway.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw

from jobs.management.demo.drawing.grain import clouds
from jobs.management.demo.drawing.shapes import Path, Point

Floats = npt.NDArray[np.float32]


Steps = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Form:
    """Height in mm against distance from the edge in mm, softened by ``soft`` mm; ``swell`` is a gentler second one."""

    steps: Steps
    soft: float = 0.0
    swell: Steps = ()
    swell_soft: float = 0.0


def rounded(radius: float, soft: float = 0.0) -> Form:
    """An edge rounded like a quarter of a circle, then flat; with half the width as radius a rod."""
    share = np.linspace(0, 1, 9)
    high = radius * np.sqrt(np.clip(1 - (1 - share) ** 2, 0, 1))
    return Form(tuple((float(d * radius), float(h)) for d, h in zip(share, high, strict=True)), soft)


def arched(high: float, wide: float, size: float) -> Form:
    """A carved plate: rounded edge, hollow along the purfling, arch that rises ``high`` over ``wide`` mm."""
    e = size
    edge = ((0, 0), (0.7 * e, 1.5 * e), (2.2 * e, 2.2 * e), (3.6 * e, 1.9 * e), (7 * e, 0.7 * e), (12 * e, 0.9 * e))
    rise = ((0, 0), (8 * e, 0), (wide * 0.34, 0.36 * high), (wide * 0.58, 0.7 * high), (wide * 0.82, 0.94 * high),
            (wide, high))  # fmt: skip
    return Form(edge, 0.7 * e, rise, 7 * e)


@dataclass(frozen=True)
class Leaning:
    """Surface slopes of a part (dh/dx and dh/dy, mm per mm) as grey float rasters, and where they lie in mm."""

    x: Image.Image
    y: Image.Image
    left: float
    top: float
    per_x: float  # raster pixels per mm
    per_y: float


@lru_cache(maxsize=250)
def leaning(path: Path, form: Form, most: int = 240) -> Leaning:
    """Slopes of a shape with a form; the raster is at most ``most`` pixels long."""
    ring = path.flat(5)
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    pad = 0.02 * max(x1 - x0, y1 - y0) + 0.2
    x0, y0, x1, y1 = x0 - pad, y0 - pad, x1 + pad, y1 + pad
    per = most / max(x1 - x0, y1 - y0)
    per_x, per_y = max(per, 26 / (x1 - x0)), max(per, 26 / (y1 - y0))
    w, h = round((x1 - x0) * per_x) + 1, round((y1 - y0) * per_y) + 1
    far = max(d for d, _ in (*form.steps, *form.swell))
    apart = _distance(ring, (x0, y0), (per_x, per_y), (w, h), far)
    high = _raised(apart, form.steps, form.soft, per_x, per_y)
    if form.swell:
        high = high + _raised(apart, form.swell, form.swell_soft, per_x, per_y)
    dy, dx = np.gradient(high)
    return Leaning(
        Image.fromarray((dx * per_x).astype(np.float32)), Image.fromarray((dy * per_y).astype(np.float32)),
        float(x0), float(y0), per_x, per_y,
    )  # fmt: skip


def _raised(apart: Floats, steps: Steps, soft: float, per_x: float, per_y: float) -> Floats:
    """Heights for distances; outside the edge the first slope goes on downwards, so that the rim is clean."""
    far = float(-apart.min()) + 1
    under = (-far, -far * steps[1][1] / steps[1][0])
    every = (under, *steps)
    high = np.interp(apart, [d for d, _ in every], [z for _, z in every]).astype(np.float32)
    return _soften(_soften(high, max(0.9, soft * per_x), 1), max(0.9, soft * per_y), 0)


def _soften(a: Floats, sigma: float, axis: int) -> Floats:
    """Gaussian along one axis, in floats (eight bits would show steps in a gentle arch)."""
    reach = max(1, int(2.5 * sigma))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(sigma, 0.3)) ** 2)
    weights /= weights.sum()
    pads = [(reach, reach) if i == axis else (0, 0) for i in (0, 1)]
    p, n = np.pad(a, pads, mode="edge"), a.shape[axis]
    out = np.zeros_like(a)
    for i, weight in enumerate(weights):
        out += np.float32(weight) * (p[i : i + n] if axis == 0 else p[:, i : i + n])
    return out


@lru_cache(maxsize=16)
def coiled(path: Path, form: Form, middle: Point, size: float) -> Leaning:
    """Slopes of a scroll's side: ``form`` all round, and inside a band that climbs along the volute's spiral.

    The spiral is that of ``bowed_parts.volute``: 23.5 × exp(−0.53 × turn), clockwise from the left, times ``size``.
    """
    lean = leaning(path, form, 420)
    sx, sy = (np.asarray(raster, dtype=np.float32) for raster in (lean.x, lean.y))
    y, x = np.mgrid[0 : sx.shape[0], 0 : sx.shape[1]].astype(np.float32)
    x = (x / lean.per_x + lean.left - middle[0]) / size
    y = (y / lean.per_y + lean.top - middle[1]) / size
    turns = np.log(23.5 / np.maximum(np.hypot(x, y / 1.04), 0.5)) / 0.53
    angle = (np.arctan2(-y, -x) / (2 * np.pi)) % 1.0
    climb = angle + np.floor(turns - angle)
    share = np.clip(turns - climb, 0, 1)
    hollow = np.interp(share, [0, 0.05, 0.14, 0.5, 0.86, 1], [-1.2, -0.1, 0.15, -0.7, -0.95, -1.2])
    strength = np.clip((climb - 0.3) / 0.5, 0, 1) * (turns > 0)
    high = (strength * (climb * 2.8 + hollow) * size).astype(np.float32)
    high = _soften(_soften(high, 0.45 * size * lean.per_x, 1), 0.45 * size * lean.per_y, 0)
    cy, cx = np.gradient(high)
    keep = 1 - np.clip((climb - 0.5) / 0.3, 0, 1) * (turns > 0)
    merged = (sx * keep + cx * lean.per_x, sy * keep + cy * lean.per_y)
    rasters = [Image.fromarray(m.clip(-3, 3).astype(np.float32)) for m in merged]
    return Leaning(rasters[0], rasters[1], lean.left, lean.top, lean.per_x, lean.per_y)


def _distance(
    ring: npt.NDArray[np.float64],
    corner: tuple[float, float],
    per: tuple[float, float],
    size: tuple[int, int],
    far: float,
) -> Floats:
    """Distance of every raster point to the ring in mm, at most ``far``; negative outside."""
    w, h = size
    mask = Image.new("L", size)
    scaled = (ring - np.array(corner)) * np.array(per)
    ImageDraw.Draw(mask).polygon([(float(x), float(y)) for x, y in scaled], fill=1)
    inside = np.asarray(mask, dtype=bool)
    xs = (np.arange(w) / per[0] + corner[0]).astype(np.float32)
    ys = (np.arange(h) / per[1] + corner[1]).astype(np.float32)
    best = np.full((h, w), far, dtype=np.float32) ** 2
    a = ring.astype(np.float32)
    line = np.roll(a, -1, axis=0) - a
    for (ax, ay), (lx, ly) in zip(a, line, strict=True):
        length = lx * lx + ly * ly
        if length < 1e-9:
            continue
        # Only the raster round this piece can be nearer to it than ``far``.
        i0, i1 = np.searchsorted(xs, (min(ax, ax + lx) - far, max(ax, ax + lx) + far))
        j0, j1 = np.searchsorted(ys, (min(ay, ay + ly) - far, max(ay, ay + ly) + far))
        rx, ry = (xs[i0:i1] - ax)[None, :], (ys[j0:j1] - ay)[:, None]
        t = np.clip((rx * lx + ry * ly) / length, 0, 1)
        near = (rx - t * lx) ** 2 + (ry - t * ly) ** 2
        np.minimum(best[j0:j1, i0:i1], near, out=best[j0:j1, i0:i1])
    out = np.sqrt(best)
    return np.where(inside, out, -out).astype(np.float32)


@dataclass(frozen=True)
class Lamp:
    """One soft lamp, where it stands (unit-ish vector, z towards the camera), and how much comes from all round."""

    x: float = -0.46
    y: float = -0.5
    z: float = 0.74
    around: float = 0.5
    window: tuple[float, float, float, float] = (-0.44, -0.5, 0.3, 0.36)  # middle and half size of the reflex


SOFTBOX = Lamp()
RAKING = Lamp(-0.93, -0.1, 0.36, 0.2, (-0.8, -0.1, 0.22, 0.5))
OVERHEAD = Lamp(0.1, -0.42, 0.9, 0.55, (0.05, -0.5, 0.5, 0.28))


def shade(dx: Floats, dy: Floats, lamp: Lamp, deep: float = 1.0) -> tuple[Floats, Floats]:
    """(brightness about 1 for a flat surface, mirror-like reflex 0–1) of slopes under a lamp."""
    nx, ny = -dx * np.float32(deep), -dy * np.float32(deep)
    nz = 1 / np.sqrt(1 + nx * nx + ny * ny)
    nx, ny = nx * nz, ny * nz
    straight = np.clip(nx * lamp.x + ny * lamp.y + nz * lamp.z, 0, None) / lamp.z
    bright = lamp.around + (1 - lamp.around) * straight
    rx, ry = 2 * nz * nx, 2 * nz * ny
    x, y, wide, high = lamp.window
    reflex = np.exp(-(np.abs((rx - x) / wide) ** 2.6) - np.abs((ry - y) / high) ** 2.6)
    return np.asarray(bright, dtype=np.float32), np.asarray(reflex, dtype=np.float32)


def thickness(
    rng: np.random.Generator,
    low: tuple[int, int],
    patina: float,
    worn: Sequence[tuple[float, float, float, float]],
) -> Floats:
    """How thick the coat lies (0–1), uneven and thin in worn places (x, y, radius in pixels, strength)."""
    w, h = low
    coat = 0.5 + clouds(rng, (h, w), (4, 5) if w > h else (5, 4)) * np.float32(0.9 * patina)
    for x, y, radius, strength in worn:
        r = max(radius, 0.5)
        across = np.exp(-(((np.arange(w, dtype=np.float32) - np.float32(x)) / np.float32(r)) ** 2))
        down = np.exp(-(((np.arange(h, dtype=np.float32) - np.float32(y)) / np.float32(r)) ** 2))
        coat = coat - np.float32(strength) * down[:, None] * across[None, :]
    return np.asarray(np.clip(coat, -0.25, 1), dtype=np.float32)
