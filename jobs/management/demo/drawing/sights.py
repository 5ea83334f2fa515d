"""Views that look along something: the bridge from the front, down the fingerboard, a bow's camber and button."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PIL import Image, ImageFilter

from jobs.management.demo.drawing import bow, bow_scene, bowed, bowed_parts, fretted
from jobs.management.demo.drawing.light import Form, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Point, curve, ellipse, polygon, ribbon
from jobs.management.demo.drawing.skins import BONE, BRIDGE, EBONY, STEEL, Rgb, Woods

_STRING: Rgb = (168, 166, 160)


def bridge_front(picture: Picture, kind: str, w: Woods) -> None:
    """The bridge of a bowed instrument from behind: heart, kidneys, feet on the arch; board and strings beyond."""
    b = bowed.BOWED[kind]
    k, half, high = b.fine, b.bridge_wide / 2, b.bridge_high
    reach = 130 * k
    arch = curve((-reach, 19 * k), (-80 * k, 12 * k, -34 * k, 0, 0, -0.4 * k), (34 * k, 0, 80 * k, 12 * k, reach, 19 * k),
                 (reach, 90 * k), (-reach, 90 * k), closed=True)  # fmt: skip
    board = curve((-15 * k, -13 * k), (-12 * k, -22.5 * k, 12 * k, -22.5 * k, 15 * k, -13 * k), (13 * k, -11 * k),
                  (6 * k, -9 * k, -6 * k, -9 * k, -13 * k, -11 * k), closed=True)  # fmt: skip
    picture.part(board, w.board, rounded(4 * k), tone=1.2)
    neck = polygon([(-8 * k, -11 * k), (8 * k, -11 * k), (6 * k, 2 * k), (-6 * k, 2 * k)])
    picture.part(neck, w.neck, rounded(4 * k), tone=0.6)
    picture.fill([board, neck], (60, 52, 46), 0.28, soft=2.4 * k)
    picture.part(
        arch, w.top.but(mm=w.top.mm * 0.5), Form(((0, 0), (5 * k, 3.4 * k), (40 * k, 9 * k)), 2 * k), tone=0.94
    )
    tops: list[Point] = []
    for i in range(4):
        x = (i - 1.5) / 1.5 * half * 0.81
        tops.append((x, -high + 0.052 / k * x * x * 0.35 - 0.2 * k))
    for i, (x, y) in enumerate(tops):
        picture.lines([[(x * 0.72, -19.5 * k), (x, y)]], (0.9, 0.8, 0.7, 0.4)[i] * k, _STRING, 0.8)
    face, holes = bowed_parts.bridge_face(kind)
    shadow = face.mapped(lambda x, y: (x * 1.02 + 7 * k - y * 0.34, 1.2 * k + y * -0.16 + 2 * k))
    picture.fill([shadow], (20, 8, 4), 0.5, soft=1.6 * k)
    picture.part(face, BRIDGE.but(angle=90, mm=0.62 * k), rounded(1.5 * k), holes=holes, tone=1.05)
    for hole in holes:
        picture.lines(
            [[(float(x) + 0.4 * k, float(y) + 0.5 * k) for x, y in hole.flat(8)]], 0.8 * k, (120, 78, 40), 0.75
        )
    flecks = [[(x, y), (x + 0.5 * k, y + 0.06 * k)] for x, y in zip(
        picture.rng.uniform(-half * 0.8, half * 0.8, 90), picture.rng.uniform(-high * 0.95, -high * 0.3, 90), strict=True)]  # fmt: skip
    picture.lines(flecks, 0.14 * k, (150, 104, 60), 0.4)
    for i, (x, y) in enumerate(tops):
        wide = (1.05, 0.95, 0.8, 0.5)[i] * k
        picture.fill([ellipse(x, y, wide * 0.8)], (30, 22, 16))
        near = [(x, y), (x * 1.25, 60 * k)]
        picture.fill([ribbon(near, [wide, wide * 3.4])], (150, 148, 142), 0.5, soft=0.5 * k)
        picture.lines([[(x, y), (x * 1.04, -high + 12 * k)]], wide, (206, 204, 198), 0.9)


def along_board(picture: Picture, kind: str, w: Woods) -> None:
    """Down the board from above the nut, the body beyond out of focus; the frame is 100 wide."""
    with_bow = kind in bowed.BOWED
    made = bowed.BOWED[kind] if with_bow else fretted.FRETTED[kind]
    neck, k = made.neck, made.neck / 130 if with_bow else made.neck / 200
    eye, above = -neck - 150 * k, 96 * k  # where the camera stands: behind the nut, over the board
    stretch = 62.0

    def seen(high: float) -> Callable[[float, float], Point]:
        """Millimetres on a plane ``high`` above the board's to the frame."""
        return lambda x, y: (x / (y - eye) * stretch * 3.1, (above - high) / (y - eye) * stretch * 2.9 - 62)

    plate = (bowed.body(kind) if with_bow else fretted.body(kind)).mapped(seen(-20 * k if with_bow else -6))
    picture.part(plate, w.top.but(mm=0.35), Form(((0, 0), (1.2, 1.4), (8, 2.2)), 0.4), lift=9, tone=0.9)
    holes = bowed.sound_holes(kind) if with_bow else fretted.sound_holes(kind)
    picture.fill([h.mapped(seen(-8 * k if with_bow else -6)) for h in holes], (24, 14, 10), 0.95)
    tail = bowed_parts.tailpiece(kind).mapped(seen(0)) if with_bow else fretted.bridge(kind).mapped(seen(0))
    picture.part(tail, w.fittings if with_bow else EBONY, rounded(1), lift=1.5)
    _out_of_focus(picture)
    if with_bow:
        _standing_bridge(picture, kind, seen)
    else:
        picture.part(fretted.saddle(kind).mapped(seen(3)), BONE, None, lift=0.4)
    picture.part(
        (bowed_parts if with_bow else fretted).neck_front(kind).scaled(1.06, 1).mapped(seen(-8 * k)),
        w.neck,
        rounded(3),
        tone=0.7,
    )
    board = bowed_parts.board(kind) if with_bow else fretted.board(kind)
    form = Form(((0, 0), (6, 2.4), (20, 4)), 1.5) if with_bow else Form(((0, 0), (0.8, 0.5), (20, 0.9)), 0.3)
    picture.part(board.mapped(seen(0)), w.board.but(gloss=0.5, mm=0.6), form, lift=1.6, tone=1.25)
    if not with_bow:
        _frets(picture, kind, seen)
    _strings_seen(picture, kind, seen, k)
    nut = (bowed_parts if with_bow else fretted).nut(kind).mapped(seen(1))
    picture.part(nut, EBONY.but(gloss=0.5) if with_bow else BONE, rounded(1.4), lift=1)


