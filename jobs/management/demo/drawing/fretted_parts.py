"""Guitars and mandolin from the side: x is depth, growing towards the strings, front at x = 0."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from jobs.management.demo.drawing.fretted import FRETTED
from jobs.management.demo.drawing.shapes import Path, Point, box, curve, polygon, smooth

#: How far the head leans back, in degrees (common practice, no source).
LEAN = 14.0


@lru_cache
def ribs_side(kind: str) -> Path:
    """The side, shallower at the heel."""
    g = FRETTED[kind]
    return polygon([(0, 0), (0, g.body), (-g.ribs_tail, g.body), (-g.ribs_heel, 0)])


@lru_cache
def plates_side(kind: str) -> tuple[Path, Path]:
    """Front and back edges; a mandolin's are arched."""
    g = FRETTED[kind]
    if kind == "mandolin":
        top = curve((0, -1), (4, -1), (4, 12), (14, 60, 17, 130, 17, 170), (17, 250, 10, 320, 4, 334),
                    (4, 343), (0, 343), closed=True)  # fmt: skip
        return top, top.mirrored().moved(-g.ribs_tail, 0)
    deep, heel = g.ribs_tail, g.ribs_heel
    front = box(0, -0.5, 2.6, g.body + 1)
    back = curve((-heel, -0.5), (-heel - 2.6, -0.5), (-deep - 5, g.body * 0.4, -deep - 5, g.body * 0.6, -deep - 2.6,
                 g.body + 0.5), (-deep, g.body + 0.5), closed=True)  # fmt: skip
    return front, back


@lru_cache
def neck_side(kind: str) -> Path:
    """Neck and heel."""
    g = FRETTED[kind]
    n, heel, thick = -g.neck, g.ribs_heel, 15.5
    return curve((0, n), (0, 0), (-heel, 0), (-heel - 2, -13), (-heel * 0.72, -15, -28, -22, -23, -62),
                 (-thick - 2, n + 70), (-thick, n + 34, -thick, n + 20, -thick - 1, n + 6), (-thick, n),
                 closed=True)  # fmt: skip


@lru_cache
def head_side(kind: str) -> Path:
    """The head leaning back behind the nut."""
    g = FRETTED[kind]
    thick = 20 if kind == "guitar-classical" else 15
    slab = curve((0, -g.neck + 1), (0, -g.neck - g.head), (-thick + 2, -g.neck - g.head),
                 (-thick, -g.neck - 24), (-thick, -g.neck - 8, -17, -g.neck + 2, -16.5, -g.neck + 10),
                 (-6, -g.neck + 10), closed=True)  # fmt: skip
    return slab.turned(-LEAN, (0.0, -g.neck))


def knobs_side(kind: str) -> list[Point]:
    """Middles of the tuning knobs, seen end on."""
    from_posts = {"guitar-classical": (-52, 44), "guitar-steel": (-42, 47), "mandolin": (-36, 26)}[kind]
    g = FRETTED[kind]
    first, step = from_posts
    rows = [first - step * i for i in range(g.courses // 2)]
    deep = {"guitar-classical": -10.0, "guitar-steel": -17.0, "mandolin": -17.0}[kind]
    dots = smooth([(deep, y - g.neck) for y in rows], closed=False).turned(-LEAN, (0.0, -g.neck))
    return [dots.start, *(s[2] for s in dots.segments)]


@lru_cache
def board_side(kind: str) -> Path:
    """Fingerboard edge; a mandolin's stands clear of the arch."""
    g = FRETTED[kind]
    end = max(float(p) for p in np.array([s[2][1] for s in _board(kind).segments]))
    rise = 12.0 if kind == "mandolin" else 0.0
    return polygon([(0, -g.neck), (6, -g.neck), (6 + rise, end), (rise, end)])


def _board(kind: str) -> Path:
    g = FRETTED[kind]
    return polygon([(0, -g.neck), (0, g.hole_y - g.hole / 2 if g.hole else 78)])


@lru_cache
def bridge_side(kind: str) -> Path:
    """Bridge from the side."""
    g = FRETTED[kind]
    y = g.stop
    if kind == "mandolin":
        return curve((16, y - 6), (22, y - 4), (36, y - 1.4), (36, y + 1.4), (22, y + 4), (16, y + 6),
                     closed=True)  # fmt: skip
    return curve((2.6, y - 9), (10, y - 5), (10, y - 1.4), (13.4, y - 1.4), (13.4, y + 1.4), (10, y + 1.4),
                 (9, y + 16), (2.6, y + 20), closed=True)  # fmt: skip


def string_side(kind: str) -> list[Point]:
    """The strings from the side."""
    g = FRETTED[kind]
    if kind == "mandolin":
        return [(7.5, -g.neck), (36, g.stop), (8, g.body - 44)]
    return [(7.5, -g.neck), (13.4, g.stop), (8, g.stop + 14)]
