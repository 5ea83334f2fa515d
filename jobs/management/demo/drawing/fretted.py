"""Guitars and mandolin: proportions and the shapes of their parts.

Origin as for the bowed instruments: middle of the front at the upper edge of the body, y down.
Lengths are ordinary workshop figures (common practice, no source); frets stand by equal temperament.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from jobs.management.demo.drawing.shapes import Path, Point, both, box, curve, ellipse, polygon, smooth


@dataclass(frozen=True)
class Fretted:
    """Lengths in millimetres; ``joint`` is the fret at the edge of the body."""

    kind: str
    body: float
    lower: float
    ribs_heel: float
    ribs_tail: float
    scale: float
    joint: int
    frets: int
    board_nut: float
    board_end: float
    head: float
    head_wide: float
    courses: int
    hole_y: float
    hole: float

    @property
    def neck(self) -> float:
        """Nut to the edge of the body."""
        return fret(self.scale, self.joint)

    @property
    def stop(self) -> float:
        """Edge of the body to the saddle."""
        return self.scale - self.neck

    @property
    def length(self) -> float:
        """Top of the head to the lower edge."""
        return self.head + self.neck + self.body


def fret(scale: float, number: int) -> float:
    """Nut to fret, in the unit of ``scale`` (equal temperament: scale × (1 − 2^(−n/12)))."""
    return float(scale * (1 - 2.0 ** (-number / 12)))


FRETTED = {
    g.kind: g
    for g in (
        Fretted("guitar-classical", 487, 366, 93, 99, 650, 12, 19, 52, 62, 196, 76, 6, 148, 86),
        Fretted("guitar-steel", 502, 400, 98, 118, 645, 14, 20, 44, 57, 182, 78, 6, 146, 100),
        Fretted("mandolin", 342, 256, 46, 48, 350, 13, 22, 29, 40, 152, 78, 8, 150, 0),
    )
}

_HALF = {
    "guitar-classical": curve(
        (0, 0), (30, 0, 56, -1, 84, 7), (124, 19, 141, 56, 141, 96), (141, 138, 118, 154, 118, 194),
        (118, 246, 183, 266, 183, 354), (183, 442, 112, 487, 0, 487),
    ),
    "guitar-steel": curve(
        (0, 0), (34, 0, 64, -1, 94, 6), (132, 16, 147, 54, 147, 96), (147, 142, 124, 158, 124, 200),
        (124, 250, 200, 274, 200, 366), (200, 456, 124, 502, 0, 502),
    ),
    "mandolin": curve(
        (0, 0), (14, 0, 24, 2, 34, 10), (62, 34, 128, 96, 128, 204), (128, 290, 72, 342, 0, 342),
    ),
}  # fmt: skip


@lru_cache
def body(kind: str) -> Path:
    """Outline of front and back."""
    return both(_HALF[kind])


@lru_cache
def inset(kind: str, by: float) -> Path:
    """The outline drawn in by ``by`` mm (binding, purfling)."""
    ring = body(kind).flat(14)
    ring = ring[np.hypot(*np.diff(ring, axis=0, append=ring[:1]).T) > 1e-6]
    along = np.roll(ring, -1, 0) - np.roll(ring, 1, 0)
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    moved = ring + np.stack([-along[:, 1], along[:, 0]], axis=1) * by
    return polygon([(float(x), float(y)) for x, y in moved])


@lru_cache
def head(kind: str) -> Path:
    """Headstock from the front, from the nut upwards (y < 0), origin at the nut."""
    g = FRETTED[kind]
    n, w, h = g.board_nut / 2, g.head_wide / 2, -g.head
    if kind == "guitar-classical":
        half = curve((0, h + 3), (8, h, 14, h - 4, 20, h + 2), (25, h + 7, 31, h + 3, w - 4, h + 5),
                     (w, h + 7, w - 1, h + 16, w - 1, h + 24), (w - 4, -32), (w - 6, -20, n + 1, -12, n, 0),
                     (0, 0))  # fmt: skip
    elif kind == "guitar-steel":
        half = curve((0, h), (14, h, 26, h + 3, w, h + 7), (w - 4, -30), (w - 6, -18, n + 2, -12, n, 0),
                     (0, 0))  # fmt: skip
    else:
        half = curve((0, h + 9), (5, h + 4, 8, h, 16, h), (24, h, 25, h + 8, 34, h + 4),
                     (w + 1, h + 1, w + 2, h + 12, w - 3, h + 20), (w - 9, h + 36, w - 3, h + 60, w - 2, -34),
                     (w - 3, -20, n + 2, -14, n, 0), (0, 0))  # fmt: skip
    return both(half)


def posts(kind: str) -> list[Point]:
    """Where the strings are wound, bass side first from the nut, origin at the nut."""
    g = FRETTED[kind]
    rows = g.courses // 2
    first, step = {"guitar-classical": (-52, 44), "guitar-steel": (-42, 47), "mandolin": (-36, 26)}[kind]
    side = {"guitar-classical": 0.43, "guitar-steel": 0.31, "mandolin": 0.28}[kind] * g.head_wide
    spots = [float(first - step * i) for i in range(rows)]
    return [(-side, y) for y in spots] + [(side, y) for y in reversed(spots)]


@lru_cache
def slots(kind: str) -> tuple[Path, ...]:
    """The two windows of a slotted head; none in a solid one."""
    if kind != "guitar-classical":
        return ()
    one = box(12.5, -160, 15, 128, 7.5)
    return (one, one.mirrored())


@lru_cache
def knob(kind: str) -> Path:
    """A tuning knob lying to the right of its post's side of the head."""
    long = {"guitar-classical": 21, "guitar-steel": 25, "mandolin": 20}[kind]
    return smooth([(-2, -1.7), (long * 0.4, -1.8), (long * 0.48, -5.4), (long * 0.72, -7.6), (long, -6),
                   (long + 2, 0), (long, 6), (long * 0.72, 7.6), (long * 0.48, 5.4), (long * 0.4, 1.8),
                   (-2, 1.7)])  # fmt: skip


