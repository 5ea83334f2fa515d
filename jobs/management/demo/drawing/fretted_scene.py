"""Guitars and mandolin laid under the camera: from the front, the back and the side."""

from __future__ import annotations

from collections.abc import Callable

from jobs.management.demo.drawing import fretted, fretted_parts
from jobs.management.demo.drawing.light import Form, arched, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Path, Point, box, ellipse, polygon
from jobs.management.demo.drawing.skins import BONE, EBONY, PEARL, STEEL, Rgb, Skin, Woods

_CREAM: Rgb = (214, 196, 158)
_NICKEL = STEEL.but(gloss=0.9)


def _plate_form(kind: str) -> Form:
    if kind == "mandolin":
        return arched(17, 110, 1.3)
    # A guitar's front is all but flat; a slight swell lets the lamp fall across it.
    return Form(((0, 0), (1.2, 0.7), (4, 0.8)), 0.3, ((0, 0), (60, 3.2), (190, 7)), 30)


def _line_of(path: Path) -> list[Point]:
    dots = [(float(x), float(y)) for x, y in path.flat(1 if len(path.segments) > 60 else 14)]
    return [*dots, dots[0]]


def front(
    picture: Picture,
    kind: str,
    w: Woods,
    *,
    strings: bool = True,
    marks: Callable[[], None] | None = None,
    board_marks: Callable[[], None] | None = None,
) -> None:
    """The whole instrument from the front; the marks are painted on the front and on the board, under the strings."""
    g, f = fretted.FRETTED[kind], fretted
    _head(picture, kind, w, front_side=True)
    shape = f.body(kind)
    worn: list[tuple[Point, float, float]] = [((20.0, g.stop), g.lower * 0.28, 0.5 * w.worn)]
    picture.part(shape, w.top, _plate_form(kind), lift=g.ribs_tail * 0.4, dark=0.62, worn=worn)
    edge: Rgb = _CREAM if kind != "guitar-classical" else (84, 44, 28)
    picture.lines([_line_of(f.inset(kind, 1.3))], 2.6, edge, 0.95)
    for by in (2.8, 4.2, 5.6):
        picture.lines([_line_of(f.inset(kind, by))], 0.5, (30, 18, 12), 0.8)
    picture.lines([[(0, 2), (0, g.body - 2)]], 0.2, (70, 40, 20), 0.4)
    if g.hole:
        _rosette(picture, kind)
    for hole in f.sound_holes(kind):
        picture.fill([hole], (30, 18, 12))
        if g.hole:
            depth = ellipse(6, g.hole_y + 8, g.hole / 2 - 5)
            picture.fill([depth], (70, 44, 26), 0.6, soft=12)
            picture.lines([_line_of(hole)], 1.1, (206, 164, 110), 0.55)
    guard = f.guard(kind)
    if guard:
        picture.part(
            guard,
            Skin("plush", (30, 14, 8), (70, 32, 16), (132, 66, 28), (0.9, 0.9, 0.9), 0.2, 0.7, mm=0.5),
            rounded(1),
            lift=1,
            dark=0.4,
        )
    _board(picture, kind, w)
    _bridge(picture, kind, w)
    for paint in (marks, board_marks):
        if paint:
            paint()
    tail = f.tail(kind)
    if tail:
        picture.part(tail, _NICKEL, Form(((0, 0), (3, 3), (18, 5)), 1), lift=6)
    if strings:
        _strings(picture, kind)
        for x, y in f.pins(kind):
            picture.part(ellipse(x, y, 2.9), EBONY if w.worn > 0.5 else BONE, rounded(2.2), lift=2.4, dark=0.6)
            picture.fill([ellipse(x, y, 0.8)], (240, 236, 226))


def _rosette(picture: Picture, kind: str) -> None:
    g = fretted.FRETTED[kind]
    r = g.hole / 2
    rings: tuple[tuple[float, float, Rgb], ...] = (
        (5, 0.8, (30, 18, 12)),
        (7, 2.2, (150, 84, 40)),
        (11, 4.6, (58, 40, 26)),
        (15, 2.2, (170, 112, 58)),
        (17.4, 0.8, (30, 18, 12)),
    )
    if kind == "guitar-steel":
        rings = (
            (7, 0.9, (24, 16, 12)),
            (8.4, 1.1, (226, 210, 176)),
            (9.8, 0.9, (24, 16, 12)),
            (16, 0.7, (24, 16, 12)),
            (2.5, 0.7, (24, 16, 12)),
        )
    for far, wide, colour in rings:
        picture.lines([_line_of(ellipse(0, g.hole_y, r + far))], wide, colour, 0.9)
    if kind == "guitar-classical":
        ring = ellipse(0, g.hole_y, r + 11).flat(15)
        middle = ring.mean(axis=0)
        ticks = [[tuple(middle + (p - middle) * 0.965), tuple(middle + (p - middle) * 1.035)] for p in ring]
        picture.lines(ticks, 0.8, (190, 140, 80), 0.8)


