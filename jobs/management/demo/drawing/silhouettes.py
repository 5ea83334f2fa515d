"""The sprite of silhouettes that hang in the tags: one symbol a kind, readable at 24 × 56 pixels.

Every symbol hangs by its top in the middle of a 48 × 112 box and is one colour (``currentColor``) with
true openings, so that it prints as it is seen. Thin parts are drawn stouter than life.
"""

from __future__ import annotations

import numpy as np

from jobs.management.demo.drawing import bowed, fretted
from jobs.management.demo.drawing.shapes import Path, both, box, curve, ellipse, polygon, ribbon, smooth

WIDE, HIGH = 48.0, 112.0


def _d(*paths: Path, odd: bool = False) -> str:
    rule = ' fill-rule="evenodd"' if odd else ""
    return f'<path{rule} d="{"".join(p.thinned(0.06).svg(1) for p in paths)}"/>'


def _bowed(kind: str, body_high: float, pin: float) -> str:
    b = bowed.BOWED[kind]
    s = body_high / b.body
    foot = HIGH - 2 - pin
    top = foot - body_high

    def put(p: Path) -> Path:
        return p.mapped(lambda x, y: (24 + x * s, top + y * s))

    neck_top = 17.0
    holes = [_stout_f(put(h), 1 if i else -1) for i, h in enumerate(bowed.sound_holes(kind))]
    end, up = top + (b.board - b.neck) * s, top + 0.5
    slot = polygon([(21.2, up), (26.8, up), (28.6, end), (19.4, end)])
    bridge_y = top + b.stop * s
    bridge = box(24 - b.bridge_wide * s * 0.56, bridge_y - 0.8, b.bridge_wide * s * 1.12, 1.6, 0.6)
    tail_gap = ribbon([(20.2, bridge_y + 6.4), (27.8, bridge_y + 6.4)], 1.1)
    out = _d(put(bowed.body(kind)), *holes, slot, bridge, tail_gap, odd=True)
    out += _d(polygon([(22.5, neck_top - 2), (25.5, neck_top - 2), (27.2, end - 1), (20.8, end - 1)]))
    head = both(curve((0, 0.8), (1.6, 0.8, 2.7, 1.5, 2.9, 2.9), (4.2, 2.9, 4.4, 3.6, 4.5, 4.1),
                      (6, 4.5, 6, 7.7, 4.5, 8.1), (4.3, 8.9, 3.6, 9.4, 2.7, 9.9), (2.2, 11.6, 2.4, 13.4, 2.9, 17.6),
                      (0, 17.6))).moved(24, 0)  # fmt: skip
    out += _d(head)
    for y, side in ((11.0, 1), (12.6, -1), (14.6, 1), (16.2, -1)):
        shaft = box(24, y - 0.7, 7, 1.4)
        grip = ellipse(31.6, y, 1.9, 1.5)
        if b.geared:
            grip = box(30.6, y - 1.5, 2.6, 3, 0.8)
        for part in (shaft, grip):
            out += _d(part if side > 0 else part.mapped(lambda x, y: (48 - x, y)))
    if pin:
        out += _d(box(22.6, foot - 1, 2.8, 3.4, 0.6), box(23.3, foot, 1.4, pin))
    else:
        out += _d(ellipse(24, foot + 0.6, 1.5, 1.2))
    return out


def _stout_f(hole: Path, side: int) -> Path:
    """A sound hole made bold enough for a small picture: a slanting stroke with a hook at each end."""
    pts = hole.flat(1)
    x0, x1 = float(min(abs(pts[:, 0] - 24))), float(max(abs(pts[:, 0] - 24)))
    y0, y1 = float(pts[:, 1].min()), float(pts[:, 1].max())
    w, h = x1 - x0, y1 - y0
    line = [(x0 - w * 0.06, y0 + h * 0.07), (x0 + w * 0.17, y0), (x0 + w * 0.36, y0 + h * 0.2),
            (x0 + w * 0.48, y0 + h * 0.5), (x0 + w * 0.62, y0 + h * 0.78), (x0 + w * 0.86, y0 + h * 0.96),
            (x0 + w * 1.12, y0 + h * 0.88)]  # fmt: skip
    soft = smooth([(24 + side * x, y) for x, y in line], closed=False).flat(4)
    t = np.linspace(0, 1, len(soft))
    wide = [float(v) for v in np.interp(t, [0, 0.2, 0.5, 0.8, 1], [1.9, 1.3, 2, 1.3, 2.1])]
    return ribbon(soft, wide)


