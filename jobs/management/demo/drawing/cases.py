"""Cases, open and closed, and what is found in them."""

from __future__ import annotations

from jobs.management.demo.drawing import bow, bow_scene, bowed, bowed_scene, fretted, fretted_scene
from jobs.management.demo.drawing.light import Form, rounded
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Path, Point, box, curve, ellipse, ribbon, smooth
from jobs.management.demo.drawing.skins import BRASS, EBONY, LEATHER, Rgb, Skin, Woods

_PLUSH: tuple[Rgb, ...] = ((44, 62, 98), (96, 28, 40), (40, 74, 58), (108, 96, 74), (58, 54, 62))
_COVER: tuple[Rgb, ...] = ((34, 32, 32), (58, 40, 28), (36, 42, 52), (50, 50, 48))


def tinted(grain: str, colour: Rgb, *, gloss: float = 0.05, mm: float = 1.0) -> Skin:
    """A dyed cloth or leathercloth."""
    r, g, b = colour
    dark: Rgb = (int(r * 0.62), int(g * 0.62), int(b * 0.62))
    light: Rgb = (min(255, int(r * 1.42) + 8), min(255, int(g * 1.42) + 8), min(255, int(b * 1.42) + 8))
    return Skin(grain, dark, colour, light, (0.82, 0.82, 0.82), 0.5, gloss, mm=mm)


def shell(kind: str) -> tuple[Path, float, float]:
    """Inner hollow of a case lying with the scroll to the left, its length and depth in mm, about the middle."""
    if kind in fretted.FRETTED and kind != "mandolin":
        g = fretted.FRETTED[kind]
        up, wide = g.length / 2 + 20, g.lower / 2 + 16
        waist = wide * 0.74
        outline = curve(
            (-up, -58), (-up + 230, -58), (-up + 250, -58, -up + 300, -70, up - g.body - 20, -96),
            (up - g.body + 20, -waist - 34, up - g.body + 150, -waist - 40, up - g.body * 0.62, -waist),
            (up - g.body * 0.42, -waist + 4, up - 300, -wide, up - 150, -wide), (up - 20, -wide, up, -wide * 0.5, up, 0),
            (up, wide * 0.5, up - 20, wide, up - 150, wide), (up - 300, wide, up - g.body * 0.42, waist - 4, up - g.body * 0.62, waist),
            (up - g.body + 150, waist + 40, up - g.body + 20, waist + 34, up - g.body - 20, 96),
            (-up + 300, 70, -up + 250, 58, -up + 230, 58), (-up, 58), closed=True,
        )  # fmt: skip
        return outline, 2 * up, 2 * wide
    if kind in bow.BOWS:
        return box(-395, -78, 790, 156, 12), 790, 156
    long = (bowed.BOWED[kind].length if kind in bowed.BOWED else fretted.FRETTED[kind].length) * 1.34
    deep = (bowed.BOWED[kind].lower if kind in bowed.BOWED else fretted.FRETTED[kind].lower) * 1.2
    return box(-long / 2, -deep / 2, long, deep, deep * 0.09), long, deep