@lru_cache
def neck_front(kind: str) -> Path:
    """Neck from nut to body."""
    g = FRETTED[kind]
    n, e = g.board_nut / 2, board_half(kind, 0)
    return polygon([(-n, -g.neck - 2), (n, -g.neck - 2), (e, 2), (-e, 2)])


@lru_cache
def heel_back(kind: str) -> Path:
    """The heel's foot on the back, narrowing to a rounded cap."""
    w = board_half(kind, 0)
    low = 20.0 if kind != "mandolin" else 14.0
    return both(
        curve((0, -24), (w, -24), (w, -4, w * 0.8, low - 6, w * 0.46, low - 2), (w * 0.3, low, w * 0.15, low, 0, low))
    )


def board_half(kind: str, y: float) -> float:
    """Half the board's width at ``y``."""
    g = FRETTED[kind]
    end = fret(g.scale, g.frets) - g.neck
    return float(np.interp(y, [-g.neck, end], [g.board_nut / 2, g.board_end / 2]))


@lru_cache
def board(kind: str) -> Path:
    """Fingerboard from the front; it ends at the edge of the sound hole."""
    g = FRETTED[kind]
    end = fret(g.scale, g.frets) - g.neck + (6 if kind != "mandolin" else 4)
    n, e = g.board_nut / 2, g.board_end / 2
    if g.hole:
        r = g.hole / 2 + 1
        sag = g.hole_y - (r * r - e * e) ** 0.5
        mid = g.hole_y - r
        return curve((-n, -g.neck), (n, -g.neck), (e, sag), (e * 0.55, mid - 1, -e * 0.55, mid - 1, -e, sag),
                     closed=True)  # fmt: skip
    return curve((-n, -g.neck), (n, -g.neck), (e, end), (e * 0.5, end + 4, -e * 0.2, end + 12, -e, end + 14),
                 closed=True)  # fmt: skip


def frets(kind: str) -> list[tuple[float, float]]:
    """(y, half width) of each fret."""
    g = FRETTED[kind]
    at = [fret(g.scale, n) - g.neck for n in range(1, g.frets + 1)]
    return [(y, board_half(kind, y)) for y in at]


def dots(kind: str) -> list[Point]:
    """Position dots in the board; a classical board has none."""
    g = FRETTED[kind]
    if kind == "guitar-classical":
        return []
    side = g.board_nut * 0.22
    spots: list[tuple[float, int]] = [(0.0, n) for n in (3, 5, 7, 9 if g.courses == 6 else 10, 15, 17)]
    spots += [(-side, 12), (side, 12)]
    return [(x, (fret(g.scale, n) + fret(g.scale, n - 1)) / 2 - g.neck) for x, n in spots]