def _guitar(kind: str) -> str:
    g = fretted.FRETTED[kind]
    high = 61.0 if kind == "guitar-classical" else 57.5
    s, top = high / g.body, HIGH - 2 - high

    def put(p: Path) -> Path:
        return p.mapped(lambda x, y: (24 + x * s, top + y * s))

    hole = ellipse(24, top + g.hole_y * s, g.hole / 2 * s * 0.94)
    y = top + g.stop * s
    bridge = box(24 - 8.4, y - 1.2, 16.8, 2.4, 0.5) if kind == "guitar-classical" else curve(
        (15.6, y - 1.4), (32.4, y - 1.4), (33.4, y + 1.2), (29, y + 1.6, 28, y + 2.6, 24, y + 2.6),
        (20, y + 2.6, 19, y + 1.6, 14.6, y + 1.2), closed=True)  # fmt: skip
    end = top + (g.hole_y - g.hole / 2) * s
    gap = polygon([(20.4, top + 0.5), (27.6, top + 0.5), (28, end + 0.6), (20, end + 0.6)])
    cuts = [hole, bridge, gap]
    if kind == "guitar-steel":
        cuts.append(smooth([(31.4, end + 5.4), (33.4, end + 8), (35.6, end + 14), (34.4, end + 17.4),
                            (31.2, end + 17), (29, end + 13.6), (30.4, end + 10)]))  # fmt: skip
    out = _d(put(fretted.body(kind)), *cuts, odd=True)
    out += _d(polygon([(21.8, 20), (26.2, 20), (27, end - 0.4), (21, end - 0.4)]))
    if kind == "guitar-classical":
        shape = curve((19.2, 3.4), (21, 1.6, 22.4, 1.4, 24, 2.4), (25.6, 1.4, 27, 1.6, 28.8, 3.4),
                      (28.2, 18), (26.2, 21.4), (21.8, 21.4), (19.8, 18), closed=True)  # fmt: skip
        out += _d(shape, box(21, 5.4, 1.9, 11, 0.9), box(25.1, 5.4, 1.9, 11, 0.9), odd=True)
    else:
        out += _d(curve((18.6, 3.2), (21, 1.6, 27, 1.6, 29.4, 3.2), (28, 18), (26.2, 21.4), (21.8, 21.4),
                        (20, 18), closed=True))  # fmt: skip
    return out + _knobs([6.2, 10.8, 15.4], 4.6)


def _knobs(rows: list[float], half: float) -> str:
    out = ""
    for y in rows:
        for side in (-1, 1):
            x = 24 + side * (half + 2.6)
            out += _d(box(min(24 + side * 3.6, x), y - 0.6, abs(x - 24) - 3.6, 1.2), ellipse(x, y, 1.5, 1.7))
    return out


def _mandolin() -> str:
    g = fretted.FRETTED["mandolin"]
    high = 60.0
    s, top = high / g.body, HIGH - 3 - high

    def put(p: Path) -> Path:
        return p.mapped(lambda x, y: (24 + x * s * 0.94, top + y * s))

    holes = [_stout_f(put(h), 1 if i else -1) for i, h in enumerate(fretted.sound_holes("mandolin"))]
    end, y = top + 86 * s, top + g.stop * s
    gap = polygon([(20.8, top + 2), (27.2, top + 2), (28.4, end), (19.6, end + 2)])
    bridge = box(15.4, y - 0.9, 17.2, 1.8, 0.7)
    out = _d(put(fretted.body("mandolin")), *holes, gap, bridge, odd=True)
    out += _d(polygon([(22.1, 20), (25.9, 20), (27.3, end - 1), (20.7, end + 0.6)]))
    out += _d(box(22, HIGH - 5, 4, 4, 0.8))
    out += _d(curve((18.4, 2.6), (20, 1, 22.4, 1.8, 24, 3.2), (25.6, 1.8, 28, 1, 29.6, 2.6), (28.4, 8, 28.4, 11, 29.2, 18),
                    (26, 22.4), (22, 22.4), (18.8, 18), (19.6, 11, 19.6, 8, 18.4, 2.6), closed=True))  # fmt: skip
    return out + _knobs([6, 9.6, 13.2, 16.8], 4.8)


