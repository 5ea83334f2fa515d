"""Curves in millimetres: the one source of the sheets (SVG) and of the painted photographs.

Coordinates: x to the right, y down, so that a path can be written to SVG as it stands.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np
import numpy.typing as npt

Point = tuple[float, float]
Cubic = tuple[Point, Point, Point]
Points = npt.NDArray[np.float64]

#: Handle length that lets four cubics stand for a circle (the usual constant, 4/3·(√2−1)).
ROUND = 0.5522847498


@dataclass(frozen=True)
class Path:
    """A start point and cubic segments (two handles and an end each); closed unless said otherwise."""

    start: Point
    segments: tuple[Cubic, ...]
    closed: bool = True

    def mapped(self, where: Callable[[float, float], Point]) -> Path:
        """Every point and handle sent through ``where``."""
        return replace(
            self,
            start=where(*self.start),
            segments=tuple((where(*a), where(*b), where(*c)) for a, b, c in self.segments),
        )

    def moved(self, dx: float, dy: float) -> Path:
        """Shifted by millimetres."""
        return self.mapped(lambda x, y: (x + dx, y + dy))

    def scaled(self, sx: float, sy: float | None = None) -> Path:
        """Stretched about the origin; one factor stretches both ways."""
        tall = sx if sy is None else sy
        return self.mapped(lambda x, y: (x * sx, y * tall))

    def mirrored(self) -> Path:
        """Left and right exchanged about x = 0."""
        return self.scaled(-1, 1)

    def turned(self, degrees: float, about: Point = (0, 0)) -> Path:
        """Turned clockwise as seen on the page."""
        c, s = cos(degrees * pi / 180), sin(degrees * pi / 180)
        ax, ay = about
        return self.mapped(lambda x, y: (ax + (x - ax) * c - (y - ay) * s, ay + (x - ax) * s + (y - ay) * c))

    def reversed(self) -> Path:
        """The same line walked from its end."""
        ends = [self.start, *(s[2] for s in self.segments)]
        turned = tuple((b, a, ends[i]) for i, (a, b, _) in reversed(list(enumerate(self.segments))))
        return replace(self, start=ends[-1], segments=turned)

    def joined(self, other: Path) -> Path:
        """This line, then ``other``; a straight piece bridges any gap."""
        end = self.segments[-1][2] if self.segments else self.start
        gap = hypot(end[0] - other.start[0], end[1] - other.start[1])
        bridge = (straight(end, other.start),) if gap > 1e-6 else ()
        return replace(self, segments=(*self.segments, *bridge, *other.segments))

    def flat(self, steps: int = 12) -> Points:
        """Points along the line, ``steps`` per segment (n × 2)."""
        if not self.segments:
            return np.array([self.start], dtype=np.float64)
        curves = np.array(self.segments, dtype=np.float64)
        first = np.concatenate([[self.start], curves[:-1, 2]])[:, None]
        a, b, c = curves[:, 0, None], curves[:, 1, None], curves[:, 2, None]
        t = np.linspace(0, 1, steps + 1)[1:][None, :, None]
        dots = (1 - t) ** 3 * first + 3 * (1 - t) ** 2 * t * a + 3 * (1 - t) * t**2 * b + t**3 * c
        return np.concatenate([[self.start], dots.reshape(-1, 2)])

    def svg(self, digits: int = 2) -> str:
        """The ``d`` of an SVG path, to so many digits of a millimetre."""
        here, words = self.start, [f"M{_n(self.start, digits)}"]
        for a, b, c in self.segments:
            plain = a == here and b == c
            words.append(f"L{_n(c, digits)}" if plain else f"C{_n(a, digits)} {_n(b, digits)} {_n(c, digits)}")
            here = c
        return "".join(words) + ("Z" if self.closed else "")

    def between(self, low: float, high: float) -> Path | None:
        """The part of a closed shape with ``low`` ≤ x ≤ ``high``; itself when nothing is cut off, None when all is."""
        dots = self.flat(14)
        if dots[:, 0].min() >= low and dots[:, 0].max() <= high:
            return self
        for edge, side in ((low, 1.0), (high, -1.0)):
            dots = _cut(dots, edge, side)
            if len(dots) < 3:
                return None
        return polygon([(float(x), float(y)) for x, y in dots])

    def thinned(self, apart: float) -> Path:
        """A line of many straight pieces with fewer points, nowhere further than ``apart`` from the old one.

        Lines with curved pieces stay as they are.
        """
        if len(self.segments) < 24 or any(b != c for _, b, c in self.segments):
            return self
        dots = self.flat(1)
        kept = [(float(x), float(y)) for x, y in dots[_worth(dots, apart)]]
        return replace(polygon(kept, closed=False), closed=self.closed)


def _cut(dots: Points, edge: float, side: float) -> Points:
    """A ring of points cut along the upright line x = ``edge``; ``side`` 1 keeps what lies right of it, −1 left."""
    kept: list[Points] = []
    for a, b in zip(dots, np.roll(dots, -1, axis=0), strict=True):
        a_in, b_in = (a[0] - edge) * side >= 0, (b[0] - edge) * side >= 0
        if a_in:
            kept.append(a)
        if a_in != b_in:
            kept.append(a + (b - a) * ((edge - a[0]) / (b[0] - a[0])))
    return np.array(kept).reshape(-1, 2)


def _worth(dots: Points, apart: float) -> list[int]:
    """Indices worth keeping (Douglas and Peucker's way: keep the furthest point, then look at both halves)."""
    keep, todo = {0, len(dots) - 1}, [(0, len(dots) - 1)]
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        line = dots[b] - dots[a]
        long = float(np.hypot(line[0], line[1]))
        rel = dots[a + 1 : b] - dots[a]
        far = (
            np.abs(rel[:, 0] * line[1] - rel[:, 1] * line[0]) / long if long > 1e-9 else np.hypot(rel[:, 0], rel[:, 1])
        )
        i = int(far.argmax())
        if far[i] > apart:
            keep.add(a + 1 + i)
            todo += [(a, a + 1 + i), (a + 1 + i, b)]
    return sorted(keep)


def _n(p: Point, digits: int) -> str:
    return " ".join(f"{round(v, digits) + 0.0:.{digits}f}".rstrip("0").rstrip(".") for v in p)


def straight(a: Point, b: Point) -> Cubic:
    """A straight piece from ``a`` to ``b`` (handles on the ends)."""
    return (a, b, b)


def polygon(points: Sequence[Point], *, closed: bool = True) -> Path:
    """Straight lines through the points."""
    pts = [*points, points[0]] if closed else list(points)
    return Path(pts[0], tuple(straight(a, b) for a, b in pairwise(pts)), closed)


def curve(start: Point, *handles: tuple[float, ...], closed: bool = False) -> Path:
    """A path from rows of six numbers (cubic) or two (straight)."""
    here, out = start, []
    for row in handles:
        if len(row) == 2:
            out.append(straight(here, (row[0], row[1])))
        else:
            out.append(((row[0], row[1]), (row[2], row[3]), (row[4], row[5])))
        here = out[-1][2]
    return Path(start, tuple(out), closed)


def smooth(points: Sequence[Point], *, closed: bool = True, pull: float = 1 / 6) -> Path:
    """A curve through all points without a corner (Catmull-Rom written as cubics)."""
    n = len(points)

    def at(i: int) -> Point:
        return points[i % n] if closed else points[min(max(i, 0), n - 1)]

    out = []
    for i in range(n if closed else n - 1):
        p0, p1, p2, p3 = at(i - 1), at(i), at(i + 1), at(i + 2)
        a = (p1[0] + (p2[0] - p0[0]) * pull, p1[1] + (p2[1] - p0[1]) * pull)
        b = (p2[0] - (p3[0] - p1[0]) * pull, p2[1] - (p3[1] - p1[1]) * pull)
        out.append((a, b, p2))
    return Path(points[0], tuple(out), closed)


def both(half: Path) -> Path:
    """A half line from the middle at the top to the middle at the foot, and its mirror."""
    return replace(half.joined(half.mirrored().reversed()), closed=True)


def ellipse(x: float, y: float, rx: float, ry: float | None = None) -> Path:
    """An ellipse, or a circle with one radius."""
    q = rx if ry is None else ry
    k, h = rx * ROUND, q * ROUND
    return curve(
        (x, y - q),
        (x + k, y - q, x + rx, y - h, x + rx, y),
        (x + rx, y + h, x + k, y + q, x, y + q),
        (x - k, y + q, x - rx, y + h, x - rx, y),
        (x - rx, y - h, x - k, y - q, x, y - q),
        closed=True,
    )


def box(x: float, y: float, w: float, h: float, r: float = 0) -> Path:
    """A rectangle by its upper left corner, with round corners of radius ``r``."""
    if r <= 0:
        return polygon([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    k = r * (1 - ROUND)
    right, foot = x + w, y + h
    return curve(
        (x + r, y),
        (right - r, y),
        (right - k, y, right, y + k, right, y + r),
        (right, foot - r),
        (right, foot - k, right - k, foot, right - r, foot),
        (x + r, foot),
        (x + k, foot, x, foot - k, x, foot - r),
        (x, y + r),
        (x, y + k, x + k, y, x + r, y),
        closed=True,
    )


def ribbon(points: Sequence[Point] | Points, widths: Sequence[float] | float) -> Path:
    """A closed band along a line, ``widths`` wide at each point (or one width for all)."""
    line = np.asarray(points, dtype=np.float64)
    wide = np.full(len(line), widths) if isinstance(widths, (int, float)) else np.asarray(widths)
    along = np.gradient(line, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)[:, None]
    side = np.stack([-along[:, 1], along[:, 0]], axis=1) * (wide / 2)[:, None]
    ring = np.concatenate([line + side, (line - side)[::-1]])
    return polygon([(float(x), float(y)) for x, y in ring])