def _board(picture: Picture, kind: str, w: Woods) -> None:
    g, f = fretted.FRETTED[kind], fretted
    picture.part(f.neck_front(kind), w.neck, rounded(9), lift=12)
    picture.part(f.board(kind), w.board, rounded(2.4), lift=5 if g.hole else 9, dark=0.6, tone=1.1)
    for x, y in f.dots(kind):
        picture.part(ellipse(x, y, 2.9 if kind != "mandolin" else 2.2), PEARL, None)
    wires = f.frets(kind)
    picture.lines([[(-h + 0.4, y + 0.9), (h - 0.4, y + 0.9)] for y, h in wires], 1.6, (8, 6, 5), 0.5)
    picture.lines([[(-h + 0.4, y), (h - 0.4, y)] for y, h in wires], 1.9, (150, 148, 142))
    picture.lines([[(-h + 0.6, y - 0.3), (h - 0.6, y - 0.3)] for y, h in wires], 0.7, (246, 244, 238), 0.9)
    picture.part(f.nut(kind), BONE, rounded(1.6), lift=2)


def _bridge(picture: Picture, kind: str, w: Woods) -> None:
    g, f = fretted.FRETTED[kind], fretted
    rose = Skin("rosewood", (30, 15, 11), (60, 34, 25), (98, 60, 44), (0.9, 0.88, 0.84), 0.3, 0.3, mm=0.7)
    picture.part(f.bridge(kind), rose if g.hole else EBONY, rounded(2.6), lift=7 if g.hole else 14, dark=0.6)
    picture.part(f.saddle(kind), BONE, rounded(1.3), lift=2.6, dark=0.5)
    if kind == "guitar-classical":
        y = g.stop + 12
        picture.part(box(-41, y - 4.5, 82, 11, 1), rose.but(gloss=0.5), rounded(2), lift=2.5)
        picture.lines([[(-40, y - 3), (40, y - 3)], [(-40, y + 5), (40, y + 5)]], 1.0, (220, 206, 172), 0.9)


def _strings(picture: Picture, kind: str) -> None:
    g, f = fretted.FRETTED[kind], fretted
    half = g.courses / 2
    for i, line in enumerate(f.string_lines(kind)):
        bass = i < half
        wide = {
            "guitar-classical": (1.05, 0.9, 0.78, 0.98, 0.84, 0.74),
            "guitar-steel": (1.3, 1.05, 0.82, 0.62, 0.44, 0.34),
        }.get(kind, (1.0, 1.0, 0.7, 0.7, 0.42, 0.42, 0.32, 0.32))[i]
        nylon = kind == "guitar-classical" and not bass
        base: Rgb = (206, 200, 186) if nylon else (150, 134, 100) if bass else (168, 168, 166)
        lit: Rgb = (248, 246, 240) if nylon else (232, 214, 168) if bass else (240, 240, 240)
        over, up = [line[1], line[2]], 3.6
        picture.lines([[(x + up, y + up) for x, y in over]], wide * 1.5, (10, 6, 4), 0.34)
        picture.lines([line], wide, base)
        picture.lines([[(x - wide * 0.2, y) for x, y in line]], wide * 0.4, lit, 0.9)
        if kind == "guitar-classical":
            x, y = line[-1]
            picture.lines([[(x, y), (x + 1.5, y + 4), (x - 1.5, y + 8), (x + 1, y + 13)]], wide * 1.3, base)


def _head(picture: Picture, kind: str, w: Woods, *, front_side: bool) -> None:
    g, f = fretted.FRETTED[kind], fretted
    n = -g.neck
    for x, y in f.posts(kind):
        side = 1 if x > 0 else -1
        knob = f.knob(kind) if side > 0 else f.knob(kind).mirrored()
        skin = (
            BONE.but(gloss=0.6)
            if kind == "guitar-classical"
            else _NICKEL
            if kind == "guitar-steel"
            else PEARL.but(patina=0.3)
        )
        picture.part(knob.moved(side * (g.head_wide / 2 - 3), n + y), skin, rounded(5.6), lift=8)
    veneer = Skin(
        "rosewood", (36, 18, 12), (76, 42, 28), (120, 74, 50), (0.9, 0.88, 0.84), 0.3, 0.45, mm=1.2, version=1
    )
    face = (veneer if kind != "mandolin" else EBONY.but(gloss=0.5)) if front_side else w.neck
    slots = [q.moved(0, n) for q in f.slots(kind)]
    picture.part(f.head(kind).moved(0, n), face, rounded(2.2), lift=14, holes=slots)
    for slot in slots:
        picture.lines([_line_of(slot)], 1.2, (16, 8, 5), 0.7)
    for x, y in f.posts(kind):
        if slots:
            roller = box(x / abs(x) * 20 - 8.6, n + y - 4, 17.2, 8, 2)
            picture.part(roller, BONE, rounded(3.8), lift=3, tone=0.92)
            if front_side:
                coil = [[(x + i * 1.3, n + y - 4), (x + i * 1.3 + 0.5, n + y + 4)] for i in (-2, -1, 0, 1)]
                picture.lines(coil, 0.9, (180, 168, 140), 0.9)
        elif front_side:
            picture.part(ellipse(x, n + y, 5.4), _NICKEL, rounded(1.6), lift=2.4, dark=0.5)
            picture.part(ellipse(x, n + y, 3.1), _NICKEL, rounded(2), lift=5, dark=0.6)
            picture.lines([_line_of(ellipse(x, n + y, 3.8))], 1.0, (190, 180, 150), 0.9)
        else:
            side = 1 if x > 0 else -1
            picture.part(box(x * 0.86 - 7.5, n + y - 9, 15, 18, 3), _NICKEL, rounded(3), lift=6)
            picture.part(
                box(min(x, side * g.head_wide / 2), n + y - 1.7, abs(g.head_wide / 2 - abs(x)), 3.4),
                _NICKEL,
                rounded(1.6),
                lift=4,
            )


