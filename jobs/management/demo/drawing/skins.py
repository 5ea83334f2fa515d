"""What things are made of: grain, colours, gloss. A skin's colours run from the dark to the light of its grain."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

Rgb = tuple[int, int, int]


@dataclass(frozen=True)
class Skin:
    """``thick`` is what a thick coat leaves of the colour (1 = nothing lost); ``mm`` stretches the grain."""

    grain: str
    dark: Rgb
    mid: Rgb
    light: Rgb
    thick: tuple[float, float, float] = (0.8, 0.72, 0.66)
    patina: float = 0.5
    gloss: float = 0.3
    angle: float = 0.0
    mm: float = 1.0
    version: int = 0
    shift: float = 0.0  # sideways in the tile, mm; 0 keeps the joint in the middle

    def but(self, **changes: Any) -> Skin:
        """The same stuff with something changed."""
        return replace(self, **changes)


def times(colour: Rgb, share: float) -> Rgb:
    """A colour made darker or lighter."""
    r, g, b = (min(255, int(c * share)) for c in colour)
    return (r, g, b)


@lru_cache(maxsize=400)
def ramps(dark: Rgb, mid: Rgb, light: Rgb) -> list[list[int]]:
    """Three look-up lists of 256 that colour a grey grain."""
    at = [20, 120, 215]
    return [[int(v) for v in np.interp(np.arange(256), at, [dark[c], mid[c], light[c]])] for c in range(3)]


EBONY = Skin("ebony", (14, 11, 10), (34, 28, 25), (66, 57, 50), (0.9, 0.9, 0.9), 0.25, 0.2)
BONE = Skin("paper", (196, 184, 158), (228, 219, 196), (246, 240, 224), (0.92, 0.9, 0.84), 0.4, 0.35)
BRIDGE = Skin("maple", (176, 128, 78), (214, 172, 120), (236, 204, 158), (0.92, 0.86, 0.78), 0.35, 0.1, mm=0.5)
PEARL = Skin("plush", (186, 190, 196), (224, 226, 226), (250, 246, 244), (0.9, 0.98, 0.96), 0.8, 0.6, mm=0.16)
SILVER = Skin("metal", (132, 132, 134), (184, 184, 186), (232, 232, 232), (0.86, 0.85, 0.82), 0.5, 0.9)
GOLD = Skin("metal", (140, 104, 48), (198, 158, 84), (240, 212, 146), (0.86, 0.82, 0.74), 0.5, 0.9)
STEEL = Skin("metal", (138, 142, 146), (176, 180, 184), (216, 219, 222), (0.93, 0.94, 0.95), 0.3, 0.5)
LEATHER = Skin("cloth", (34, 20, 14), (62, 38, 26), (98, 66, 46), (0.85, 0.8, 0.78), 0.5, 0.12, mm=0.4)
HAIR = Skin("hair", (150, 140, 118), (206, 198, 176), (240, 236, 222), (0.94, 0.92, 0.86), 0.3, 0.2)
PAPER = Skin("paper", (196, 182, 150), (232, 222, 196), (248, 242, 226), (0.9, 0.86, 0.76), 0.5, 0.0)
CARD = Skin("paper", (222, 216, 204), (240, 236, 226), (250, 248, 242), (0.96, 0.95, 0.92), 0.2, 0.0)
BENCH = Skin("beech", (136, 98, 62), (176, 134, 92), (206, 168, 124), (0.86, 0.82, 0.76), 0.6, 0.08, mm=1.6)
INSIDE = Skin("spruce", (176, 130, 78), (206, 164, 108), (228, 192, 140), (0.86, 0.78, 0.68), 0.6, 0.04)
NEW_WOOD = Skin("spruce", (206, 168, 112), (232, 202, 150), (246, 224, 182), (0.95, 0.92, 0.86), 0.3, 0.05)
LINING = Skin("streak", (170, 128, 80), (204, 164, 112), (226, 192, 144), (0.88, 0.82, 0.74), 0.5, 0.03, mm=0.7)
BRASS = GOLD.but(dark=(120, 92, 44), mid=(176, 142, 76), light=(226, 198, 132))

#: Varnish: (wood dark, mid, light) for spruce, the same for maple, what a thick coat leaves.
_VARNISH: tuple[tuple[tuple[Rgb, Rgb, Rgb], tuple[Rgb, Rgb, Rgb], tuple[float, float, float]], ...] = (
    (((122, 56, 18), (186, 98, 34), (218, 136, 58)), ((112, 44, 14), (184, 92, 32), (226, 142, 66)), (0.78, 0.62, 0.5)),
    (((96, 36, 14), (152, 64, 24), (190, 96, 42)), ((78, 26, 10), (146, 58, 22), (198, 100, 46)), (0.74, 0.56, 0.48)),
    (((142, 84, 30), (206, 140, 60), (232, 178, 96)), ((132, 70, 22), (202, 132, 54), (238, 184, 100)), (0.84, 0.72, 0.54)),
    (((66, 34, 18), (108, 60, 32), (144, 90, 54)), ((54, 26, 13), (104, 56, 30), (152, 94, 56)), (0.74, 0.64, 0.58)),
    (((116, 42, 22), (170, 72, 36), (206, 110, 62)), ((98, 30, 16), (166, 66, 32), (214, 116, 64)), (0.76, 0.56, 0.5)),
    (((132, 72, 24), (190, 116, 46), (222, 154, 78)), ((118, 56, 18), (188, 108, 42), (230, 162, 84)), (0.8, 0.68, 0.52)),
    (((88, 46, 20), (140, 82, 40), (178, 118, 66)), ((72, 36, 15), (136, 76, 36), (186, 122, 70)), (0.76, 0.64, 0.54)),
)  # fmt: skip

#: Guitar and mandolin fronts (spruce or cedar) and bodies.
_FRONTS: tuple[tuple[Rgb, Rgb, Rgb], ...] = (
    ((196, 146, 84), (224, 184, 124), (240, 210, 160)),
    ((178, 118, 62), (210, 156, 92), (230, 184, 124)),
    ((150, 88, 48), (184, 120, 72), (210, 150, 98)),
)
_BODIES: tuple[tuple[str, Rgb, Rgb, Rgb], ...] = (
    ("rosewood", (44, 22, 14), (92, 52, 34), (142, 90, 60)),
    ("rosewood", (60, 28, 18), (112, 62, 40), (160, 102, 70)),
    ("streak", (96, 48, 26), (142, 80, 46), (176, 112, 70)),
)


def _dulled(three: tuple[Rgb, Rgb, Rgb], share: float = 0.16) -> tuple[Rgb, Rgb, Rgb]:
    """Colours a little nearer to grey, as a camera sees varnish in daylight."""
    out = []
    for r, g, b in three:
        grey = 0.4 * r + 0.45 * g + 0.15 * b
        out.append((int(r + (grey - r) * share), int(g + (grey - g) * share), int(b + (grey - b) * share)))
    return (out[0], out[1], out[2])


@dataclass(frozen=True)
class Woods:
    """The skins of one instrument; the same seed gives the same instrument in every view."""

    top: Skin
    back: Skin
    neck: Skin
    fittings: Skin
    board: Skin
    metal: Skin
    stick: Skin
    worn: float


def woods(seed: int, family: str, size: float) -> Woods:
    """Skins for an instrument (``family``: bowed, guitar, mandolin, bow); ``size`` stretches the grain."""
    rng = np.random.default_rng([seed, 11])
    v = int(rng.integers(0, 100))
    worn = float(rng.uniform(0.2, 1))
    if family == "guitar":
        front, (grain, *body) = _FRONTS[v % 3], _BODIES[(v // 3) % 3]
        top = Skin("spruce", *front, (0.94, 0.9, 0.84), 0.4, 0.34, mm=1.75 * size, version=v % 3)
        back = Skin(grain, body[0], body[1], body[2], (0.9, 0.86, 0.82), 0.4, 0.42, mm=1.7, version=v % 2)
        neck = Skin("streak", (92, 50, 28), (136, 82, 48), (172, 116, 74), (0.88, 0.82, 0.78), 0.4, 0.25, version=v % 2)
    else:
        spruce, maple, thick = _VARNISH[v % len(_VARNISH)]
        spruce, maple = _dulled(spruce), _dulled(maple)
        top = Skin("spruce", *spruce, thick, 0.75, 0.5, mm=1.28 * size, version=v % 3)
        back = Skin("maple", *maple, thick, 0.7, 0.55, mm=1.1 * size, version=v % 4,
                    shift=0.0 if v % 5 else 55.0)  # fmt: skip
        neck = back.but(mm=0.8 * size, shift=0.0)
    box_wood = Skin("streak", (112, 66, 28), (158, 104, 52), (190, 138, 80), (0.9, 0.84, 0.76), 0.3, 0.4)
    rose = Skin("rosewood", (48, 22, 16), (88, 46, 32), (128, 78, 54), (0.9, 0.86, 0.8), 0.3, 0.4, mm=0.5)
    fittings = (EBONY.but(gloss=0.5), EBONY.but(gloss=0.5), box_wood, rose)[(v // 7) % 4]
    board = EBONY if family != "guitar" or v % 2 else rose.but(mm=0.8, gloss=0.15, dark=(34, 18, 13), mid=(62, 36, 26))
    stick = (
        Skin("streak", (74, 26, 14), (132, 58, 30), (178, 96, 54), (0.8, 0.7, 0.66), 0.5, 0.6, mm=0.4, version=v % 2),
        Skin("streak", (98, 42, 18), (162, 86, 42), (204, 130, 76), (0.84, 0.74, 0.68), 0.5, 0.6, mm=0.4),
        Skin("streak", (46, 20, 14), (84, 42, 26), (124, 70, 44), (0.84, 0.78, 0.74), 0.5, 0.6, mm=0.4),
    )[v % 3]  # fmt: skip
    return Woods(top, back, neck, fittings, board, GOLD if v % 6 == 5 else SILVER, stick, worn)