def _out_of_focus(picture: Picture) -> None:
    small = picture.image.reduce(4).filter(ImageFilter.GaussianBlur(3.2))
    picture.image.paste(small.resize(picture.size, Image.Resampling.BILINEAR))


def _standing_bridge(picture: Picture, kind: str, seen: Callable[[float], Callable[[float, float], Point]]) -> None:
    b = bowed.BOWED[kind]
    middle, top = seen(-4 * b.fine)(0, b.stop), seen(b.bridge_high * 0.3)(0, b.stop)
    size = seen(0)(1, b.stop)[0]
    face, holes = bowed_parts.bridge_face(kind)
    tall = (middle[1] - top[1] + 2.4) / b.bridge_high
    place = [p.scaled(size, max(size * 0.8, tall)).moved(0, middle[1]) for p in (face, *holes)]
    picture.part(place[0], BRIDGE.but(mm=0.3), rounded(0.4), holes=place[1:], lift=0.8, tone=0.95)


def _strings_seen(
    picture: Picture, kind: str, seen: Callable[[float], Callable[[float, float], Point]], k: float
) -> None:
    lines = bowed_parts.string_lines(kind) if kind in bowed.BOWED else fretted.string_lines(kind)
    at_bridge = bowed.BOWED[kind].bridge_high * 0.3 if kind in bowed.BOWED else 8.0
    for i, line in enumerate(lines):
        thick = float(np.interp(i, [0, len(lines) - 1], [0.62, 0.3]))
        near, far = seen(1)(*line[1]), seen(at_bridge)(*line[2])
        under = [seen(0)(line[1][0] + 1.6 * k, line[1][1]), seen(0)(line[2][0] + 3 * k, line[2][1] - 40 * k)]
        picture.fill([ribbon(under, [thick * 1.5, thick])], (4, 3, 3), 0.5, soft=0.25)
        picture.fill([ribbon([near, far], [thick, thick * 0.42])], (150, 146, 138))
        lit = [(near[0] - thick * 0.2, near[1]), (far[0] - thick * 0.1, far[1])]
        picture.fill([ribbon(lit, [thick * 0.36, thick * 0.16])], (242, 240, 232), 0.9)


def _frets(picture: Picture, kind: str, seen: Callable[[float], Callable[[float, float], Point]]) -> None:
    for y, half in fretted.frets(kind):
        wire = polygon([(-half, y - 1.1), (half, y - 1.1), (half, y + 1.1), (-half, y + 1.1)]).mapped(seen(1))
        picture.part(wire, STEEL.but(gloss=0.9), rounded(0.3), lift=0.3)
    dots = [ellipse(x, y, 3).mapped(seen(0)) for x, y in fretted.dots(kind)]
    if dots:
        picture.fill(dots, (226, 222, 212))


def camber(picture: Picture, kind: str, w: Woods) -> None:
    """Along the bow from button to head."""
    bow_scene.along(picture, kind, w)


def heads(picture: Picture, kind: str, w: Woods) -> None:
    """The bow's head from both sides: two exposures on one paper, the far side turned over."""
    s = bow.BOWS[kind].size
    upper = picture.laid((-14 * s, -26 * s), (20 * s, 8 * s), 0)
    bow_scene.side(upper, kind, w)
    lower = picture.laid((14 * s, 22 * s), (20 * s, 8 * s), 0, flip=True)
    bow_scene.side(lower, kind, w)