@lru_cache
def nut(kind: str) -> Path:
    """Top nut."""
    g = FRETTED[kind]
    return box(-g.board_nut / 2, -g.neck - 5, g.board_nut, 5, 0.8)


@lru_cache
def bridge(kind: str) -> Path:
    """Bridge from the front."""
    y = FRETTED[kind].stop
    if kind == "guitar-classical":
        return both(curve((0, y - 9), (41, y - 9), (42, y - 4), (94, y - 3.4), (95, y + 14), (42, y + 15),
                          (41, y + 21), (0, y + 21)))  # fmt: skip
    if kind == "guitar-steel":
        return both(curve((0, y - 12), (46, y - 11), (60, y - 10.6, 64, y - 9, 76, y - 6), (78, y + 10),
                          (70, y + 14, 62, y + 15, 46, y + 18), (34, y + 26, 20, y + 28, 0, y + 28)))  # fmt: skip
    return both(curve((0, y - 5), (48, y - 4), (52, y - 3, 54, y, 56, y + 1), (52, y + 4), (0, y + 5)))


@lru_cache
def saddle(kind: str) -> Path:
    """The bone in the bridge; steel strings want it a little aslant."""
    g = FRETTED[kind]
    half = {"guitar-classical": 40.0, "guitar-steel": 36.5, "mandolin": 42.0}[kind]
    lean = 2.5 if kind == "guitar-steel" else 0.3
    return polygon([(-half, g.stop - 1.4 + lean), (half, g.stop - 1.4 - lean), (half, g.stop + 1.4 - lean),
                    (-half, g.stop + 1.4 + lean)])  # fmt: skip


@lru_cache
def guard(kind: str) -> Path | None:
    """The plate that saves the front from the plectrum."""
    if kind != "guitar-steel":
        return None
    return smooth([(44, 122), (52, 146), (47, 170), (34, 188), (46, 232), (84, 246), (104, 228), (98, 188),
                   (84, 148), (70, 120), (56, 108)])  # fmt: skip


def string_lines(kind: str) -> list[list[Point]]:
    """Each string from post to bridge (or tailpiece), bass side first."""
    g = FRETTED[kind]
    nut_half = g.board_nut * 0.42
    bridge_half = {"guitar-classical": 29.0, "guitar-steel": 27.5, "mandolin": 19.0}[kind]
    out = []
    for i, (px, py) in enumerate(posts(kind)):
        s = (i - (g.courses - 1) / 2) / ((g.courses - 1) / 2)
        if kind == "mandolin":
            pair = i // 2
            s = (pair - 1.5) / 1.5 + (0.05 if i % 2 else -0.05)
        end = g.stop + (6 if g.hole else 0)
        line = [(px * 0.93, -g.neck + py), (s * nut_half, -g.neck - 2), (s * bridge_half, end)]
        if kind == "guitar-steel":
            line[-1] = (s * bridge_half, g.stop + 12)
        if not g.hole:
            line.append((s * 11, g.body - 46))
        out.append(line)
    return out


def pins(kind: str) -> list[Point]:
    """Bridge pins of a steel-string guitar."""
    if kind != "guitar-steel":
        return []
    return [(line[-1][0], FRETTED[kind].stop + 12) for line in string_lines(kind)]


@lru_cache
def tail(kind: str) -> Path | None:
    """Mandolin tailpiece: a pressed metal cover at the lower edge."""
    if kind != "mandolin":
        return None
    y = FRETTED[kind].body
    return both(curve((0, y - 52), (10, y - 52, 17, y - 48, 17, y - 40), (19, y - 26, 14, y - 12, 19, y + 2),
                      (0, y + 3)))  # fmt: skip


@lru_cache
def sound_holes(kind: str) -> tuple[Path, ...]:
    """The round hole, or a mandolin's two f-holes."""
    from_violin = FRETTED[kind]
    if from_violin.hole:
        return (ellipse(0, from_violin.hole_y, from_violin.hole / 2),)
    slim = smooth([(44, 118), (48.4, 112), (55, 114), (57.4, 122), (58, 138), (62, 156), (66, 174), (72, 182),
                   (79, 179), (78, 172), (73.4, 176), (69.6, 172), (67.6, 156), (64, 136), (63, 120),
                   (58, 107), (47, 106), (42, 114)])  # fmt: skip
    return (slim.mirrored(), slim)
