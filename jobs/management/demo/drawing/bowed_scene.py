"""Violin, viola, cello, bass laid under the camera: from the front, the back and the side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from jobs.management.demo.drawing import bowed, bowed_parts, scroll_scene
from jobs.management.demo.drawing.light import Form, arched, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Path, Point, box, ellipse, polygon, ribbon, smooth
from jobs.management.demo.drawing.skins import BRIDGE, EBONY, GOLD, Rgb, Woods, times

_DARK: Rgb = (18, 10, 6)
_WINDINGS: tuple[Rgb, ...] = ((196, 196, 196), (184, 180, 172), (206, 204, 200), (214, 206, 186))


@dataclass(frozen=True)
class Setup:
    """What is on the instrument."""

    strings: bool = True
    bridge: bool = True
    chinrest: bool = False
    pin: bool = True  # endpin drawn out
    missing: int = -1  # a string that is off


def purfling(picture: Picture, path: Path, fine: float) -> None:
    """Dark, light, dark line let into the edge."""
    ring = [tuple(p) for p in path.flat(1)]
    closed = [*ring, ring[0]]
    picture.lines([closed], 1.15 * fine, (32, 20, 12), 0.85)
    picture.lines([closed], 0.42 * fine, (176, 130, 76), 0.8)


def edge_light(picture: Picture, inset: Path, fine: float) -> None:
    """Where the rounded edge catches the lamp, and where it turns away; ``inset`` lies just inside the edge."""
    ring = inset.flat(1)
    along = np.diff(ring, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-6)[:, None]
    faces = along[:, 1] * picture.lamp.x - along[:, 0] * picture.lamp.y
    picture.glints(ring, np.clip(faces, 0, 1) * 0.5, 0.9 * fine, (255, 226, 184))
    picture.glints(ring, np.clip(-faces, 0, 1) * 0.5, 0.9 * fine, (20, 8, 4))


Marks = Callable[[], None]


def front(
    picture: Picture,
    kind: str,
    w: Woods,
    setup: Setup = Setup(),
    *,
    marks: Marks | None = None,
    board_marks: Marks | None = None,
) -> None:
    """The whole instrument from the front; the marks are painted on the front and on the board, under what lies on them."""
    b, p = bowed.BOWED[kind], bowed_parts
    k, shape = b.fine, bowed.body(kind)
    if b.pin:
        rod, collar = p.end_fitting(kind)
        if setup.pin:
            picture.part(
                rod, GOLD.but(dark=(90, 90, 92), mid=(150, 150, 152), light=(214, 214, 216)), rounded(4), lift=14 * k
            )
        picture.part(collar, EBONY.but(gloss=0.5), rounded(9), lift=14 * k)
    scroll_scene.head(picture, kind, w, front_side=True)
    worn: list[tuple[Point, float, float]] = [
        ((0, b.stop + b.bridge_wide * 0.3), b.lower * 0.34, 0.5 * w.worn),
        ((b.upper * 0.33, b.body * 0.16), b.upper * 0.2, 0.7 * w.worn),
    ]
    picture.part(shape, w.top, arched(b.arch, b.waist * 0.45, k), lift=b.ribs * 0.6, dark=0.62, worn=worn)
    purfling(picture, bowed.inset(kind, 4.4 * k), k)
    edge_light(picture, bowed.inset(kind, 0.9 * k), k)
    picture.lines([[(0, 0), (0, b.body)]], 0.18 * k, (40, 18, 8), 0.5)
    for hole in bowed.sound_holes(kind):
        picture.fill([hole], (228, 180, 120), 0.55)
        picture.fill([hole.moved(-0.55 * k, -0.5 * k)], (22, 12, 8), 0.97)
    _notches(picture, kind)
    if marks:
        marks()
    if not b.pin:
        picture.part(p.end_fitting(kind)[0], w.fittings, rounded(6), lift=8)
    picture.part(box(-11 * k, b.body - 5.6 * k, 22 * k, 6.2 * k, 1.4 * k), EBONY, rounded(2.4 * k), lift=1.5 * k)
    _board(picture, kind, w)
    if board_marks:
        board_marks()
    if setup.strings:
        _string_shadows(picture, kind)
    if setup.bridge:
        picture.part(p.bridge_above(kind), BRIDGE, rounded(1.8 * k), lift=b.bridge_high * 0.3, dark=0.5, tone=1.06)
        picture.shadow([p.bridge_above(kind).moved(1.5 * k, 3 * k)], b.bridge_high * 0.25, 0.35)
    if setup.strings:
        _tail(picture, kind, w)
        _strings(picture, kind, setup)
    if setup.chinrest:
        chinrest(picture, kind, w)


def _notches(picture: Picture, kind: str) -> None:
    b = bowed.BOWED[kind]
    k, wide = b.body / 355, 0.5 * (b.waist / 111 + b.lower / 208)
    cuts = []
    for side in (-1, 1):
        for x0, x1 in ((34.4, 31.6), (41.6, 44.6)):
            cuts.append([(side * x0 * wide, b.stop), (side * x1 * wide, b.stop)])
    picture.lines(cuts, 1.1 * k, _DARK, 0.9)


def _board(picture: Picture, kind: str, w: Woods) -> None:
    b, p = bowed.BOWED[kind], bowed_parts
    k = b.fine
    picture.part(p.neck_front(kind), w.neck, rounded(8 * k), lift=10 * k)
    picture.part(p.board(kind), w.board, rounded(b.board_end * 0.5), lift=11 * k, dark=0.7, deep=0.55, tone=1.15)
    picture.part(p.nut(kind), EBONY.but(gloss=0.4), rounded(2 * k), lift=1.2 * k)


def _tail(picture: Picture, kind: str, w: Woods) -> None:
    b, p = bowed.BOWED[kind], bowed_parts
    k, top = b.fine, b.body - 4 * b.fine - b.tail
    gut = [[(s * 3.4 * k, b.body - 8 * k), (s * 3.4 * k, b.body + 3 * k)] for s in (-1, 1)]
    picture.lines(gut, 1.8 * k, (20, 18, 16))
    picture.part(
        p.tailpiece(kind), w.fittings.but(gloss=0.55), rounded(b.tail_wide * 0.36), lift=9 * k, dark=0.7, deep=0.7
    )
    for line in p.string_lines(kind):
        x, y = line[-1]
        picture.fill([box(x - 0.7 * k, y - 1.6 * k, 1.4 * k, 6 * k, 0.7 * k)], _DARK, 0.9)
    for i in (3,) if kind in ("violin", "viola") else range(4) if kind == "cello" else ():
        x = p.string_lines(kind)[i][-1][0]
        picture.part(box(x - 2.4 * k, top + 4 * k, 4.8 * k, 13 * k, 2 * k), w.metal, rounded(2.2 * k), lift=2 * k)
        picture.part(ellipse(x, top + 16 * k, 3 * k), w.metal, rounded(2 * k), lift=1.6 * k)


def _strings(picture: Picture, kind: str, setup: Setup) -> None:
    b, p = bowed.BOWED[kind], bowed_parts
    k = b.fine
    lines = p.string_lines(kind)
    for i, line in enumerate(lines):
        if i == setup.missing:
            continue
        wide = (0.98, 0.86, 0.72, 0.42)[i] * (k if b.pin else 1) * 0.94
        over = [line[1], line[2]]
        board_end = b.board - b.neck
        low = [(x + 2.6 * k, y + 3 * k) for x, y in _cut(over, -b.neck + 20 * k, board_end - 4 * k)]
        picture.lines([low], wide * 1.5, (8, 6, 5), 0.45)
        picture.lines([line], wide, times(_WINDINGS[i], 0.62))
        lit = [(x - wide * 0.2, y) for x, y in line]
        picture.lines([lit], wide * 0.42, _WINDINGS[i], 0.95)
        y = line[-1][1]
        silk: Rgb = ((60, 70, 150), (150, 40, 50), (60, 110, 80), (150, 120, 60))[(i + len(kind)) % 4]
        up = _cut([line[2], line[3]], y - 26 * k, y)
        picture.lines([up], wide * 1.15, silk, 0.9)
        near = _cut([line[0], line[1]], -b.neck - 32 * k, -b.neck - 6 * k)
        picture.lines([near], wide * 1.15, silk, 0.8)


def _string_shadows(picture: Picture, kind: str) -> None:
    """Soft stripes on the front, between board and bridge and behind the bridge."""
    b = bowed.BOWED[kind]
    k = b.fine
    for line in bowed_parts.string_lines(kind):
        for piece, far in (
            (_cut(line[1:3], b.board - b.neck + 5 * k, b.stop - 12 * k), 8),
            (_cut(line[2:], b.stop + 5 * k, b.stop + 60 * k), 7),
        ):
            (ax, ay), (bx, by) = piece
            band = ribbon([(ax + far * k, ay + far * k), (bx + far * k, by + far * k)], 1.9 * k)
            picture.fill([band], (14, 5, 2), 0.3, soft=0.9 * k)


def _cut(line: list[Point], y0: float, y1: float) -> list[Point]:
    """The piece of a straight line between two heights."""
    (ax, ay), (bx, by) = line[0], line[-1]
    out = []
    for y in (max(y0, min(ay, by)), min(y1, max(ay, by))):
        t = (y - ay) / (by - ay) if by != ay else 0
        out.append((ax + (bx - ax) * t, y))
    return out


def chinrest(picture: Picture, kind: str, w: Woods) -> None:
    """Chinrest over the tailpiece, cup on the bass side, with its clamp."""
    b = bowed.BOWED[kind]
    k, y = b.fine, b.body
    for x in (-17, 5):
        picture.part(box(x * k, y - 4 * k, 5 * k, 11 * k, 2 * k), w.metal, rounded(2.2 * k), lift=3 * k)
    cup = smooth([(10, -16), (6, -30), (-12, -36), (-30, -56), (-56, -66), (-82, -54), (-92, -30), (-78, -8),
                  (-50, -1), (-20, -2), (4, -3)])  # fmt: skip
    plate = cup.scaled(k).moved(0, y)
    skin = w.fittings.but(gloss=0.5)
    picture.part(
        plate,
        skin,
        Form(((0, 0), (2.5 * k, 4.5 * k), (6 * k, 4 * k), (30 * k, -7 * k)), 1.6 * k),
        lift=15 * k,
        dark=0.75,
    )


def back(picture: Picture, kind: str, w: Woods) -> None:
    """The whole instrument from the back, as the camera sees it (treble side on the left)."""
    b, p = bowed.BOWED[kind], bowed_parts
    k, shape = b.fine, bowed.body(kind)
    if b.pin:
        for part in p.end_fitting(kind):
            picture.part(part, EBONY.but(gloss=0.5), rounded(7), lift=14 * k)
    scroll_scene.head(picture, kind, w, front_side=False)
    picture.part(p.board(kind), w.board, rounded(3 * k), lift=10 * k)
    picture.part(
        p.neck_back(kind), w.neck, rounded(12 * k, 1 * k), lift=5 * k, worn=[((0, -b.neck * 0.5), b.neck * 0.5, 0.8)]
    )
    form = arched(b.arch, b.waist * 0.45, k) if kind != "bass" else rounded(5)
    worn: list[tuple[Point, float, float]] = [((0, b.body * 0.3), b.upper * 0.3, 0.55 * w.worn),
                                               ((b.lower * 0.2, b.body * 0.8), b.lower * 0.25, 0.4 * w.worn)]  # fmt: skip
    picture.part(shape, w.back, form, lift=b.ribs * 0.6, dark=0.62, worn=worn)
    purfling(picture, bowed.inset(kind, 4.4 * k), k)
    edge_light(picture, bowed.inset(kind, 0.9 * k), k)
    if not w.back.shift:
        picture.lines([[(0, 2), (0, b.body - 1)]], 0.2 * k, (34, 14, 6), 0.6)
    if not b.pin:
        picture.part(p.end_fitting(kind)[0], w.fittings, rounded(6), lift=8)
    picture.part(p.button(kind), w.back, rounded(3 * k), lift=2.4 * k, dark=0.5)


def side(picture: Picture, kind: str, w: Woods, *, lean: float = 0.0) -> None:
    """The instrument from the bass side (strings towards +x); a flipped camera sees the treble side.

    ``lean``: degrees by which the bridge leans towards the board.
    """
    b, p = bowed.BOWED[kind], bowed_parts
    k = b.fine
    for part in p.end_fitting(kind):
        picture.part(part.moved(-b.ribs / 2, 0), EBONY.but(gloss=0.4), rounded(6 * k), lift=10 * k)
    picture.part(p.board_side(kind), w.board, rounded(3 * k), lift=14 * k, dark=0.5, tone=1.15)
    picture.part(p.neck_side(kind), w.neck, rounded(9 * k), lift=14 * k)
    scroll_scene.side(picture, kind, w)
    picture.part(
        p.ribs_side(kind),
        w.back.but(angle=90, shift=0.0, mm=w.back.mm * 0.8),
        rounded(16 * k, 2 * k),
        lift=26 * k,
        deep=0.5,
        tone=0.9,
    )
    corners = (0.36, 0.628) if kind != "bass" else (0.405, 0.643)
    for c in corners:
        band = box(-b.ribs, b.body * c - 3 * k, b.ribs, 6 * k)
        picture.fill([band.moved(0, 6 * k if c < 0.5 else -6 * k)], (16, 8, 4), 0.4, soft=6 * k)
        picture.part(band, w.back.but(angle=90, shift=0.0), rounded(3 * k), lift=2 * k, dark=0.35)
    top, under = p.plates_side(kind)
    picture.part(top, w.top.but(mm=w.top.mm * 0.6), rounded(b.arch * 0.8), lift=2 * k)
    picture.part(under, w.back, rounded(b.arch * 0.8), lift=2 * k)
    tilt = p.bridge_side(kind).turned(-lean, (b.arch, b.stop))
    picture.part(tilt, BRIDGE, rounded(2 * k), lift=8 * k)
    picture.part(p.tail_side(kind), w.fittings, rounded(4 * k), lift=10 * k)
    line = p.string_side(kind)
    line[1] = polygon([line[1], line[1]]).turned(-lean, (b.arch, b.stop)).start
    picture.lines([line], 1.1 * k, (150, 148, 142))
    picture.lines([[(x + 0.2 * k, y) for x, y in line]], 0.4 * k, (236, 234, 228), 0.8)
