"""Violin, viola, cello and double bass: proportions and the shapes of their parts.

Origin: where the middle of the front meets the upper edge of the body; y runs down to the endpin.
Lengths are ordinary workshop figures (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from jobs.management.demo.drawing.shapes import Path, Point, both, curve, polygon, ribbon, smooth


@dataclass(frozen=True)
class Bowed:
    """Lengths in millimetres; widths are whole widths."""

    kind: str
    body: float
    upper: float
    waist: float
    lower: float
    ribs: float
    arch: float
    neck: float  # nut to the edge of the body
    head: float  # nut to the top of the scroll
    stop: float  # edge of the body to the bridge
    board: float  # length of the fingerboard
    board_nut: float
    board_end: float
    bridge_wide: float
    bridge_high: float
    tail: float  # length of the tailpiece
    tail_wide: float
    pin: float = 0  # endpin showing
    geared: bool = False

    @property
    def fine(self) -> float:
        """Size against the violin, for small parts."""
        return self.head / 107

    @property
    def length(self) -> float:
        """Scroll to the lower edge."""
        return self.head + self.neck + self.body


BOWED = {
    b.kind: b
    for b in (
        Bowed("violin", 355, 168, 111, 208, 31, 15, 130, 107, 195, 270, 24, 42.5, 41.5, 33, 109, 41),
        Bowed("viola", 408, 191, 128, 240, 38, 17, 148, 122, 221, 308, 25, 48, 48, 37, 126, 47),
        Bowed(
            "cello", 757, 344, 232, 438, 118, 26, 280, 208, 405, 582, 32, 64, 91, 91, 236, 72, pin=240
        ),
        Bowed(
            "bass", 1110, 512, 366, 664, 200, 34, 440, 300, 610, 850, 43, 88, 152, 158, 330, 104,
            pin=230, geared=True,
        ),
    )
}  # fmt: skip

_VIOLIN = curve(
    (0, 0),
    (12, 0, 22, -1.6, 34, 2),
    (64, 10, 84, 36, 84, 69),
    (84, 91, 75, 101, 72.6, 111),
    (71.4, 117, 73.4, 121.6, 79.2, 124.6),
    (77.6, 131),
    (67, 135, 55.5, 152, 55.5, 175),
    (55.5, 200, 69, 216.5, 91.4, 219.6),
    (92.8, 226.6),
    (88.6, 230, 87.8, 236, 91.4, 244),
    (98.6, 258, 104, 269, 104, 287),
    (104, 330, 63, 355, 0, 355),
)
_BASS = curve(
    (0, 0),
    (20, 0, 26, 3, 36, 12),
    (62, 46, 118, 92, 178, 158),
    (228, 212, 256, 262, 256, 322),
    (256, 362, 240, 384, 236, 408),
    (234, 424, 239, 434, 252, 442),
    (247, 458),
    (214, 470, 183, 520, 183, 584),
    (183, 650, 224, 696, 279, 706),
    (283, 724),
    (272, 734, 270, 748, 280, 768),
    (306, 806, 332, 846, 332, 906),
    (332, 1032, 206, 1110, 0, 1110),
)


@lru_cache
def body(kind: str) -> Path:
    """Outline of the front and back plates."""
    b = BOWED[kind]
    if kind == "bass":
        return both(_BASS)
    down = b.body / 355
    ys = [0, 69, 175, 287, 355]
    xs = [b.upper / 168, b.upper / 168, b.waist / 111, b.lower / 208, b.lower / 208]
    return both(_VIOLIN.mapped(lambda x, y: (x * float(np.interp(y, ys, xs)), y * down)))


@lru_cache
def inset(kind: str, by: float) -> Path:
    """The body outline drawn in by ``by`` mm all round (purfling, ribs)."""
    ring = body(kind).flat(18)
    keep = np.hypot(*np.diff(ring, axis=0, append=ring[:1]).T) > 1e-6
    ring = ring[keep]
    along = np.roll(ring, -1, 0) - np.roll(ring, 1, 0)
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    moved = ring + np.stack([-along[:, 1], along[:, 0]], axis=1) * by
    # Where the line would cross itself (corner tips), points come closer to the edge than ``by``.
    apart = np.hypot(moved[:, None, 0] - ring[None, :, 0], moved[:, None, 1] - ring[None, :, 1])
    moved = moved[apart.min(axis=1) > abs(by) * 0.97]
    return polygon([(float(x), float(y)) for x, y in moved])


def _f(line: list[Point], stem: list[float], eyes: tuple[float, float]) -> Path:
    """A sound hole: a band along ``line`` that swells into a round eye at each end."""
    centre = smooth(line, closed=False).flat(10)
    run = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(centre, axis=0).T))])
    wide = np.interp(run / run[-1], np.linspace(0, 1, len(stem)), stem)
    for r, from_end in zip(eyes, (run, run[-1] - run), strict=True):
        disc = 2 * np.sqrt(np.clip(r * r - (from_end - r) ** 2, 0, None))
        wide = np.where(from_end < 2 * r, np.maximum(disc, np.where(from_end < r, 0, wide)), wide)
    return ribbon(centre, [float(w) for w in wide])


@lru_cache
def sound_holes(kind: str) -> tuple[Path, Path]:
    """Bass and treble f-hole; the notch that marks the bridge is :func:`notches`."""
    b = BOWED[kind]
    line = [(24.6, 165), (23.6, 158.6), (27.6, 153.4), (33.6, 156), (35.6, 166), (36.2, 180),
            (38.8, 196), (42.6, 211), (46.2, 224), (51.6, 231.4), (58, 228), (57.4, 220.4),
            (52.6, 217.6)]  # fmt: skip
    hole = _f(line, [2.2, 2.2, 2.4, 4.6, 6, 6.6, 6.4, 5.2, 3.2, 2.4, 2.6], (3.4, 4.6))
    k = b.body / 355
    wide = 0.5 * (b.waist / 111 + b.lower / 208)
    right = hole.mapped(lambda x, y: (x * wide, (y - 195) * k + b.stop))
    return right.mirrored(), right
