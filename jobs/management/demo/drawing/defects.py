"""Close-ups of what is wrong, in true size beside a millimetre rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from jobs.management.demo.drawing import bow, bowed, fretted
from jobs.management.demo.drawing.inside import crack
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Point, ellipse, polygon, ribbon, smooth
from jobs.management.demo.drawing.skins import Rgb

_BARE: Rgb = (216, 172, 112)
_DEEP: Rgb = (26, 12, 6)


@dataclass(frozen=True)
class Place:
    """Where on the object a defect is looked for: which drawing, its middle, which way it runs (degrees from upright)."""

    seen: str  # front, back, side, lean (side with a leaning bridge), inside, bow
    at: Point
    turn: float = 0.0
    flip: bool = False
    least: float = 0.0  # width of the frame that the place needs, mm
    drop: float = 0.0  # how far below the middle of the frame the place lies, as a share of its height


def place(kind: str, term: str, part: int) -> Place:
    """A likely place for a condition term on a kind; ``part`` varies it."""
    if kind in bow.BOWS:
        b = bow.BOWS[kind]
        head = term in {"cr-head", "bw-tip"}
        frog = term in {"cr-frog", "bw-eye", "bw-screw", "bw-slide", "miss"}
        if term == "bw-tip":
            return Place("bow", (8 * b.size, 20 * b.size), 90, drop=0.16)
        x = 10 * b.size if head else bow.frog_at(kind) + b.frog * 0.5 if frog else b.length * (0.35 + 0.1 * (part % 3))
        return Place("bow", (x, bow.camber(kind, x) + (9 if head or frog else 0)))
    if term.startswith(("pr-cleat", "pr-patch", "lin-", "bar-")):
        body = bowed.BOWED[kind].body if kind in bowed.BOWED else fretted.FRETTED[kind].body
        half = bowed.BOWED[kind].lower / 2 if kind in bowed.BOWED else fretted.FRETTED[kind].lower * 0.55
        return Place("inside", (half * 0.4, body * 0.74))
    if kind in bowed.BOWED:
        return _bowed_place(kind, term, part)
    g = fretted.FRETTED[kind]
    if term in {"br-lift", "cr-brdg-g"}:
        return Place("front", (0, g.stop + (21 if kind == "guitar-classical" else 27)), 90)
    if term.startswith(("fret", "fb")):
        return Place("front", (0, -g.neck * 0.7), 90)
    if term in {"seam", "cr-rib"}:
        return Place("side", (0 if term == "seam" else -g.ribs_tail * 0.5, g.body * 0.75), flip=bool(part % 2))
    if term.startswith("worm"):
        return Place("back", (g.lower * 0.22, g.body * 0.8))
    return Place("front", (g.lower * (0.26 if part % 2 else -0.24), g.body * 0.78))


def _bowed_place(kind: str, term: str, part: int) -> Place:
    b = bowed.BOWED[kind]
    w, tall = b.lower / 208, b.body / 355
    fixed: dict[str, Place] = {
        "cr-spost-t": Place("front", (24 * w, 215 * tall)),
        "cr-spost-b": Place("back", (-24 * w, 200 * tall)),
        "cr-bbar": Place("front", (-19 * w, 240 * tall)),
        "sink": Place("front", (-30 * w, 200 * tall)),
        "cr-wing": Place("front", (47 * w, 206 * tall)),
        "cr-ff": Place("front", (52 * w, 244 * tall)),
        "cr-saddle": Place("front", (14 * w, 318 * tall)),
        "cr-centre": Place("back", (0, 270 * tall)),
        "cr-lower": Place("front", (66 * w, 284 * tall)),
        "cr-upper": Place("front", (-54 * w, 66 * tall)),
        "cr-edge": Place("front", (90 * w, 262 * tall)),
        "cr-button": Place("back", (0, -2 * tall)),
        "cr-pegbox": Place("side", (-11 * b.fine, -b.neck - 26 * b.fine)),
        "cr-scroll": Place("side", (-38 * b.fine, -b.neck - 84 * b.fine)),
        "cr-rib": Place("side", (-b.ribs * 0.5, 270 * tall), flip=bool(part % 2)),
        "cr-neck": Place("side", (-9 * b.fine, -24 * b.fine)),
        "seam": Place("side", (0 if part % 2 else -b.ribs, 290 * tall), flip=bool(part % 3)),
        "scratch": Place("side", (-b.ribs * 0.5, 173 * tall), 58, flip=True),
        "wear-upper": Place("front", (50 * w, 42 * tall)),
        "wear-edge": Place("front", (58 * w, 30 * tall)),
        "rosin": Place("front", (0, 178 * tall)),
        "fb-wear": Place("front", (4 * w, -90 * b.fine)),
        "nut-low": Place("front", (0, -b.neck), 90),
        "endpin-bad": Place("front", (0, b.body)),
        "post-down": Place("front", (38 * w, 200 * tall)),
        "varn-soft": Place("back", (0, 250 * tall)),
    }
    if term in fixed:
        return fixed[term]
    if term.startswith("worm"):
        return Place("back", (54 * w, 300 * tall))
    if term in {"br-lean", "br-warp"}:
        return Place("lean", (b.arch + b.bridge_high * 0.45, b.stop), least=b.bridge_high * 2.4)
    if term.startswith("br-"):
        return Place("front", (0, b.stop), 90, least=b.bridge_wide * 1.7)
    spots = ((-58, 300), (60, 52), (-50, 70), (40, 300))
    x, y = spots[part % 4]
    return Place("front" if part % 3 else "back", (x * w, y * tall), 90 if term == "cr-cross" else 0)


Mark = Callable[[Picture, Point, float, float], None]


def _crack(picture: Picture, at: Point, long: float, turn: float) -> None:
    start = polygon([at, (at[0], at[1] - long / 2)], closed=False).turned(turn, at).segments[0][2]
    wide = float(np.clip(long / 260, 0.22, 0.8))
    crack(picture, start, long, wide=wide, dirty=True, turn=turn)


def _seam(picture: Picture, at: Point, long: float, turn: float) -> None:
    x, y = at
    n = 20
    dots: list[Point] = [(x, y - long / 2 + long * i / n) for i in range(n + 1)]
    gape = [0.1 + min(0.9, long / 90) * float(np.sin(np.pi * i / n)) ** 0.7 for i in range(n + 1)]
    path = polygon(dots, closed=False).turned(turn, at)
    line: list[Point] = [path.start, *(s[2] for s in path.segments)]
    picture.fill([ribbon(line, [g * 2.6 for g in gape])], _DEEP, 0.4, soft=0.5)
    picture.fill([ribbon(line, gape)], (8, 4, 2), 0.98)
    picture.fill(
        [ribbon([(a + g * 0.62, b) for (a, b), g in zip(line, gape, strict=True)], 0.22)], (255, 224, 176), 0.6
    )


def _scratch(picture: Picture, at: Point, long: float, turn: float) -> None:
    x, y = at
    n = 24
    bow_out = [0.02 * long * float(np.sin(np.pi * i / n)) for i in range(n + 1)]
    base = polygon([(x + bow_out[i], y - long / 2 + long * i / n) for i in range(n + 1)], closed=False).turned(turn, at)
    line: list[Point] = [base.start, *(s[2] for s in base.segments)]
    fat = [0.1 + 0.34 * min(1.0, 4 * min(i, n - i) / n) for i in range(n + 1)]
    picture.fill([ribbon([(a + 0.3, b + 0.25) for a, b in line], fat)], _DEEP, 0.55, soft=0.18)
    picture.fill([ribbon(line, fat)], (232, 196, 146), 0.92)
    picture.fill([ribbon([(a - 0.08, b - 0.06) for a, b in line], [f * 0.4 for f in fat])], (255, 240, 214), 0.9)
    beside = [(a + 1.5, b + 0.8) for a, b in line[7:16]]
    picture.fill([ribbon(beside, 0.14)], (232, 196, 146), 0.6)


def _dent(picture: Picture, at: Point, long: float, turn: float) -> None:
    x, y = at
    r = long / 2
    picture.fill([ellipse(x, y, r, r * 0.72).turned(turn, at)], _DEEP, 0.42, soft=r * 0.24)
    picture.fill(
        [ellipse(x + r * 0.24, y + r * 0.26, r * 0.62, r * 0.42).turned(turn, at)], (255, 228, 186), 0.4, soft=r * 0.22
    )
    picture.fill([ellipse(x - r * 0.3, y - r * 0.3, r * 0.5, r * 0.34).turned(turn, at)], _DEEP, 0.5, soft=r * 0.16)


def _patch(picture: Picture, at: Point, long: float, turn: float, colour: Rgb, alpha: float) -> None:
    """A ragged area as long as the extent."""
    n = 22
    angles = np.linspace(0, 2 * np.pi, n, endpoint=False)
    radii = np.clip(1 + picture.rng.normal(0, 0.16, n), 0.6, 1.25)
    radii[[0, n // 2]] = 1.0
    dots = [
        (at[0] + float(long * 0.32 * r * np.sin(a)), at[1] + float(long * 0.5 * r * np.cos(a)))
        for a, r in zip(angles, radii, strict=True)
    ]
    area = smooth(dots).turned(turn, at)
    picture.fill([area], colour, alpha, soft=long * 0.02)
    picture.fill(
        [area.mapped(lambda x, y: (at[0] + (x - at[0]) * 0.7, at[1] + (y - at[1]) * 0.74))],
        colour,
        alpha * 0.6,
        soft=long * 0.05,
    )


def _bare(picture: Picture, at: Point, long: float, turn: float) -> None:
    _patch(picture, at, long, turn, _BARE, 0.62)


def _retouch(picture: Picture, at: Point, long: float, turn: float) -> None:
    _patch(picture, at, long, turn, (84, 34, 14), 0.4)


def _bloom(picture: Picture, at: Point, long: float, turn: float) -> None:
    _patch(picture, at, long, turn, (236, 230, 216), 0.4)
    dots = [ellipse(at[0] + float(x), at[1] + float(y), 0.22) for x, y in picture.rng.normal(0, long * 0.22, (160, 2))]
    picture.fill(dots, (246, 242, 230), 0.6)


def _chips(picture: Picture, at: Point, long: float, turn: float) -> None:
    """Flakes off: small ragged bare spots strung over the extent."""
    for i in range(7):
        along, aside = long * (i / 6 - 0.5), float(picture.rng.normal(0, long * 0.08))
        x, y = (at[0] + aside, at[1] + along) if turn == 0 else (at[0] + along, at[1] + aside * 0.2)
        r = float(picture.rng.uniform(0.03, 0.08)) * long
        angles = np.sort(picture.rng.uniform(0, 2 * np.pi, 9))
        ring = [
            (x + float(r * q * np.cos(a)), y + float(r * q * np.sin(a)))
            for a, q in zip(angles, picture.rng.uniform(0.6, 1.25, 9), strict=True)
        ]
        shape = polygon(ring)
        picture.fill([shape.moved(r * 0.1, r * 0.1)], _DEEP, 0.6)
        picture.fill([shape], _BARE, 0.9)
        picture.fill([shape.moved(-r * 0.2, -r * 0.2)], (240, 208, 156), 0.35, soft=r * 0.3)


def _worm(picture: Picture, at: Point, long: float, turn: float, *, live: bool = False) -> None:
    """Flight holes scattered over the extent, and one gallery laid open that wanders along the grain."""
    n = 10
    places = [
        (at[0] + float(dx), at[1] + long * (i / (n - 1) - 0.5))
        for i, dx in enumerate(picture.rng.normal(0, long * 0.2, n))
    ]
    wander = picture.rng.normal(0, 1.1, 7).cumsum()
    gallery = smooth(
        [(at[0] + 3 + float(d), at[1] + long * (i / 10 - 0.3)) for i, d in enumerate(wander)], closed=False
    ).flat(6)
    picture.fill([ribbon(gallery, 1.6)], (120, 74, 40), 0.8)
    picture.fill([ribbon([(float(x) - 0.3, float(y) - 0.2) for x, y in gallery], 0.8)], _DEEP, 0.75, soft=0.15)
    for x, y in places:
        r = float(picture.rng.uniform(0.5, 0.95))
        if live:
            picture.fill([ellipse(x + 0.6, y + 2.2, 1.7, 1.3)], (238, 212, 162), 0.75, soft=0.7)
            dust = [
                ellipse(x + 0.6 + float(dx), y + 2.4 + float(dy), 0.1) for dx, dy in picture.rng.normal(0, 1.0, (24, 2))
            ]
            picture.fill(dust, (246, 226, 182), 0.7)
        picture.fill([ellipse(x + 0.14, y + 0.16, r * 1.12, r)], (232, 190, 136), 0.55)
        picture.fill([ellipse(x, y, r, r * 0.92)], (14, 7, 4), 0.97)


def _live_worm(picture: Picture, at: Point, long: float, turn: float) -> None:
    _worm(picture, at, long, turn, live=True)


def _wear(picture: Picture, at: Point, long: float, turn: float) -> None:
    """Grooves under the strings or in frets: short hollows one below another."""
    for i in range(4):
        x = at[0] + (i - 1.5) * long * 0.16
        groove = ribbon([(x, at[1] - long * 0.5), (x, at[1]), (x, at[1] + long * 0.5)], [0.3, 1.5, 0.3]).turned(0, at)
        picture.fill([groove], (4, 3, 3), 0.7, soft=0.3)
        picture.fill([groove.moved(0.8, 0)], (150, 144, 136), 0.35, soft=0.3)


def _none(picture: Picture, at: Point, long: float, turn: float) -> None:
    """Nothing to paint: the place itself is the picture."""


_MARKS: tuple[tuple[tuple[str, ...], Mark], ...] = (
    (("seam", "br-lift", "fb-loose", "neck-loose", "lin-loose", "bar-loose"), _seam),
    (("scratch",), _scratch),
    (("dent", "sink", "bulge", "distort"), _dent),
    (("worm-live", "mites"), _live_worm),
    (("worm",), _worm),
    (("varn-chip", "cr-scroll", "bw-tip"), _chips),
    (("abrasion", "varn-bare", "wear", "varn-soft", "varn-craze"), _bare),
    (("pr-retouch", "pr-revarn", "pr-inlay", "pr-synth", "smoke", "soot", "damp", "dirt"), _retouch),
    (("rosin", "mould"), _bloom),
    (("fb-wear", "fret", "nut"), _wear),
    (("pr-cleat", "pr-patch"), _none),
    (("cr-",), _crack),
)


def on_board(term: str) -> bool:
    """Whether a term marks the fingerboard, which lies above the front."""
    return term.startswith(("fb-wear", "fret", "nut"))


def mark(term: str) -> Mark:
    """The painter for a condition term; terms that show nothing of themselves give an empty one."""
    for starts, painter in _MARKS:
        if term.startswith(starts):
            return painter
    return _none


#: Length taken where none is told, mm.
USUAL = 24.0


def frame_width(long: float) -> float:
    """Width of the frame in mm for a defect of that length."""
    return float(np.clip(long * 1.75 + 18, 44, 520))


def cover_rule(width: float, height: float) -> tuple[Point, int, float]:
    """Where the rule lies in a frame of that many mm, about its middle: upper left corner, length, height."""
    step = 10 if width < 300 else 50
    long = int((width * 0.82) // step * step)
    high = height * 0.105
    return (-long / 2, height / 2 - high * 1.28), long, high