def open_case(picture: Picture, kind: str, w: Woods, seed: int) -> None:
    """The case open on the table: base with the instrument, lid with its bows behind."""
    hollow, long, deep = shell(kind)
    plush = tinted("plush", _PLUSH[seed % 5], mm=long / 700)
    cover = tinted("cloth", _COVER[seed % 4], gloss=0.12, mm=long / 600)
    rim = long * 0.018

    def tray(middle: float, flip: bool) -> Path:
        inner = hollow.scaled(1, -1) if flip else hollow
        outer = inner.scaled(1 + 2 * rim / long, 1 + 2 * rim / deep).moved(0, middle)
        picture.shadow([outer], long * 0.03)
        picture.fill([outer], cover.mid)
        picture.lines(
            [_round(inner.scaled(1 + rim / long, 1 + rim / deep).moved(0, middle))], rim * 0.3, cover.light, 0.5
        )
        placed = inner.moved(0, middle)
        picture.part(
            placed, plush, Form(((0, 0), (rim * 0.8, -rim * 1.3), (rim * 3, -rim * 1.6)), rim * 0.3), tone=0.92
        )
        picture.lines([_round(placed)], rim * 0.22, (16, 12, 12), 0.5)
        return placed

    shaped = kind in fretted.FRETTED and kind != "mandolin"
    down = deep * 0.5 + rim * (1.1 if shaped else 1.9)
    lid = tray(-down, True)
    tray(down, False)
    left, right = (0.2, 0.4) if shaped else (-0.46, 0.46)
    picture.part(
        box(long * left, -rim * 0.9, long * (right - left), rim * 1.8, rim * 0.4),
        cover,
        rounded(rim * 0.6),
        lift=2,
        tone=0.7,
    )
    for x in (0.25, 0.35) if shaped else (-0.3, 0.3):
        picture.part(box(long * x - 18, -rim, 36, rim * 2, 3), BRASS, rounded(2), lift=2)
    if kind in bow.BOWS:
        for i in range(3):
            spot = picture.laid((0, down - 44 + 40 * i), (bow.BOWS[kind].length / 2, 10), 0, flip=bool(i % 2))
            bow_scene.side(spot, kind, w)
        _straps(picture, [(-230, down), (230, down)], 130)
        return
    if kind in bowed.BOWED:
        b = bowed.BOWED[kind]
        spot = picture.laid((long * 0.02, down), (0, b.body / 2 - (b.head + b.neck) / 2), -90)
        bowed_scene.front(spot, kind, w, bowed_scene.Setup(chinrest=not b.pin, pin=False))
        stick = {"violin": "bow", "viola": "bow-viola", "cello": "bow-cello", "bass": "bow-bass"}[kind]
        for y in (-down - deep * 0.16, -down + deep * 0.2):
            rod = picture.laid((0, y), (bow.BOWS[stick].length / 2, 10), 0, flip=y > -down)
            bow_scene.side(rod, stick, w)
        _straps(picture, [(-230, -down), (250, -down)], deep * 0.62)
    else:
        g = fretted.FRETTED[kind]
        spot = picture.laid((0, down), (0, g.body / 2 - (g.head + g.neck) / 2), -90)
        fretted_scene.front(spot, kind, w)
    band = ribbon([(-long * 0.235, down - 40), (-long * 0.235, down + 40)], 16 * long / 750)
    picture.part(band, plush, rounded(3), lift=6, tone=0.8)
    picture.shadow([lid], 1, 0.1)


def _straps(picture: Picture, places: list[Point], high: float) -> None:
    for x, y in places:
        picture.part(box(x - 7, y - high / 2, 14, high, 4), LEATHER, rounded(3), lift=5, tone=0.9)
        for s in (-0.3, 0.3):
            picture.part(ellipse(x, y + s * high, 6), EBONY.but(gloss=0.5), rounded(4), lift=4)


def _round(path: Path) -> list[Point]:
    dots = [(float(x), float(y)) for x, y in path.flat(8)]
    return [*dots, dots[0]]


def closed_case(picture: Picture, seed: int) -> None:
    """A closed violin case from above, with handle and catches."""
    cover = tinted("cloth", _COVER[seed % 4], gloss=0.2, mm=1.2)
    picture.part(box(-395, -130, 790, 260, 28), cover, Form(((0, 0), (14, 12), (60, 22)), 4), lift=40)
    picture.lines([[(-388, 104), (388, 104)]], 2.4, (150, 146, 138), 0.7)
    for x in (-230, 230):
        picture.part(box(x - 22, 96, 44, 30, 4), BRASS, rounded(4), lift=4)
    handle = ribbon(smooth([(-70, 122), (-60, 152), (0, 160), (60, 152), (70, 122)], closed=False).flat(8), 16)
    picture.part(handle, LEATHER, rounded(7), lift=14)
    pocket = box(-150, -70, 300, 120, 10)
    picture.lines([_round(pocket)], 1.6, (12, 10, 10), 0.6)