def back(picture: Picture, kind: str, w: Woods) -> None:
    """The whole instrument from the back."""
    g, f = fretted.FRETTED[kind], fretted
    _head(picture, kind, w, front_side=False)
    form = (
        _plate_form(kind)
        if kind == "mandolin"
        else Form(((0, 0), (1.2, 0.7), (4, 0.8)), 0.3, ((0, 0), (60, 6), (190, 13)), 30)
    )
    worn: list[tuple[Point, float, float]] = [((0.0, g.body * 0.45), g.lower * 0.3, 0.3 * w.worn)]
    picture.part(f.body(kind), w.back, form, lift=g.ribs_tail * 0.4, dark=0.62, worn=worn)
    picture.lines([_line_of(f.inset(kind, 1.3))], 2.6, _CREAM if kind != "guitar-classical" else (84, 44, 28), 0.9)
    picture.lines([_line_of(f.inset(kind, 2.9))], 0.5, (24, 14, 10), 0.8)
    if kind != "mandolin":
        picture.lines([[(0, 2), (0, g.body - 2)]], 5.4, (120, 72, 44), 0.8)
        picture.lines([[(s, 2), (s, g.body - 2)] for s in (-2.7, 2.7)], 0.6, (24, 14, 10), 0.8)
    picture.part(f.neck_front(kind), w.neck, rounded(17), lift=12, worn=[((0, -g.neck * 0.5), g.neck * 0.5, 0.6)])
    picture.part(f.heel_back(kind), w.neck, rounded(6), lift=8, dark=0.6)


def side(picture: Picture, kind: str, w: Woods) -> None:
    """The instrument from the bass side, strings towards +x."""
    g, s = fretted.FRETTED[kind], fretted_parts
    for x, y in s.knobs_side(kind):
        skin = BONE.but(gloss=0.6) if kind == "guitar-classical" else _NICKEL
        picture.part(ellipse(x, y, 5, 7.4), skin, rounded(4), lift=10)
    picture.part(s.board_side(kind), w.board, rounded(1.6), lift=12, dark=0.5, tone=1.15)
    picture.part(s.neck_side(kind), w.neck, rounded(8), lift=16)
    picture.part(s.head_side(kind), w.neck, rounded(4), lift=14)
    picture.part(s.ribs_side(kind), w.back.but(shift=0.0), rounded(30, 4), lift=34, deep=0.5, tone=0.92)
    if kind != "mandolin":
        for t in (0.2, 0.4, 0.73):
            band = polygon(
                [
                    (0, g.body * t - 60),
                    (0, g.body * t + 60),
                    (-g.ribs_tail, g.body * t + 60),
                    (-g.ribs_tail, g.body * t - 60),
                ]
            )
            picture.fill([band], (255, 226, 190) if t != 0.4 else (10, 5, 3), 0.1 if t != 0.4 else 0.3, soft=40)
    top, under = s.plates_side(kind)
    picture.part(top, w.top.but(mm=0.5), rounded(6 if kind == "mandolin" else 1.2), lift=1)
    picture.part(under, w.back.but(mm=0.6), rounded(6 if kind == "mandolin" else 1.2), lift=1)
    binding = [[(-1.4, 0), (-1.4, g.body)], [(-g.ribs_heel + 1.4, 0), (-g.ribs_tail + 1.4, g.body)]]
    picture.lines(binding, 2.4, _CREAM, 0.85)
    picture.part(s.bridge_side(kind), EBONY, rounded(2), lift=4)
    picture.part(box(-g.ribs_tail / 2 - 5, g.body - 0.5, 10, 9, 3), _NICKEL, rounded(4), lift=8)
    line = s.string_side(kind)
    picture.lines([line], 1.2, (130, 126, 116))
    picture.lines([[(x + 0.3, y) for x, y in line]], 0.4, (236, 232, 220), 0.8)
