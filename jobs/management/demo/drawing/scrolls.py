"""Scroll, pegbox and pegs of the bowed instruments: shapes in millimetres, the nut at y = 0."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import cos, exp, pi, sin

import numpy as np

from jobs.management.demo.drawing.bowed import BOWED
from jobs.management.demo.drawing.shapes import Path, Point, both, curve, ellipse, polygon, smooth


def volute(turn: float, wide: float = 1.0) -> Point:
    """Point of the scroll's spiral in violin millimetres, origin at the nut; ``turn`` in whole turns."""
    radius = 23.5 * exp(-0.53 * turn) * wide
    angle = 2 * pi * turn
    return (-20.5 - radius * cos(angle), -82.5 - radius * sin(angle) * 1.04)


@lru_cache
def head_side(kind: str) -> Path:
    """Silhouette of pegbox and scroll from the bass side (strings to the right), joined to the neck."""
    k = BOWED[kind].fine
    turns = [volute(float(t)) for t in np.linspace(0, 0.72, 14)]
    back = [(-19.5, 12), (-19.7, 5), (-23.6, 2.2), (-26.6, -3), (-28.2, -13), (-31.4, -30), (-36.4, -47),
            (-41, -63), (-43.2, -73)]  # fmt: skip
    front = [(-14.2, -57.2), (-11.6, -50), (-7, -30), (-3.4, -13), (-1.2, -2), (0.4, 0), (0.6, 12)]
    outline = smooth([*back, *turns, *front], closed=False)
    return Path(outline.start, outline.segments, closed=True).scaled(k)


@lru_cache
def spiral(kind: str, start: float = 0.5, end: float = 2.55) -> Path:
    """The carved line of the volute, as an open line."""
    k = BOWED[kind].fine
    turns = np.linspace(start, end, round((end - start) * 16) + 1)
    return smooth([volute(float(t)) for t in turns], closed=False).scaled(k)


@lru_cache
def head_front(kind: str) -> Path:
    """Pegbox and scroll from the front; the turns of the scroll step out to both sides."""
    b = BOWED[kind]
    k = b.fine
    half = [(0, -106.6), (5, -106), (8.4, -102.4), (9.6, -98), (10.6, -95.6), (14, -94.6), (15.6, -90.6),
            (17.6, -88.8), (19.4, -87.4), (20.8, -84.6), (21, -82.4), (20.8, -80), (19.4, -77.6),
            (17.6, -76.2), (15.8, -74.6), (14.4, -71), (11.4, -69), (9.4, -66), (8.6, -60),
            (9.2, -44), (10.6, -24), (12, -6), (12.4, 0)]  # fmt: skip
    wide = b.board_nut / 24
    line = (
        smooth(half, closed=False)
        .scaled(k)
        .mapped(lambda x, y: (x * (1 + (wide / k - 1) * float(np.interp(y / k, [-60, 0], [0, 1]))), y))
    )
    return both(line.joined(polygon([line.segments[-1][2], (0, 0)], closed=False)))


def _drawn(kind: str, lines: list[list[Point]]) -> list[list[Point]]:
    """Carved lines given for the violin, laid on both halves of this head, nut at its place."""
    b = BOWED[kind]
    out = []
    for line in lines:
        soft = smooth(line, closed=False).scaled(b.fine).flat(6)
        for side in (1, -1):
            out.append([(side * float(x), float(y) - b.neck) for x, y in soft])
    return out


def head_front_lines(kind: str) -> list[list[Point]]:
    """Edges of the turns and of the middle band, seen from the front."""
    return _drawn(kind, [
        [(4.6, -104), (3.6, -94), (3.2, -82), (3.6, -72), (4.8, -64)],
        [(8.4, -102.4), (9.4, -92), (9.2, -82), (8.8, -74), (8.6, -64)],
        [(14, -94.6), (14.8, -86), (14.8, -78), (14.4, -71)],
        [(18.4, -88), (18.8, -82.4), (18.4, -77)],
    ])  # fmt: skip


def head_back_lines(kind: str) -> list[list[Point]]:
    """The two flutes and the ridge between them, seen from the back."""
    return _drawn(kind, [
        [(0, -106), (0, -90), (0, -40), (0, -6)],
        [(5, -105), (6, -94), (6.6, -80), (6.8, -60), (7.8, -40), (9, -20), (8.4, -8), (4, -3), (0, -2)],
        [(14, -94.6), (14.8, -86), (14.8, -78), (14.4, -71)],
        [(18.4, -88), (18.8, -82.4), (18.4, -77)],
    ])  # fmt: skip


def peg_deep(kind: str, y: float) -> float:
    """Depth of a peg's middle that stands ``y`` above the nut (side drawing)."""
    k = BOWED[kind].fine
    return -10.4 * k + 0.24 * y


def cheek(kind: str) -> Callable[[float], float]:
    """Half the width of the pegbox at a height above the nut."""
    k = BOWED[kind].fine
    return lambda y: float(np.interp(y / k, [-60, -24, 0], [8.6, 10.6, 12.4])) * k


@lru_cache
def pegbox_mouth(kind: str) -> Path:
    """The open trough between the cheeks, from the front."""
    b = BOWED[kind]
    k, w = b.fine, b.board_nut / 24
    half = [(0, -60), (3, -59), (4.2, -54), (5, -38), (6.2, -18), (7, -7), (6, -4.6), (0, -4.4)]
    return both(
        smooth(half, closed=False)
        .scaled(k)
        .mapped(lambda x, y: (x * (1 + (w / k - 1) * float(np.interp(y / k, [-60, 0], [0, 1]))), y))
    )


def peg_places(kind: str) -> list[tuple[float, int]]:
    """Height above the nut and side (−1 bass, 1 treble) of each peg."""
    k = BOWED[kind].fine
    return [(-13 * k, -1), (-21.5 * k, 1), (-36 * k, -1), (-46 * k, 1)]


@lru_cache
def peg(kind: str) -> Path:
    """A peg lying to the right: shaft from x = 0, collar and thumb piece."""
    k = BOWED[kind].fine
    p = curve(
        (-13, -2.7), (12, -3.5), (12.4, -4.4), (14.4, -4.4), (15, -3.2),
        (17.4, -2.6, 18, -3.6, 19.6, -5.2), (22, -7.8, 27, -8, 30, -6), (32.4, -4.2, 32.8, -1.6, 33.4, -1.2),
        (34.6, -1.4, 34.6, 1.4, 33.4, 1.2), (32.8, 1.6, 32.4, 4.2, 30, 6), (27, 8, 22, 7.8, 19.6, 5.2),
        (18, 3.6, 17.4, 2.6, 15, 3.2), (14.4, 4.4), (12.4, 4.4), (12, 3.5), (-13, 2.7), closed=True,
    )  # fmt: skip
    return p.scaled(k)


@lru_cache
def machine(kind: str) -> Path:
    """A double bass machine head key, lying to the right from the pegbox cheek."""
    k = BOWED[kind].fine
    return smooth([(-4, -2), (9, -2), (13, -7), (21, -8.4), (26, -5), (23.4, 0), (26, 5), (21, 8.4),
                   (13, 7), (9, 2), (-4, 2)]).scaled(k * 0.86)  # fmt: skip


def eye(kind: str) -> Path:
    """The little disc in the middle of the volute."""
    k = BOWED[kind].fine
    return ellipse(-20.5 * k, -82.5 * k, 4 * k)
