"""On the bench: instruments among tools, clamps that hold glue, the ultraviolet look, the hang-tag in the picture."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageFilter

from jobs.management.demo.drawing import bow, bow_scene, bowed, bowed_scene, fretted, fretted_scene
from jobs.management.demo.drawing.light import Form, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Point, box, curve, ellipse, polygon, ribbon, smooth
from jobs.management.demo.drawing.skins import BRASS, CARD, EBONY, LINING, STEEL, Skin, Woods

_HANDLE = Skin("streak", (96, 52, 26), (146, 88, 46), (188, 126, 76), (0.88, 0.84, 0.8), 0.3, 0.4, angle=90, mm=0.5)
_IRON = STEEL.but(dark=(52, 54, 58), mid=(84, 87, 92), light=(132, 135, 140), gloss=0.4)


def knife(picture: Picture, at: Point, turn: float) -> None:
    """A bench knife."""
    x, y = at
    handle = smooth([(-70, -8), (-20, -11), (16, -8), (22, 0), (16, 8), (-20, 11), (-70, 8), (-76, 0)])
    blade = polygon([(18, -7), (78, -6), (94, 7), (18, 7)])
    picture.part(blade.turned(turn).moved(x, y), STEEL.but(gloss=0.9), Form(((0, 0), (3, 0.9), (8, 1.1)), 0.3), lift=4)
    picture.part(handle.turned(turn).moved(x, y), _HANDLE.but(angle=90 + turn), rounded(9), lift=9)


def brush(picture: Picture, at: Point, turn: float) -> None:
    """A glue brush."""
    x, y = at
    for path, skin in (
        (polygon([(40, -9), (76, -12), (80, 0), (76, 12), (40, 9)]), LINING.but(angle=90 + turn)),
        (box(18, -8.5, 24, 17, 2), STEEL.but(gloss=0.9)),
        (smooth([(-110, -4), (-30, -7), (20, -6), (20, 6), (-30, 7), (-110, 4)]), _HANDLE.but(angle=90 + turn)),
    ):
        picture.part(path.turned(turn).moved(x, y), skin, rounded(6), lift=7)


def plane(picture: Picture, at: Point, turn: float) -> None:
    """A small brass plane."""
    x, y = at
    body = smooth([(-42, -15), (30, -16), (46, 0), (30, 16), (-42, 15), (-48, 0)])
    picture.part(body.turned(turn).moved(x, y), BRASS, rounded(5), lift=22)
    picture.part(box(-26, -11, 36, 22, 3).turned(turn).moved(x, y), STEEL.but(gloss=0.9), rounded(2), lift=6)
    picture.part(ellipse(-34, 0, 8).turned(turn).moved(x, y), BRASS, rounded(6), lift=6)


def pot(picture: Picture, at: Point) -> None:
    """A glue pot from above."""
    x, y = at
    picture.part(ellipse(x, y, 52), _IRON, rounded(8), lift=60, dark=0.7)
    picture.part(ellipse(x, y, 44), _IRON, Form(((0, 0), (4, -5), (20, -7)), 1), tone=0.7)
    amber = Skin("paper", (92, 50, 18), (140, 84, 34), (196, 138, 70), (0.8, 0.7, 0.6), 0.8, 0.9)
    picture.part(ellipse(x, y, 34), amber, Form(((0, 0), (6, -2), (20, -2.4)), 1), tone=0.85)


def rule(picture: Picture, at: Point, turn: float) -> None:
    """A steel rule lying about, too far for its lines to be read."""
    x, y = at
    picture.part(box(x - 150, y - 12, 300, 24, 1).turned(turn, at), STEEL, rounded(0.8), lift=2)
    ticks = [
        polygon([(x - 148 + 4 * i, y - 12), (x - 148 + 4 * i, y - (5 if i % 5 else 2))], closed=False).turned(turn, at)
        for i in range(74)
    ]
    picture.lines([[t.start, t.segments[0][2]] for t in ticks], 0.5, (40, 40, 44), 0.8)


def shavings(picture: Picture, rng: np.random.Generator, within: tuple[float, float, float, float]) -> None:
    """Curls of wood on the bench."""
    x0, y0, x1, y1 = within
    for _ in range(14):
        x, y, r = float(rng.uniform(x0, x1)), float(rng.uniform(y0, y1)), float(rng.uniform(5, 13))
        t = np.linspace(0, rng.uniform(3, 6), 16)
        curl = [
            (x + float(r * np.cos(a) * (0.5 + 0.1 * a)), y + float(r * 0.6 * np.sin(a) * (0.5 + 0.1 * a))) for a in t
        ]
        picture.fill([ribbon(curl, 2.8).moved(0.9, 1.1)], (20, 12, 8), 0.4, soft=0.8)
        picture.fill([ribbon(curl, 2.6)], (228, 194, 142))
        picture.fill([ribbon([(px - 0.4, py - 0.5) for px, py in curl], 1.0)], (250, 228, 186), 0.8)


def on_bench(picture: Picture, kind: str, w: Woods, seed: int) -> None:
    """The object on the bench with tools round it; frame about one and a half objects wide."""
    whole = bowed.BOWED.get(kind) or fretted.FRETTED.get(kind)
    unit = whole.length / 592 if whole else 1.0
    tools = picture.laid((0, 0), (0, 0), 0, size=max(1.0, unit * 0.7))
    shavings(tools, picture.rng, (-260, 100, 280, 190))
    if kind in bow.BOWS:
        long = bow.BOWS[kind].length
        spot = picture.laid((0, -20), (long / 2, 10), -9)
        bow_scene.side(spot, kind, w, hair=seed % 2 == 0)
    elif kind in bowed.BOWED:
        b = bowed.BOWED[kind]
        spot = picture.laid((-20 * unit, 10 * unit), (0, b.body * 0.24), -62 - seed % 3 * 7)
        if seed % 3:
            bowed_scene.front(spot, kind, w, bowed_scene.Setup(strings=seed % 2 == 0, bridge=seed % 2 == 0))
        else:
            bowed_scene.back(spot, kind, w)
    else:
        g = fretted.FRETTED[kind]
        spot = picture.laid((-20 * unit, 10 * unit), (0, g.body * 0.2), -64 - seed % 3 * 6)
        fretted_scene.front(spot, kind, w, strings=seed % 2 == 0)
    knife(tools, (-210, 140), -14)
    if seed % 2:
        brush(tools, (-190, -170), 12)
        pot(tools, (255, -175))
    else:
        plane(tools, (-220, -150), 24)
        rule(tools, (130, -195), 6)


def spool_clamps(picture: Picture, kind: str, from_: float = 0.66, to: float = 0.99) -> None:
    """Spool clamps round the lower edge, as when a seam is glued."""
    made: bowed.Bowed | fretted.Fretted = bowed.BOWED[kind] if kind in bowed.BOWED else fretted.FRETTED[kind]
    k = max(1.0, bowed.BOWED[kind].fine * 0.7) if kind in bowed.BOWED else 1.1
    ring = (bowed if kind in bowed.BOWED else fretted).inset(kind, 2 * k).flat(1)
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    along /= along[-1]
    for share in np.linspace(from_ * 0.5, to * 0.5, 7):
        i = int(np.searchsorted(along, share))
        x, y = float(ring[i, 0]), float(ring[i, 1])
        out_x, out_y = x / (made.lower / 2), (y - made.body * 0.7) / (made.body * 0.3)
        x, y = x + 5 * k * out_x, y + 5 * k * out_y
        picture.part(ellipse(x, y, 13 * k), LINING, rounded(3 * k), lift=22 * k, dark=0.7)
        picture.part(ellipse(x, y, 5 * k), STEEL.but(gloss=0.9), rounded(1.6 * k), lift=3 * k)
        turn = float(picture.rng.uniform(0, 180))
        wing = smooth(
            [
                (-13, -3),
                (-6, -3.4),
                (0, -4.2),
                (6, -3.4),
                (13, -3),
                (14, 0),
                (13, 3),
                (6, 3.4),
                (0, 4.2),
                (-6, 3.4),
                (-13, 3),
                (-14, 0),
            ]
        )
        picture.part(wing.scaled(k * 0.8).turned(turn).moved(x, y), BRASS, rounded(2.4 * k), lift=7 * k)
        picture.part(ellipse(x, y, 2.4 * k), STEEL.but(gloss=0.9), rounded(1.4 * k), lift=4 * k)


def bridge_clamps(picture: Picture, kind: str) -> None:
    """Three deep clamps through the round hole that press a guitar's bridge down."""
    g = fretted.FRETTED[kind]
    picture.part(box(-60, g.stop - 9, 120, 26, 2), LINING.but(angle=90), rounded(2), lift=10, dark=0.6)
    for x, lean in ((-38.0, -16.0), (0.0, 0.0), (38.0, 16.0)):
        arm = polygon(
            [(lean - 6, g.hole_y + 14), (lean + 6, g.hole_y + 14), (x + 6.5, g.stop + 16), (x - 6.5, g.stop + 16)]
        )
        picture.part(arm, _IRON, rounded(3), lift=24, dark=0.7)
        picture.part(ellipse(x, g.stop + 4, 11), _IRON, rounded(4), lift=8)
        picture.part(ellipse(x, g.stop + 4, 6.5), STEEL.but(gloss=0.9), rounded(3), lift=10)
        bar = box(x - 24, g.stop + 1.4, 48, 5.2, 2.4).turned(float(picture.rng.uniform(-40, 40)), (x, g.stop + 4))
        picture.part(bar, STEEL.but(gloss=0.9), rounded(2.5), lift=14)
    picture.part(curve((-26, g.hole_y + 4), (26, g.hole_y + 4), (24, g.hole_y + 22), (-24, g.hole_y + 22), closed=True),
                 _IRON, rounded(3), lift=20, tone=0.85)  # fmt: skip


