"""Through the sound hole and inside: the label, the bar, linings, cleats, patches."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO

import numpy as np
import typst
from PIL import Image

from jobs.management.demo.drawing import bowed, fretted
from jobs.management.demo.drawing.light import Form, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Path, Point, box, ellipse, polygon, ribbon, smooth
from jobs.management.demo.drawing.skins import INSIDE, LINING, NEW_WOOD, PAPER, Rgb, Woods

#: The label's print; the words come in as an input, never as markup.
_LABEL = b"""
#set page(width: 72mm, height: 42mm, margin: 3mm, fill: none)
#set text(font: "Libertinus Serif", fill: rgb("#2b2118"), size: 14pt)
#rect(width: 100%, height: 100%, inset: 3mm, stroke: (paint: rgb("#4a3a2a"), thickness: 0.9pt))[
  #rect(width: 100%, height: 100%, inset: 2mm, stroke: (paint: rgb("#4a3a2a"), thickness: 0.35pt))[
    #align(center + horizon, par(leading: 0.75em, for (i, line) in sys.inputs.words.split("\\n").enumerate() {
      if i == 0 { text(size: 1.25em, tracking: 0.06em, line) } else { text(style: "italic", line) }
      linebreak()
    }))
  ]
]
"""


@lru_cache(maxsize=64)
def printed(words: str) -> Image.Image:
    """The words as old print on nothing (grey, black is ink), 72 × 42 mm at 14 pixels per mm.

    A comma parts the first line from the second, as in "labelled Vosterlind, 1883" without its first word.
    """
    said = words.strip().removeprefix("labelled").strip(" “”\"'")
    lines = "\n".join(part.strip() for part in said.split(",", 1))
    png = typst.compile(_LABEL, format="png", ppi=14 * 25.4, sys_inputs={"words": lines})
    page = Image.open(BytesIO(png)).convert("RGBA")
    white = Image.new("RGBA", page.size, (255, 255, 255, 255))
    return Image.alpha_composite(white, page).convert("L")


def label(picture: Picture, kind: str, w: Woods, words: str) -> None:
    """Into the body through the sound hole; the frame is 96 mm wide, the label lies on the back."""
    w_mm, h_mm = picture.size[0] / picture.per, picture.size[1] / picture.per
    floor = box(-w_mm / 2 - 1, -h_mm / 2 - 1, w_mm + 2, h_mm + 2)
    grain = INSIDE.but(grain="maple" if kind in bowed.BOWED else w.back.grain, angle=8.0)
    if kind not in bowed.BOWED and kind != "mandolin":
        grain = w.back.but(gloss=0.04, angle=8.0)
    picture.part(floor, grain, None, tone=0.72)
    turn = float(picture.rng.uniform(-4, 4))
    if words:
        _paper(picture, words, turn)
    dust = [ellipse(float(x), float(y), float(r)) for x, y, r in zip(
        picture.rng.uniform(-44, 44, 40), picture.rng.uniform(-32, 32, 40), picture.rng.uniform(0.1, 0.5, 40), strict=True)]  # fmt: skip
    picture.fill(dust, (216, 204, 180), 0.4, soft=0.15)
    picture.fill([box(-60, -50, 120, 18)], (20, 12, 8), 0.5, soft=9)
    if kind in bowed.BOWED or kind == "mandolin":
        _through_f(picture, w)
    else:
        _through_round(picture, w)


def _paper(picture: Picture, words: str, turn: float) -> None:
    rim = [(-36.0 + 2 * i, -21.0) for i in range(36)] + [(36.0, -21.0 + 2 * i) for i in range(21)]
    rim += [(-x, -y) for x, y in rim]
    wobble = picture.rng.normal(0, 0.09, (len(rim), 2))
    sheet = polygon([(x + float(dx), y + float(dy)) for (x, y), (dx, dy) in zip(rim, wobble, strict=True)])
    picture.part(sheet.turned(turn), PAPER, None, lift=0.5, dark=0.5)
    for spot, r in (((22, -12), 5), ((-26, 13), 7)):
        picture.fill([ellipse(*spot, r, r * 0.7).turned(turn)], (150, 116, 70), 0.25, soft=3)
    ink = printed(words)
    size = (max(1, round(72 * picture.per)), max(1, round(42 * picture.per)))
    ink = ink.resize(size, Image.Resampling.BILINEAR).rotate(
        -turn, Image.Resampling.BICUBIC, expand=True, fillcolor=255
    )
    mask = ink.point([int((255 - v) * 0.86) for v in range(256)])
    px, py = picture.pixels([(0.0, 0.0)])[0]
    picture.image.paste((46, 34, 24), (round(px - ink.size[0] / 2), round(py - ink.size[1] / 2)), mask)


def _through_f(picture: Picture, w: Woods) -> None:
    """The two wings of an f-hole, out of focus, left and right."""
    left = [(-70, -60), (-31, -60), (-34, -30), (-38, 0), (-33, 30), (-26, 60), (-70, 60)]
    right = [(70, -60), (40, -60), (34, -28), (33, 4), (40, 34), (46, 60), (70, 60)]
    for points, far in ((left, 2.2), (right, -2.2)):
        edge = smooth([(x, float(y)) for x, y in points[1:-1]], closed=False).flat(8)
        wing = polygon([points[0], *[(float(x), float(y)) for x, y in edge], points[-1]])
        picture.shadow([wing], 5, 0.75)
        picture.fill([wing.moved(far, 0)], (206, 160, 104), 0.85, soft=1.2)
        r, g, b = w.top.mid
        picture.fill([wing], (int(r * 0.72), int(g * 0.66), int(b * 0.6)), 1.0, soft=1.3)
        picture.fill([wing.moved(-far * 5, 0)], w.top.mid, 0.8, soft=5)


def _through_round(picture: Picture, w: Woods) -> None:
    """The rim of a round hole at the corners of the frame, strings across, out of focus."""
    dots = [(float(x), float(y)) for x, y in ellipse(0, 0, 62, 54).flat(16)]
    frame = polygon([(-90, -80), (90, -80), (90, 80), (-90, 80)])
    ring = Path(frame.start, (*frame.segments, *polygon([(-90, -80), *dots[::-1], (-90, -80)]).segments))
    picture.shadow([ring], 3, 0.6)
    picture.fill([ring], w.top.mid, 1.0, soft=1.0)
    picture.lines([[*dots, dots[0]]], 2.2, (40, 24, 14), 0.7)
    for x in (-30, -15, 0, 15, 30):
        picture.fill([ribbon([(x, -70), (x * 1.06, 70)], 2.4)], (196, 188, 168), 0.5, soft=1.2)


def _line_inside(path: Path, by: float, wide: float, picture: Picture, skin_tone: float) -> None:
    ring = path.flat(1)
    band = ribbon([(float(x), float(y)) for x, y in ring], wide)
    picture.part(band, LINING, rounded(wide * 0.4), lift=by, tone=skin_tone)


def under_top(
    picture: Picture, kind: str, w: Woods, *, cleats: int = 6, patch: bool = True, bridge_plate: bool = False
) -> None:
    """The front seen from inside (treble side on the left): bar, linings, cleats across a crack, a patch."""
    if kind in bowed.BOWED:
        b = bowed.BOWED[kind]
        k = b.fine
        picture.part(
            bowed.body(kind),
            INSIDE.but(mm=1.2 * k**0.7),
            Form(((0, 0), (14 * k, -3.4 * k), (44 * k, -9 * k)), 5 * k),
            tone=0.95,
        )
        picture.fill(list(bowed.sound_holes(kind)), (120, 134, 140))
        for hole in bowed.sound_holes(kind):
            picture.lines([[(float(x), float(y)) for x, y in hole.flat(1)]], 0.7 * k, (110, 66, 34), 0.7)
        _line_inside(bowed.inset(kind, 5 * k), 2 * k, 3 * k, picture, 0.95)
        bar = ribbon(
            [(-15 * k, b.body * 0.13), (-17.5 * k, b.stop), (-20 * k, b.body * 0.86)], [3.4 * k, 6 * k, 3.4 * k]
        )
        picture.part(bar, NEW_WOOD.but(mm=0.8 * k), rounded(2.4 * k), lift=7 * k, dark=0.6)
        x, y0, y1, size = 42 * k, b.body * 0.62, b.body * 0.9, 9 * k**0.7
        if patch:
            spot = ellipse(22 * k, b.stop + 4 * k, 17 * k, 26 * k)
            picture.part(spot, NEW_WOOD.but(mm=0.7 * k, angle=3.0), rounded(5 * k), lift=1.2 * k, dark=0.4)
    else:
        g = fretted.FRETTED[kind]
        k = 2.2
        picture.part(fretted.body(kind), INSIDE.but(mm=1.8), Form(((0, 0), (12, -2), (60, -6)), 6), tone=0.95)
        picture.fill(list(fretted.sound_holes(kind)), (120, 134, 140))
        _line_inside(fretted.inset(kind, 6), 3, 8, picture, 0.9)
        top = g.hole_y + g.hole * 0.62
        for a, e in ((-0.42, -0.32), (-0.22, -0.16), (0, 0), (0.22, 0.16), (0.42, 0.32)):
            strut = ribbon([(a * g.lower * 0.5, top), (a * g.lower, g.body * 0.86 + abs(e) * -120)], [5, 7])
            picture.part(strut, NEW_WOOD, rounded(3), lift=6, dark=0.5)
        picture.part(box(-82, g.stop - 20, 164, 44, 3), LINING.but(angle=90), rounded(2), lift=3)
        x, y0, y1, size = g.lower * 0.3, g.body * 0.62, g.body * 0.9, 16.0
    if cleats:
        crack(picture, (x, y0), y1 - y0, wide=0.22 * k)
        for i in range(cleats):
            y = y0 + (y1 - y0) * (i + 0.5) / cleats
            stud = polygon([(x, y - size * 0.62), (x + size * 0.62, y), (x, y + size * 0.62), (x - size * 0.62, y)])
            picture.part(stud, NEW_WOOD.but(angle=90, mm=0.5 * k), rounded(size * 0.22), lift=size * 0.16, dark=0.5)
    del w


def crack(
    picture: Picture, start: Point, long: float, *, wide: float = 0.25, dirty: bool = False, turn: float = 0.0
) -> None:
    """A crack with the grain from ``start`` downwards: a dark line that wavers and runs out, one side a little proud."""
    n = max(12, int(long / 3))
    drift = picture.rng.normal(0, long / n * 0.035, n + 1).cumsum()
    drift -= np.linspace(drift[0], drift[-1], n + 1)
    line: list[Point] = [(start[0] + float(drift[i]), start[1] + long * i / n) for i in range(n + 1)]
    path = polygon(line, closed=False).turned(turn, start)
    dots: list[Point] = [path.start, *(s[2] for s in path.segments)]
    fat = [wide * (0.25 + min(1.0, 5 * min(i, n - i) / n)) for i in range(n + 1)]
    colour: Rgb = (34, 16, 8)
    if dirty:
        picture.fill([ribbon(dots, [f * 6 for f in fat])], colour, 0.3, soft=wide * 2)
    picture.fill(
        [ribbon([(x + wide * 1.2, y) for x, y in dots], [f * 1.4 for f in fat])], (255, 226, 180), 0.35, soft=wide * 0.5
    )
    picture.fill([ribbon(dots, fat)], colour, 0.96)
