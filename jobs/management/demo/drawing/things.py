"""Small things: what is found in a case, and replaced parts, laid out on cloth."""

from __future__ import annotations

from collections.abc import Callable

from jobs.management.demo.drawing import bow, bow_scene, bowed_parts, scrolls
from jobs.management.demo.drawing.cases import tinted
from jobs.management.demo.drawing.light import rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Point, box, ellipse, polygon, ribbon, smooth
from jobs.management.demo.drawing.skins import BRIDGE, CARD, EBONY, STEEL, Skin, Woods

Thing = Callable[[Picture, Point, int], None]


def _rosin(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    picture.part(box(x - 31, y - 22, 62, 44, 5), tinted("cloth", (84, 38, 34), mm=0.5), rounded(3), lift=5)
    amber = Skin("paper", (116, 52, 12), (176, 92, 24), (222, 144, 60), (0.8, 0.7, 0.5), 0.8, 0.9)
    picture.part(box(x - 22, y - 14, 44, 28, 4), amber, rounded(5), lift=7)
    picture.fill([ellipse(x + 2, y, 17, 7)], (246, 226, 190), 0.3, soft=3)


def _strings(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    for i, colour in enumerate(((66, 92, 118), (150, 62, 52), (72, 110, 84))):
        sleeve = box(x - 42, y - 42, 84, 84, 2).turned(turn + 9 * i - 8, (x, y)).moved(6 * i, 5 * i)
        picture.part(sleeve, CARD, rounded(0.6), lift=2.2)
        stripe = box(x - 42, y - 24, 84, 13).turned(turn + 9 * i - 8, (x, y)).moved(6 * i, 5 * i)
        picture.fill([stripe], colour, 0.9)


def _cloth(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    fold = smooth([(-66, -40), (-20, -47), (40, -42), (68, -30), (62, 6), (66, 40), (10, 46), (-60, 40), (-72, 2)])
    skin = tinted("cloth", (196, 170, 96))
    picture.part(fold.turned(turn).moved(x, y), skin, rounded(6), lift=6)
    for line in ([(-60, -8), (0, -2), (64, -12)], [(-20, -44), (-12, 0), (-18, 44)]):
        soft = smooth([(x + px, y + py) for px, py in line], closed=False).flat(6)
        picture.fill([ribbon(soft, 4)], (90, 70, 30), 0.4, soft=3)


def _rest(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    arc = smooth([(-118, 8), (-80, -16), (-30, -20), (20, -6), (70, 2), (114, -14)], closed=False).flat(8)
    bar = ribbon(arc, [22 + 10 * abs(i / len(arc) - 0.5) for i in range(len(arc))]).turned(turn).moved(x, y)
    picture.part(
        bar,
        Skin("streak", (92, 52, 26), (142, 88, 48), (182, 124, 76), (0.9, 0.84, 0.8), 0.3, 0.5, angle=90, mm=0.6),
        rounded(7),
        lift=12,
    )
    for px in (-104, 100):
        picture.part(box(x + px - 7, y - 34, 14, 62, 7), EBONY.but(gloss=0.35), rounded(6), lift=16)


def _mute(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    shape = box(x - 17, y - 16, 34, 32, 8)
    picture.part(shape, EBONY.but(gloss=0.3), rounded(6), lift=8, holes=[ellipse(x, y - 4, 5)])
    picture.fill([box(x - 1.4, y + 4, 2.8, 12)], (70, 68, 66))


def _pencil(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    body = box(x - 70, y - 3.6, 128, 7.2, 0.6)
    picture.part(body.turned(turn, at), tinted("paper", (174, 126, 40)), rounded(3), lift=3.4)
    wood = polygon([(x + 58, y - 3.6), (x + 76, y), (x + 58, y + 3.6)])
    picture.part(wood.turned(turn, at), tinted("paper", (214, 178, 126)), rounded(2), lift=3)
    picture.fill([polygon([(x + 71, y - 1), (x + 76, y), (x + 71, y + 1)]).turned(turn, at)], (40, 38, 38))


def _fork(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    for p in (
        box(x - 62, y - 7, 74, 4.4, 1),
        box(x - 62, y + 2.6, 74, 4.4, 1),
        box(x + 8, y - 7, 7, 14, 3),
        box(x + 14, y - 2.4, 44, 4.8, 2),
    ):
        picture.part(p.turned(turn, at), STEEL.but(gloss=0.9), rounded(2), lift=4)


def _capo(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    for p in (
        box(x - 44, y - 16, 84, 11, 5),
        box(x - 44, y + 6, 74, 10, 5).turned(9, at),
        ellipse(x + 38, y - 2, 10, 15),
    ):
        picture.part(p.turned(turn, at), EBONY.but(gloss=0.6), rounded(4), lift=7)


def _plectra(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    shape = smooth([(0, 15), (-11, -4), (-10, -12), (0, -15), (10, -12), (11, -4)])
    for i, colour in enumerate(((150, 40, 36), (60, 50, 42), (208, 196, 168))):
        picture.part(
            shape.turned(turn + 70 * i).moved(x + 24 * i - 24, y + 9 * (i % 2)),
            tinted("paper", colour, gloss=0.6),
            rounded(1),
            lift=1.6,
        )


def _music(picture: Picture, at: Point, turn: int) -> None:
    x, y = at
    for i in (1, 0):
        about = (x + 16 * i, y + 9 * i)
        tilt = turn + 5 * i
        picture.part(box(about[0] - 74, about[1] - 105, 148, 210).turned(tilt, about), CARD, rounded(0.5), lift=1.2)
        if i:
            continue
        rows: list[list[Point]] = []
        for staff in range(9):
            for line in range(5):
                top = y - 90 + staff * 21 + line * 1.9
                pair = polygon([(x - 62, top), (x + 62, top)], closed=False).turned(tilt, about)
                rows.append([pair.start, pair.segments[-1][2]])
            for _ in range(14):
                spot = (
                    x - 58 + float(picture.rng.uniform(0, 116)),
                    y - 90 + staff * 21 + float(picture.rng.uniform(0, 8)),
                )
                picture.fill([ellipse(*spot, 1.3, 0.95).turned(tilt, about)], (40, 38, 38))
        picture.lines(rows, 0.28, (70, 68, 66), 0.8)


def contents(picture: Picture, kind: str, w: Woods, seed: int) -> None:
    """Everything found in the case, laid out on cloth; the frame is 720 × 540 mm."""
    stick = {"violin": "bow", "viola": "bow-viola", "cello": "bow-cello", "bass": "bow-bass"}.get(kind, "")
    things: list[Thing]
    if stick:
        bow_scene.side(picture.laid((0, -205), (bow.BOWS[stick].length / 2, 10), 0), stick, w)
        things = [_rosin, _strings, _cloth, _mute, _music, _fork]
        if kind in ("violin", "viola"):
            things[5] = _rest
    elif kind in bow.BOWS:
        things = [_rosin, _cloth, _pencil, _music]
    else:
        things = [_strings, _capo, _cloth, _plectra, _music, _pencil]
    spots: list[Point] = [(-250, -110), (-120, -80), (240, -110), (-200, 90), (60, 40), (230, 90)]
    for i, thing in enumerate(things):
        if seed % 7 == i and i > 1:
            continue
        x, y = spots[i]
        jitter = picture.rng.uniform(-12, 12, 2)
        thing(picture, (x + float(jitter[0]), y + float(jitter[1])), int(picture.rng.integers(-14, 15)))


def parts(picture: Picture, w: Woods) -> None:
    """Replaced parts: pegs, an old bridge, a nut, tail cord, a soundpost; the frame is 300 mm wide."""
    for i, (x, y) in enumerate(((-90.0, -60.0), (-84.0, -38.0), (-92.0, -14.0))):
        picture.part(scrolls.peg("violin").turned(8 * i - 6).scaled(1.6).moved(x, y), w.fittings, rounded(7), lift=9)
    face, holes = bowed_parts.bridge_face("violin")
    place = [p.scaled(1.6).turned(-12).moved(30, 6) for p in (face, *holes)]
    picture.part(place[0], BRIDGE.but(angle=78), rounded(1.6), lift=4, holes=place[1:])
    picture.part(ribbon([(-70, 62), (10, 74)], 9), BRIDGE.but(angle=90, mm=0.3), rounded(4.4), lift=7)
    picture.part(box(86, -52, 40, 9, 2).turned(16, (100, -48)), EBONY.but(gloss=0.4), rounded(3), lift=6)
    cord = smooth([(70, 50), (96, 30), (122, 46), (112, 72), (84, 76), (76, 58)], closed=False).flat(8)
    picture.part(ribbon(cord, 3), EBONY.but(gloss=0.6), rounded(1.5), lift=3)