def under_ultraviolet(image: Image.Image, rng: np.random.Generator, spots: list[tuple[int, int, int]]) -> Image.Image:
    """Varnish glows greenish yellow, later retouches stay dark (``spots``: x, y, radius in pixels), the room is violet."""
    grey = image.convert("L")
    bright = float(np.percentile(np.asarray(grey.reduce(8)), 99.2)) / 255
    v = np.clip(np.arange(256) / 255 / max(bright, 0.1), 0, 1.1)
    tables = (0.05 + 0.5 * v**1.5, 0.03 + 0.64 * v**1.3, 0.16 + 0.32 * v**0.9)
    out = Image.merge("RGB", [grey.point([int(c * 255) for c in np.clip(t, 0, 1)]) for t in tables])
    small = Image.new("L", (image.size[0] // 8, image.size[1] // 8))
    for x, y, r in spots:
        dot = Image.new("L", small.size)
        n = 18
        angles = np.linspace(0, 2 * np.pi, n, endpoint=False)
        radii = r / 8 * rng.uniform(0.55, 1.2, n)
        ring = [
            (x / 8 + float(q * np.cos(a)), y / 8 + float(q * np.sin(a))) for a, q in zip(angles, radii, strict=True)
        ]
        dot.paste(210, (0, 0), _blob(small.size, ring))
        small.paste(210, (0, 0), dot)
    mask = small.filter(ImageFilter.GaussianBlur(1.6)).resize(image.size, Image.Resampling.BILINEAR)
    out.paste((30, 22, 44), (0, 0), mask)
    return out


def _blob(size: tuple[int, int], ring: list[Point]) -> Image.Image:
    sheet = Picture(size, 1, (size[0] / 2, size[1] / 2), np.random.default_rng(0), ground=Image.new("RGB", size))
    return sheet.mask([smooth(ring)], (0, 0, *size))


def hang_tag(picture: Picture, symbol: Image.Image, corner: Point, wide: float) -> None:
    """A paper hang-tag with its printed symbol, lying in the picture; ``wide`` and ``corner`` in mm."""
    x, y = corner
    card = polygon(
        [
            (x, y + wide * 0.1),
            (x + wide * 0.1, y),
            (x + wide * 0.9, y),
            (x + wide, y + wide * 0.1),
            (x + wide, y + wide * 1.32),
            (x, y + wide * 1.32),
        ]
    )
    cord = smooth(
        [
            (x + wide * 0.5, y + wide * 0.12),
            (x + wide * 0.42, y - wide * 0.16),
            (x + wide * 0.66, y - wide * 0.4),
            (x + wide * 0.9, y - wide * 0.2),
        ],
        closed=False,
    )
    picture.part(card, CARD, None, lift=wide * 0.02, dark=0.6)
    picture.fill([ellipse(x + wide * 0.5, y + wide * 0.12, wide * 0.045)], (60, 54, 48))
    picture.lines([[(float(a), float(b)) for a, b in cord.flat(10)]], wide * 0.016, (138, 106, 60))
    side = round(wide * 0.86 * picture.per)
    px, py = picture.pixels([(x + wide * 0.07, y + wide * 0.26)])[0]
    square = symbol.convert("L").resize(
        (side, side), Image.Resampling.NEAREST if symbol.size[0] * 3 < side else Image.Resampling.BOX
    )
    ink = square.point([255 - v for v in range(256)])
    picture.image.paste((34, 28, 26), (round(px), round(py)), ink)


def colour_card(picture: Picture, corner: Point, wide: float) -> None:
    """A grey card with a few patches, as laid beside an object to be photographed."""
    x, y = corner
    picture.part(box(x, y, wide, wide * 0.22, wide * 0.01), EBONY.but(gloss=0.1), None, lift=wide * 0.012)
    patches = (
        (236, 236, 232),
        (186, 186, 184),
        (128, 128, 126),
        (74, 74, 74),
        (176, 60, 52),
        (206, 164, 62),
        (62, 112, 74),
        (54, 78, 128),
    )
    for i, colour in enumerate(patches):
        step = wide * 0.96 / len(patches)
        picture.fill(
            [box(x + wide * 0.02 + step * i + step * 0.06, y + wide * 0.025, step * 0.88, wide * 0.17)], colour
        )
