"""View codes, kinds, and which part of which drawing each view looks at."""

from __future__ import annotations

import re
from dataclasses import dataclass

from jobs.management.demo.drawing import bow, bowed, fretted

#: Kinds by code, by name, and a bow by its size words.
KINDS: dict[str, str] = {
    "Vn": "violin", "Va": "viola", "Vc": "cello", "Db": "bass", "Md": "mandolin", "Gt": "guitar-steel", "Bw": "bow",
    "Cs": "case", "Pt": "parts", "Ot": "parts", "double bass": "bass", "guitar": "guitar-steel", "bow-violin": "bow",
    **{k: k for k in (*bowed.BOWED, *fretted.FRETTED, *bow.BOWS, "case", "parts")},
}  # fmt: skip

_SHARED = ("front-full", "back-full", "bass-side", "treble-side", "bridge-front", "bridge-side", "fb-sight", "nut-close",
           "label", "case-open", "case-contents")  # fmt: skip
BOWED_VIEWS = (*_SHARED, "scroll-front", "scroll-back", "scroll-bass", "scroll-treble", "button-heel", "ff-bass",
               "ff-treble", "tail-saddle-endpin", "edges-corners")  # fmt: skip
FRETTED_VIEWS = (*_SHARED, "head-front", "head-back", "heel", "soundhole", "bridge-pins-tail", "binding")
BOW_VIEWS = ("bow-full", "frog-player", "frog-far", "head-both", "button", "stamp", "camber-sight", "case-open",
             "case-contents")  # fmt: skip
CASE_VIEWS = ("front-full", "back-full", "case-open", "case-contents")
#: For any kind; ``defect-01`` and so on carry the number of the condition line.
EXTRA_VIEWS = ("defect", "raking-light", "ultraviolet", "inside", "clamps", "bench")


def views(kind: str) -> tuple[str, ...]:
    """The standard set of a kind."""
    name = kind_of(kind)
    if name in bowed.BOWED:
        return BOWED_VIEWS
    if name in fretted.FRETTED:
        return (*FRETTED_VIEWS, "ff-bass", "ff-treble") if name == "mandolin" else FRETTED_VIEWS
    return BOW_VIEWS if name in bow.BOWS else CASE_VIEWS


def kind_of(kind: str) -> str:
    """Our name of a kind. Raises ValueError for an unknown one."""
    if kind not in KINDS:
        raise ValueError(f"no drawing for the kind {kind!r}")
    return KINDS[kind]


def plain(view: str, kind: str) -> str:
    """The view code as drawn: ``defect-04`` is ``defect``. Raises ValueError for a view that the kind does not have."""
    code = "defect" if re.fullmatch(r"defect(-\w+)?", view) else view
    corner = kind in bowed.BOWED and re.fullmatch("edges-[1-4]", code)
    if not corner and code not in (*views(kind), *EXTRA_VIEWS):
        raise ValueError(f"no view {view!r} of {kind}")
    return "thing" if kind in ("case", "parts") else code


@dataclass(frozen=True)
class Shot:
    """A drawing (front, back, side) and the rectangle of it, in its own mm, that must be in the frame."""

    seen: str
    left: float
    top: float
    right: float
    low: float
    turn: float = 0.0
    flip: bool = False

    @property
    def middle(self) -> tuple[float, float]:
        """Middle of the rectangle."""
        return (self.left + self.right) / 2, (self.top + self.low) / 2

    def per(self, size: tuple[int, int]) -> float:
        """Pixels per mm that let the rectangle into a frame of that size."""
        w, h = self.right - self.left, self.low - self.top
        if abs(self.turn) == 90:
            w, h = h, w
        return min(size[0] / w, size[1] / h)


def shot(code: str, kind: str) -> Shot | None:
    """The shot of a view that looks straight at a drawing; None for views with a scene of their own."""
    if kind in bowed.BOWED:
        return _bowed_shot(code, kind)
    if kind in fretted.FRETTED:
        return _fretted_shot(code, kind)
    return _bow_shot(code, kind)


