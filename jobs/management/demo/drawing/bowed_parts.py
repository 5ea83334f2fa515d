"""Necks, boards, bridges and fittings of the bowed instruments, seen from front, back and side.

Front and back share one drawing seen from the front; the side drawing has x as depth, growing
towards the strings, with x = 0 where the front meets the ribs.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from jobs.management.demo.drawing import scrolls
from jobs.management.demo.drawing.bowed import BOWED
from jobs.management.demo.drawing.shapes import Path, Point, both, box, curve, polygon, ribbon, smooth

#: Depth from the rib plane of the board's surface at the nut and over the body edge, violin size.
_NUT_DEEP, _EDGE_DEEP = 2.0, 17.5


@lru_cache
def neck_front(kind: str) -> Path:
    """The neck as seen behind the board, nut to heel."""
    b = BOWED[kind]
    n, e = b.board_nut / 2, b.board_nut / 2 + (b.board_end - b.board_nut) / 2 * b.neck / b.board
    return polygon([(-n, -b.neck - 2), (n, -b.neck - 2), (e, 1.5 * b.fine), (-e, 1.5 * b.fine)])


@lru_cache
def neck_back(kind: str) -> Path:
    """The neck from the back, its heel drawn in to the width of the button."""
    b = BOWED[kind]
    k, n = b.fine, b.board_nut / 2 - 0.6 * b.fine
    e = b.board_nut / 2 + (b.board_end - b.board_nut) / 2 * b.neck / b.board - 0.8 * k
    half = curve((0, -b.neck - 4), (n, -b.neck - 4), (e, -30 * k), (e, -16 * k, 11 * k, -12 * k, 10.4 * k, 2), (0, 2))
    return both(half)


@lru_cache
def board(kind: str) -> Path:
    """Fingerboard from the front."""
    b = BOWED[kind]
    n, e, y = b.board_nut / 2, b.board_end / 2, -b.neck
    return curve((-n, y), (n, y), (e, y + b.board - 1), (e * 0.4, y + b.board + 1.5, -e * 0.4,
                 y + b.board + 1.5, -e, y + b.board - 1), closed=True)  # fmt: skip


@lru_cache
def nut(kind: str) -> Path:
    """Top nut from the front."""
    b = BOWED[kind]
    k, n = b.fine, b.board_nut / 2
    return box(-n, -b.neck - 5 * k, 2 * n, 5.4 * k, 1.2 * k)


@lru_cache
def bridge_above(kind: str) -> Path:
    """The bridge looked down on: a slim lens across the body."""
    b = BOWED[kind]
    w, k = b.bridge_wide / 2, b.fine
    return curve((-w, b.stop - 2 * k), (-w * 0.5, b.stop - 5 * k, w * 0.5, b.stop - 5 * k, w, b.stop - 2 * k),
                 (w, b.stop + 2.4 * k), (w * 0.5, b.stop + 1 * k, -w * 0.5, b.stop + 1 * k, -w,
                 b.stop + 2.4 * k), closed=True)  # fmt: skip


@lru_cache
def tailpiece(kind: str) -> Path:
    """Tailpiece from the front."""
    b = BOWED[kind]
    top = b.body - 4 * b.fine - b.tail
    w, t = b.tail_wide / 2, b.tail
    half = curve((0, top), (w * 0.5, top, w * 0.86, top + 2, w * 0.94, top + 5 * b.fine),
                 (w * 1.04, top + 0.14 * t, w * 0.96, top + 0.2 * t, w * 0.9, top + 0.3 * t),
                 (w * 0.46, top + t - 3), (w * 0.4, top + t, w * 0.2, top + t, 0, top + t))  # fmt: skip
    return both(half)


def string_lines(kind: str) -> list[list[Point]]:
    """Each string from peg to tailpiece, bass side first."""
    b = BOWED[kind]
    nut_half, bridge_half = b.board_nut * 0.34, b.bridge_wide * 0.405
    tail_half = b.tail_wide * 0.33
    top = b.body - 4 * b.fine - b.tail
    out = []
    for i in range(4):
        s = (i - 1.5) / 1.5
        peg_y = -b.neck + [scrolls.peg_places(kind)[j] for j in (0, 2, 3, 1)][i][0]
        out.append([(s * 3.2 * b.fine, peg_y), (s * nut_half, -b.neck - 2), (s * bridge_half, b.stop),
                    (s * tail_half, top + 0.1 * b.tail)])  # fmt: skip
    return out


@lru_cache
def button(kind: str) -> Path:
    """Button of the back, standing up from the upper edge."""
    k = BOWED[kind].fine * (0.92 if kind == "bass" else 1)
    return curve((-10.4 * k, 3), (-11 * k, -4.6 * k, -7.6 * k, -13 * k, 0, -13 * k),
                 (7.6 * k, -13 * k, 11 * k, -4.6 * k, 10.4 * k, 3), closed=True)  # fmt: skip


@lru_cache
def bridge_face(kind: str) -> tuple[Path, tuple[Path, ...]]:
    """Bridge standing, seen along the strings (feet at y = 0), and the holes cut in it."""
    b = BOWED[kind]
    sx, sy = b.bridge_wide / 41.5, b.bridge_high / 33
    half = curve(
        (0, -33), (7, -32.9, 13, -31, 17.4, -27.6), (18.8, -26, 18, -24.4, 15.6, -22.6),
        (12.4, -20.4, 14.4, -17.4, 16.8, -17.6), (19, -17.8, 19.4, -16, 18.2, -13.4),
        (16, -9.6, 13.6, -8.4, 13.4, -5.6), (13.6, -3.4, 18, -2.6, 20.75, -1.2), (20.75, 0),
        (9.6, 0), (8.6, -2.2, 8.2, -5.4, 7.4, -7.4), (6, -9.8, 2.4, -9.6, 0, -9.2),
    )  # fmt: skip
    heart = smooth([(0, -21.6), (2.4, -24.4), (4.8, -22.6), (4.2, -19), (1.4, -15.4), (0, -14), (-1.4, -15.4),
                    (-4.2, -19), (-4.8, -22.6), (-2.4, -24.4)])  # fmt: skip
    kidney = smooth([(10.4, -16.4), (13.2, -15.8), (15.4, -14), (13.4, -12), (10.2, -11.6), (8.8, -13.8)])
    place = [p.scaled(sx, sy) for p in (heart, kidney, kidney.mirrored())]
    return both(half).scaled(sx, sy), tuple(place)


@lru_cache
def ribs_side(kind: str) -> Path:
    """Rib band from the side; the double bass back bends in towards the heel."""
    b = BOWED[kind]
    slim = {"bass": 0.74}.get(kind, 0.97)
    return curve((0, 0), (0, b.body), (-b.ribs, b.body), (-b.ribs, b.body * 0.42),
                 (-b.ribs * slim, 0), closed=True)  # fmt: skip


@lru_cache
def plates_side(kind: str) -> tuple[Path, Path]:
    """Edge and arch of the front and of the back, from the side."""
    b = BOWED[kind]
    k, edge, over = b.fine, 4 * b.fine, 2.5 * b.fine
    arch = b.arch

    def plate(high: float) -> Path:
        y0, y1 = -over, b.body + over
        return curve(
            (0, y0), (edge * 0.7, y0), (edge, y0 + k * 1.2), (edge, 10 * k),
            (edge + high * 0.5, b.body * 0.1, high, b.body * 0.2, high, b.body * 0.45),
            (high, b.body * 0.75, edge + high * 0.45, b.body * 0.92, edge, b.body - 10 * k),
            (edge, y1 - k * 1.2), (edge * 0.7, y1), (0, y1), closed=True,
        )  # fmt: skip

    back = plate(edge * 1.15 if kind == "bass" else arch).mirrored()
    slim = b.ribs * (0.26 if kind == "bass" else 0.03)
    return plate(arch), back.mapped(
        lambda x, y: (x - b.ribs + slim * float(np.interp(y, [0, b.body * 0.42], [1, 0])), y)
    )


@lru_cache
def neck_side(kind: str) -> Path:
    """Neck and heel from the side, nut to button."""
    b = BOWED[kind]
    k, n = b.fine, -b.neck
    deep = b.ribs * (0.74 if kind == "bass" else 0.97) + 4 * k
    slope = (_EDGE_DEEP - _NUT_DEEP) * k / b.neck
    top = -7 * k
    return curve(
        (_NUT_DEEP * k + top + 2 * k, n - 1), (_EDGE_DEEP * k + top, 0), (2 * k, 2 * k), (-deep, 0),
        (-deep, -13 * k), (-deep * 0.6, -14 * k, -10 * k, -16 * k, -7.6 * k, -30 * k),
        (-19.5 * k + slope * 8 + 2 * k, n - 12 * k + 24 * k), (-19.5 * k, n + 2), closed=True,
    )  # fmt: skip


@lru_cache
def board_side(kind: str) -> Path:
    """Fingerboard from the side, overhanging the front."""
    b = BOWED[kind]
    k = b.fine
    slope = (_EDGE_DEEP - _NUT_DEEP) * k / b.neck
    far = _EDGE_DEEP * k + slope * (b.board - b.neck)
    thick = 6.4 * k
    return polygon([(_NUT_DEEP * k, -b.neck), (far, b.board - b.neck), (far - thick, b.board - b.neck),
                    (_NUT_DEEP * k - thick, -b.neck)])  # fmt: skip


def string_side(kind: str) -> list[Point]:
    """The outline of the strings from the side: nut, bridge top, tailpiece."""
    b = BOWED[kind]
    top = b.body - 4 * b.fine - b.tail
    return [(_NUT_DEEP * b.fine + 1, -b.neck), (b.arch + b.bridge_high, b.stop),
            (b.arch + b.bridge_high * 0.6, top + 3 * b.fine)]  # fmt: skip


@lru_cache
def bridge_side(kind: str) -> Path:
    """Bridge from the side: flat towards the tail, rounded towards the board."""
    b = BOWED[kind]
    k, t = b.fine, b.arch + b.bridge_high
    return curve((b.arch - 2, b.stop - 3 * k), (b.arch + 0.6 * b.bridge_high, b.stop - 2.4 * k, t,
                 b.stop - 0.4 * k, t, b.stop), (t, b.stop + 1.2 * k), (b.arch - 2, b.stop + 2.2 * k),
                 closed=True)  # fmt: skip


@lru_cache
def tail_side(kind: str) -> Path:
    """Tailpiece from the side."""
    b = BOWED[kind]
    k, top = b.fine, b.body - 4 * b.fine - b.tail
    high = b.arch + b.bridge_high * 0.6
    foot = 9 * k
    return curve((high + 1.5 * k, top), (high + 2.4 * k, top + 4 * k), (foot + 5 * k, b.body - 3 * k),
                 (foot, b.body - 3 * k), (foot + 3 * k, b.body - 0.4 * b.tail, high - 5 * k, top + 14 * k,
                 high - 3 * k, top), closed=True)  # fmt: skip


@lru_cache
def end_fitting(kind: str) -> tuple[Path, ...]:
    """End button, or collar and endpin, about x = 0 from the lower edge down."""
    b = BOWED[kind]
    if not b.pin:
        return (curve((-3.4, b.body - 1), (-3.4, b.body + 4), (-6.8, b.body + 5, -7, b.body + 11, 0,
                b.body + 11.6), (7, b.body + 11, 6.8, b.body + 5, 3.4, b.body + 4),
                (3.4, b.body - 1), closed=True),)  # fmt: skip
    r = 4.5 if kind == "cello" else 6
    collar = box(-3.4 * r, b.body - 2, 6.8 * r, 30 * b.fine, 4)
    rod = ribbon([(0, b.body + 10), (0, b.body + b.pin - 14), (0, b.body + b.pin)], [2 * r, 2 * r, 1.4])
    return (rod, collar)
