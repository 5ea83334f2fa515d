"""Scroll, pegbox and pegs under the camera."""

from __future__ import annotations

import numpy as np

from jobs.management.demo.drawing import bowed, scrolls
from jobs.management.demo.drawing.light import coiled, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import box, ellipse, ribbon
from jobs.management.demo.drawing.skins import BONE, Skin, Woods


def head(picture: Picture, kind: str, w: Woods, *, front_side: bool) -> None:
    b, q = bowed.BOWED[kind], scrolls
    k, n = b.fine, -b.neck
    for y, side in q.peg_places(kind):
        if b.geared:
            shape = q.machine(kind).moved(q.cheek(kind)(y), 0)
            skin: Skin = w.metal.but(gloss=0.5)
        else:
            shape, skin = q.peg(kind), w.fittings.but(gloss=0.55)
        placed = shape if side > 0 else shape.mirrored()
        picture.part(placed.moved(0, n + y), skin, rounded(5.4 * k), lift=8 * k)
    head = q.head_front(kind).moved(0, n)
    tip = [((0.0, n - 82 * k), 20 * k, 0.5 * w.worn)]
    picture.part(head, w.neck, rounded(9 * k, 0.8 * k), lift=14 * k, worn=tip)
    if front_side:
        for i, line in enumerate(q.head_front_lines(kind)):
            picture.lines([line], (1.5 if i < 4 else 1.1) * k, (20, 9, 4), 0.5)
            picture.lines([[(x - 0.9 * k, y) for x, y in line]], 0.5 * k, (255, 214, 160), 0.22)
        mouth = q.pegbox_mouth(kind).moved(0, n)
        picture.fill([mouth], (22, 13, 9), 0.97)
        picture.lines([[tuple(dot) for dot in mouth.flat(6)]], 0.6 * k, (255, 220, 170), 0.18)
        for y, _ in q.peg_places(kind):
            peg = box(-7.4 * k, n + y - 2.7 * k, 14.8 * k, 5.4 * k, 1)
            if b.geared:
                peg = box(-9 * k, n + y - 3.6 * k, 18 * k, 7.2 * k, 1)
            picture.part(peg, w.fittings if not b.geared else BONE, rounded(2.6 * k), lift=2 * k, tone=0.75)
            coil = [[(x * k, n + y - 2.8 * k), ((x + 0.5) * k, n + y + 2.8 * k)] for x in (-3, -2, -1, 0, 1)]
            picture.lines(coil, 0.75 * k, (170, 168, 164), 0.9)
    else:
        for i, line in enumerate(q.head_back_lines(kind)):
            picture.lines([line], (1.2 if i < 2 else 2.2 if i < 4 else 1.1) * k, (20, 9, 4), 0.42)
            picture.lines([[(x + 1.0 * k, y) for x, y in line]], 0.6 * k, (255, 214, 160), 0.2)


def side(picture: Picture, kind: str, w: Woods) -> None:
    """Pegbox and scroll from the bass side: each turn of the volute lies a little higher than the one round it."""
    b, q = bowed.BOWED[kind], scrolls
    k, n = b.fine, -b.neck
    head, middle = q.head_side(kind).moved(0, n), (-20.5 * k, n - 82.5 * k)
    picture.part(head, w.neck, coiled(head, rounded(5 * k, 0.6 * k), middle, k), lift=14 * k)
    for start in np.arange(0.62, 2.2, 0.16):
        line = q.spiral(kind, float(start), float(start) + 0.2).moved(0, n).flat(3)
        picture.fill([ribbon(line, (2.1 - 0.6 * float(start)) * k)], (14, 6, 3), 0.46, soft=0.36 * k)
    picture.part(q.eye(kind).moved(0, n), w.neck, rounded(2.6 * k), lift=1.6 * k, dark=0.6)
    for i, (y, s) in enumerate(q.peg_places(kind)):
        x = q.peg_deep(kind, y)
        if b.geared:
            picture.part(box(x - 7 * k, n + y - 5 * k, 14 * k, 10 * k, 2 * k), w.metal, rounded(2 * k), lift=2 * k)
            picture.part(ellipse(x, n + y, 3.4 * k), w.metal, rounded(2 * k), lift=5 * k)
        elif s < 0:
            picture.part(ellipse(x, n + y, 4.4 * k), w.fittings, rounded(2 * k), lift=4 * k)
            picture.part(
                ellipse(x, n + y, 3.3 * k, 8.2 * k).turned(24 + 31 * i, (x, n + y)),
                w.fittings.but(gloss=0.6),
                rounded(3.2 * k),
                lift=13 * k,
                dark=0.7,
            )
            picture.part(ellipse(x, n + y, 1.2 * k), BONE, rounded(1 * k))
        else:
            picture.part(ellipse(x, n + y, 2.9 * k), w.fittings, rounded(1.4 * k), lift=0.8 * k)