def _bowed_shot(code: str, kind: str) -> Shot | None:
    b = bowed.BOWED[kind]
    k, w, tall = b.fine, b.lower / 208, b.body / 355
    top, low, half = -b.neck - b.head - 24 * k, b.body + (b.pin or 12) + 22 * k, b.lower / 2 + 30 * k
    deep, high = b.ribs + b.arch + 46 * k, b.arch + b.bridge_high + 46 * k
    head = (-b.neck - b.head - 12 * k, -b.neck + 26 * k)
    table = {
        "front-full": Shot("front", -half, top, half, low),
        "back-full": Shot("back", -half, top, half, low),
        "bass-side": Shot("side", -deep, top, high, low, -90),
        "treble-side": Shot("side", -deep, top, high, low, 90, True),
        "scroll-front": Shot("front", -70 * k, head[0], 70 * k, head[1]),
        "scroll-back": Shot("back", -70 * k, head[0], 70 * k, head[1]),
        "scroll-bass": Shot("side", -94 * k, head[0], 50 * k, head[1]),
        "scroll-treble": Shot("side", -94 * k, head[0], 50 * k, head[1], flip=True),
        "button-heel": Shot("back", -60 * k, -50 * k, 60 * k, 44 * k),
        "ff-bass": Shot("front", -92 * w, 148 * tall, 4 * w, 240 * tall),
        "ff-treble": Shot("front", -4 * w, 148 * tall, 92 * w, 240 * tall),
        "bridge-side": Shot("side", -8 * k, b.stop - 40 * k, b.arch + b.bridge_high + 14 * k, b.stop + 40 * k, -90),
        "nut-close": Shot("front", -36 * k, -b.neck - 34 * k, 36 * k, -b.neck + 26 * k),
        "tail-saddle-endpin": Shot("front", -62 * k, b.body - 66 * k, 62 * k, b.body + 26 * k),
        "edges-corners": Shot("front", 22 * w, 172 * tall, 112 * w, 246 * tall),
    }
    for i, (x, y) in enumerate(((-64, 119), (64, 119), (-80, 214), (80, 214)), 1):
        table[f"edges-{i}"] = Shot("front", (x - 43) * w, (y - 32) * tall, (x + 43) * w, (y + 32) * tall)
    return table.get(code)


def _fretted_shot(code: str, kind: str) -> Shot | None:
    g = fretted.FRETTED[kind]
    half, top, low = g.lower / 2 + 40, -g.neck - g.head - 26, g.body + 40
    deep, high = g.ribs_tail + 90, 90.0
    head = (-g.neck - g.head - 16, -g.neck + 24)
    wide = 78.0 if kind == "mandolin" else 110.0
    return {
        "front-full": Shot("front", -half, top, half, low),
        "back-full": Shot("back", -half, top, half, low),
        "bass-side": Shot("side", -deep, top, high, low, -90),
        "treble-side": Shot("side", -deep, top, high, low, 90, True),
        "head-front": Shot("front", -wide, head[0], wide, head[1]),
        "head-back": Shot("back", -wide, head[0], wide, head[1]),
        "heel": Shot("back", -90, -80, 90, 60),
        "soundhole": Shot("front", -95, g.hole_y - 74, 95, g.hole_y + 74),
        "ff-bass": Shot("front", -112, 92, -14, 196),
        "ff-treble": Shot("front", 14, 92, 112, 196),
        "bridge-front": Shot("front", -112, g.stop - 62, 112, g.stop + 72),
        "bridge-side": Shot("side", -6, g.stop - 60, 46, g.stop + 60, -90),
        "nut-close": Shot("front", -56, -g.neck - 44, 56, -g.neck + 44),
        "bridge-pins-tail": Shot("front", -60, g.stop - 26, 60, g.stop + 50)
        if g.hole
        else Shot("front", -90, g.body - 100, 90, g.body + 34),
        "binding": Shot("front", g.lower * 0.26, g.body * 0.56, g.lower * 0.26 + 110, g.body * 0.56 + 82),
    }.get(code)


def _bow_shot(code: str, kind: str) -> Shot | None:
    b = bow.BOWS[kind]
    s, frog = b.size, bow.frog_at(kind)
    return {
        "bow-full": Shot("bow", -22, -60, b.length + 20, 80),
        "frog-player": Shot("bow", frog - 26 * s, -22 * s, b.length + 8 * s, 42 * s),
        "frog-far": Shot("bow", frog - 26 * s, -22 * s, b.length + 8 * s, 42 * s, flip=True),
        "stamp": Shot("bow", frog - 28 * s, -13 * s, frog + 34 * s, 16 * s),
    }.get(code)
