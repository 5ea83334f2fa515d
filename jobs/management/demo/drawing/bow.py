"""The bow from the side: x from the tip of the head (0) to the end of the button, y down.

The hair lies below the stick. Lengths are ordinary workshop figures (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import pi, sin

import numpy as np

from jobs.management.demo.drawing.shapes import Path, Point, box, curve, ellipse, polygon, ribbon, smooth


@dataclass(frozen=True)
class Bow:
    """Lengths in millimetres."""

    kind: str
    length: float
    thick_frog: float
    thick_head: float
    frog: float  # length of the frog
    size: float  # size of head and frog against the violin's


BOWS = {
    b.kind: b
    for b in (
        Bow("bow", 745, 8.6, 5.4, 43, 1.0),
        Bow("bow-viola", 743, 9.0, 5.8, 45, 1.08),
        Bow("bow-cello", 715, 10.2, 6.6, 52, 1.25),
        Bow("bow-bass", 710, 13.0, 8.4, 62, 1.6),
    )
}


def camber(kind: str, x: float) -> float:
    """How far the stick's middle line bends towards the hair at ``x`` from the tip."""
    b = BOWS[kind]
    t = min(max(x / (b.length - 60), 0.0), 1.0)
    return float(9.4 * b.size**0.3 * sin(pi * t**0.88) ** 1.25)


@lru_cache
def stick(kind: str) -> Path:
    """The rod between head and button, thinner towards the head."""
    b = BOWS[kind]
    xs = np.linspace(6, b.length - 15 * b.size, 60)
    line = smooth([(float(x), camber(kind, float(x))) for x in xs], closed=False).flat(2)
    wide = np.interp(
        line[:, 0],
        [0, b.length - 330, b.length - 90, b.length],
        [b.thick_head, (b.thick_head + b.thick_frog) / 2 + 0.4, b.thick_frog, b.thick_frog],
    )
    return ribbon(line, [float(w) for w in wide])


@lru_cache
def stick_above(kind: str) -> Path:
    """The rod from above: straight."""
    b = BOWS[kind]
    x1 = b.length - 15 * b.size
    return ribbon([(4, 0), (b.length - 330, 0), (b.length - 90, 0), (x1, 0)],
                  [b.thick_head, (b.thick_head + b.thick_frog) / 2 + 0.4, b.thick_frog, b.thick_frog])  # fmt: skip


@lru_cache
def head_above(kind: str) -> Path:
    """The head from above: a slim leaf, pointed at the tip."""
    s, t = BOWS[kind].size, BOWS[kind].thick_head / 2
    half = curve((-5 * s, 0), (-3 * s, 2.4 * s), (4 * s, 4.6 * s, 14 * s, 4.8 * s, 20 * s, 4.4 * s),
                 (25 * s, 3.6 * s, 30 * s, t, 34 * s, t), (34 * s, 0))  # fmt: skip
    return Path(half.start, (*half.segments, *half.scaled(1, -1).reversed().segments))


@lru_cache
def head(kind: str) -> Path:
    """The head with its point, seen from the side; it runs out into the stick."""
    b = BOWS[kind]
    s, t = b.size, b.thick_head / 2
    end = 44 * s
    down = camber(kind, end)
    return curve(
        (end, down - t), (30 * s, down * 0.5 - t * 1.02, 12 * s, -t * 1.3, 7 * s, -t * 0.9),
        (2.6 * s, -t * 0.3, 0.6 * s, 6 * s, -3.4 * s, 20.4 * s), (-2 * s, 21.4 * s),
        (20.6 * s, 20.8 * s), (20 * s, 19.2 * s), (15.4 * s, 17 * s, 14 * s, 9 * s, 18 * s, t * 1.9),
        (21 * s, t * 1.25, 32 * s, down * 0.6 + t, end, down + t), closed=True,
    )  # fmt: skip


@lru_cache
def whole(kind: str) -> Path:
    """Stick and head as one shape, as they are one piece of wood."""
    b, top = BOWS[kind], head(kind)
    xs = np.linspace(44 * b.size, b.length - 15 * b.size, 50)[1:]
    half = (
        np.interp(
            xs,
            [44 * b.size, b.length - 330, b.length - 90, b.length],
            [b.thick_head, (b.thick_head + b.thick_frog) / 2 + 0.4, b.thick_frog, b.thick_frog],
        )
        / 2
    )
    mids = [camber(kind, float(x)) for x in xs]
    lower = [(float(x), m + float(h)) for x, m, h in zip(xs, mids, half, strict=True)]
    upper = [(float(x), m - float(h)) for x, m, h in zip(xs, mids, half, strict=True)][::-1]
    return top.joined(polygon([*lower, *upper, top.start], closed=False))