def _bow() -> str:
    """Hanging by its head, hair to the left."""
    stick = smooth([(25.6, 5), (24.6, 26), (24, 48), (24.4, 70), (25.6, 88), (26, 100)], closed=False).flat(6)
    out = _d(ribbon(stick, 2.5))
    out += _d(curve((27.2, 9), (27.4, 3, 25.8, 1.4, 24, 1.6), (16.6, 3.4), (17, 8.6), (18.4, 8.8),
                    (19, 6.6, 22.6, 6, 24.2, 12), closed=True))  # fmt: skip
    out += _d(ribbon([(17.6, 8), (17.4, 88)], 1.2))
    frog = curve((25, 82), (25, 99.6), (17.6, 99.6), (16.4, 99.6, 16.4, 98.6, 16.4, 98), (16.4, 84.6), (18.6, 83.6),
                 (20.4, 88.4, 23, 87, 22.6, 82), closed=True)  # fmt: skip
    out += _d(frog, ellipse(20.6, 94, 1.7), odd=True)
    out += _d(box(24.2, 100.6, 3.8, 3.4, 0.4), box(24.2, 104.7, 3.8, 5, 1.2))
    return out


def _case() -> str:
    """A violin case standing on its end, handle at the side."""
    outer = curve((13, 20), (13, 8, 17, 3, 25, 3), (33, 3, 37, 8, 37, 20), (37.6, 50), (40, 66, 41, 76, 41, 92),
                  (41, 104, 36, 109, 25, 109), (14, 109, 9, 104, 9, 92), (9, 76, 10, 66, 12.4, 50), closed=True)  # fmt: skip
    line = [(30.4, 7.4), (32.4, 12), (32.8, 24), (33.2, 50), (35.4, 70), (36.4, 90), (34.8, 101), (31, 105)]
    seam = ribbon(smooth(line, closed=False).flat(5), 1.4)
    latches = [box(30.6, 30, 4.6, 5, 0.6), box(33, 78, 4.8, 5, 0.6)]
    handle = ribbon(smooth([(12.6, 46), (5.4, 47.4), (4, 56), (5.4, 64.6), (11, 66)], closed=False).flat(6), 2.6)
    return _d(outer, seam, odd=True) + "".join(_d(p) for p in latches) + _d(handle)


def symbols() -> dict[str, str]:
    """Inner SVG of each symbol by its id."""
    return {
        "violin": _bowed("violin", 58, 0),
        "viola": _bowed("viola", 64, 0),
        "cello": _bowed("cello", 62, 9),
        "bass": _bowed("bass", 66, 7),
        "guitar-classical": _guitar("guitar-classical"),
        "guitar-steel": _guitar("guitar-steel"),
        "mandolin": _mandolin(),
        "bow": _bow(),
        "case": _case(),
    }


def sprite() -> str:
    """The whole sprite: hidden, to be included once on a page and drawn with ``<use href="#violin">``."""
    body = "".join(
        f'<symbol id="{name}" viewBox="0 0 {WIDE:g} {HIGH:g}"><g fill="currentColor">{marks}</g></symbol>\n'
        for name, marks in symbols().items()
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0" aria-hidden="true" focusable="false" '
        f'class="sprite">\n{body}</svg>\n'
    )


def printed() -> dict[str, str]:
    """Black silhouettes for paper, a whole SVG each, by item code."""
    codes = {
        "Vn": "violin",
        "Va": "viola",
        "Vc": "cello",
        "Db": "bass",
        "Bw": "bow",
        "Gt": "guitar-steel",
        "Md": "mandolin",
    }
    marks = symbols()
    size = f'width="{WIDE:g}" height="{HIGH:g}" viewBox="0 0 {WIDE:g} {HIGH:g}"'
    return {
        code: f'<svg xmlns="http://www.w3.org/2000/svg" {size} fill="#000">{marks[name]}</svg>\n'
        for code, name in codes.items()
    }
