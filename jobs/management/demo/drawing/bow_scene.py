"""Bows under the camera: whole, frog, head, button, along the stick."""

from __future__ import annotations

from jobs.management.demo.drawing import bow
from jobs.management.demo.drawing.light import leaning, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Point, box, ellipse, polygon
from jobs.management.demo.drawing.skins import BONE, EBONY, HAIR, LEATHER, PEARL, Skin, Woods


def side(picture: Picture, kind: str, w: Woods, *, hair: bool = True, facing: Skin = BONE) -> None:
    """The bow from the player's side, head to the left, lying flat."""
    b, s = bow.BOWS[kind], bow.BOWS[kind].size
    if hair:
        picture.part(bow.hair(kind), HAIR.but(angle=90), rounded(1.4), lift=7, dark=0.4)
    wood = bow.whole(kind)
    round_ = leaning(wood, rounded(b.thick_frog * 0.46, 0.5), 2000)
    picture.part(wood, w.stick.but(angle=90), round_, lift=9 * s, dark=0.6)
    picture.part(bow.face(kind), facing, rounded(0.8 * s))
    picture.lines([[(-3.2 * s, 20.1 * s), (20.6 * s, 20.2 * s)]], 0.5 * s, (14, 10, 9), 0.95)
    _frog(picture, kind, w)
    _grip(picture, kind, w)
    for i, piece in enumerate(bow.button(kind)):
        picture.part(piece, EBONY if i == 1 else w.metal, rounded(b.thick_frog * 0.48), lift=7 * s, dark=0.5)


def _frog(picture: Picture, kind: str, w: Woods) -> None:
    b, s = bow.BOWS[kind], bow.BOWS[kind].size
    x, low = bow.frog_at(kind), 22.5 * s
    picture.part(bow.frog(kind), EBONY.but(gloss=0.5, angle=90), rounded(4.4 * s, 0.5), lift=8 * s, dark=0.6, tone=1.15)
    picture.part(box(x + 3 * s, low - 2.2 * s, b.frog - 15 * s, 2.4 * s), PEARL, rounded(1))
    picture.part(bow.underslide(kind), w.metal, rounded(0.8))
    picture.part(bow.ferrule(kind), w.metal, rounded(3 * s), lift=1.2, dark=0.5)
    picture.part(bow.heel_plate(kind), w.metal, rounded(1.6 * s), lift=0.6, dark=0.5)
    ring, pearl = bow.frog_eye(kind)
    picture.part(ring, w.metal, rounded(0.8 * s), lift=0.4)
    picture.fill([ellipse(x + b.frog * 0.56, b.thick_frog / 2 + 9.4 * s, 3.1 * s)], (20, 16, 14))
    picture.part(pearl, PEARL, rounded(0.6 * s))


def _grip(picture: Picture, kind: str, w: Woods) -> None:
    b, s = bow.BOWS[kind], bow.BOWS[kind].size
    wind, leather = bow.winding(kind)
    picture.part(wind, w.metal, rounded(b.thick_frog / 2 + 0.4), lift=4 * s, dark=0.3)
    x0, r = bow.frog_at(kind) - 88 * s, b.thick_frog / 2 + 0.5
    turns = [[(x0 + i * 0.62, -r), (x0 + i * 0.62 + 0.25, r)] for i in range(int(66 * s / 0.62))]
    if picture.per > 4:
        picture.lines(turns, 0.16, (60, 58, 56), 0.75)
    picture.part(leather, LEATHER, rounded(b.thick_frog / 2 + 0.8), lift=4 * s, dark=0.3)


def along(picture: Picture, kind: str, w: Woods) -> None:
    """Along the stick from the button towards the head: it bends away and narrows; x is sideways, y runs upwards."""
    b = bow.BOWS[kind]
    near, far = b.thick_frog * 1.25, b.thick_head * 0.34
    left: list[Point] = []
    right: list[Point] = []
    for i in range(25):
        t = i / 24
        shrink = 1 / (1 + 4.2 * t)
        half = (near * (1 - t) + far * t * 3) * shrink
        y = 40 - 78 * (1 - shrink) / 0.81
        x = 1.1 * t * t
        left.append((x - half, y))
        right.append((x + half, y))
    picture.part(polygon([*left, *right[::-1]]), w.stick, rounded(near * 0.8), lift=6, dark=0.4)
    octagon = polygon([left[0], left[3], (left[3][0] + near * 0.5, left[3][1]), (left[0][0] + near * 0.62, left[0][1])])
    picture.fill([octagon], (255, 230, 200), 0.12, soft=0.6)
    tip = right[-1]
    picture.part(ellipse(tip[0] - far, tip[1] - 1.0, 2.1, 2.9), w.stick, rounded(1.6), lift=2)


def end_on(picture: Picture, kind: str, w: Woods) -> None:
    """The button end on: eight flats, ring, screw."""
    r = bow.BOWS[kind].thick_frog
    from_middle = [(0.41, -1), (1, -0.41), (1, 0.41), (0.41, 1), (-0.41, 1), (-1, 0.41), (-1, -0.41), (-0.41, -1)]
    picture.part(polygon([(x * r * 1.02, y * r * 1.02) for x, y in from_middle]), w.stick, rounded(1), lift=10)
    picture.part(polygon([(x * r * 0.94, y * r * 0.94) for x, y in from_middle]), w.metal, rounded(1.2), lift=1.5)
    picture.part(ellipse(0, 0, r * 0.72), EBONY.but(gloss=0.5), rounded(0.8))
    picture.part(ellipse(0, 0, r * 0.5), PEARL, rounded(0.7), lift=0.3)
    picture.lines([[(float(x), float(y)) for x, y in ellipse(0, 0, r * 0.53).flat(10)]], 0.4, (190, 188, 184), 0.9)