@lru_cache
def face(kind: str) -> Path:
    """The thin facing on the underside of the head, with its ebony line."""
    s = BOWS[kind].size
    return curve((-3.9 * s, 20 * s), (20.8 * s, 20.2 * s), (20.8 * s, 21.6 * s), (-3 * s, 22 * s),
                 (-6 * s, 22 * s, -5.4 * s, 20.8 * s, -3.9 * s, 20 * s), closed=True)  # fmt: skip


def frog_at(kind: str) -> float:
    """Where the frog begins (its thumb side), from the tip."""
    b = BOWS[kind]
    return b.length - 20 * b.size - b.frog


@lru_cache
def frog(kind: str) -> Path:
    """Frog from the player's side."""
    b = BOWS[kind]
    x, s, top, low = frog_at(kind), b.size, b.thick_frog / 2, 22.5 * b.size
    f = b.frog
    return curve((x, top), (x + f, top), (x + f, low - 3 * s), (x + f, low - 1 * s, x + f - 1, low, x + f - 3 * s,
                 low), (x + 4 * s, low), (x + 2 * s, low), (x - 9 * s, low - 0.2 * s), (x - 9 * s, low - 3.4 * s),
                 (x - 4 * s, low - 4.6 * s, x + 8.4 * s, top + 8.6 * s, x + 4.6 * s, top + 3.6 * s),
                 (x + 2.6 * s, top + 1.4 * s, x + 1 * s, top + 1.6 * s, x, top + 1.4 * s), closed=True)  # fmt: skip


@lru_cache
def ferrule(kind: str) -> Path:
    """The metal D-ring at the front of the frog."""
    b = BOWS[kind]
    x, s, low = frog_at(kind), b.size, 22.5 * b.size
    return curve((x - 9 * s, low - 3.8 * s), (x - 2 * s, low - 6.6 * s), (x + 2.4 * s, low - 6.4 * s),
                 (x + 2.4 * s, low + 0.3), (x - 9 * s, low + 0.2), closed=True)  # fmt: skip


@lru_cache
def frog_eye(kind: str) -> tuple[Path, Path]:
    """Pearl eye with its metal ring (ring, pearl)."""
    b = BOWS[kind]
    x, y = frog_at(kind) + b.frog * 0.56, b.thick_frog / 2 + 9.4 * b.size
    return ellipse(x, y, 4.1 * b.size), ellipse(x, y, 2.9 * b.size)


@lru_cache
def heel_plate(kind: str) -> Path:
    """Metal plate round the heel of the frog."""
    b = BOWS[kind]
    x, s, low = frog_at(kind) + b.frog, b.size, 22.5 * b.size
    return curve((x - 2.6 * s, b.thick_frog / 2 + 3), (x, b.thick_frog / 2 + 3), (x, low - 3 * s),
                 (x, low - 1 * s, x - 1, low, x - 3 * s, low), (x - 13 * s, low), (x - 13 * s, low - 1.4 * s),
                 (x - 4.6 * s, low - 1.8 * s, x - 2.8 * s, low - 4 * s, x - 2.6 * s, low - 6 * s), closed=True)  # fmt: skip


@lru_cache
def underslide(kind: str) -> Path:
    """Metal strip between frog and stick."""
    b = BOWS[kind]
    return box(frog_at(kind) - 0.5, b.thick_frog / 2 - 1.2, b.frog + 0.5, 1.8)


@lru_cache
def button(kind: str) -> tuple[Path, Path, Path]:
    """Button: ring, black middle, ring."""
    b = BOWS[kind]
    x, r, s = b.length - 15 * b.size, b.thick_frog / 2, b.size
    return (box(x, -r, 4.6 * s, 2 * r, 0.8), box(x + 4.6 * s, -r * 0.94, 5 * s, 1.88 * r, 0.4),
            box(x + 9.6 * s, -r, 5.4 * s, 2 * r, 1.6))  # fmt: skip


@lru_cache
def winding(kind: str) -> tuple[Path, Path]:
    """Silver winding and thumb leather on the stick."""
    b = BOWS[kind]
    x, r = frog_at(kind), b.thick_frog / 2
    return (box(x - 88 * b.size, -r - 0.5, 66 * b.size, 2 * r + 1, 0.5),
            box(x - 23 * b.size, -r - 1.1, 25 * b.size, 2 * r + 2.2, 1.6))  # fmt: skip


@lru_cache
def hair(kind: str) -> Path:
    """Ribbon of hair from head to ferrule, seen on its edge."""
    b = BOWS[kind]
    s = b.size
    a: Point = (17 * s, 21.4 * s)
    e: Point = (frog_at(kind) - 8 * s, 21.4 * s)
    return ribbon([a, ((a[0] + e[0]) / 2, 21.4 * s), e], [1.6 * s, 2 * s, 2 * s])
