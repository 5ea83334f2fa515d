"""Single marks of an SVG sheet. Colours are the look's tokens with a plain colour behind each."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.management.demo.drawing.shapes import Path, Point, polygon

WOOD = "var(--varnish-soft,#F3DCC0)"
INK = "var(--ink,#231A15)"
EBONY = "var(--rail,#2A1F19)"
EDGE = "var(--edge,#86704A)"
HAIR = "var(--hair,#D2BF97)"
BONE = "var(--bone,#FFFCF3)"
WORDS = "var(--ink2,#574739)"


def drawn(path: Path, fill: str = "none", stroke: str | None = INK, wide: float = 1) -> str:
    """One path; ``wide`` is a share of the sheet's own line width, which the outer group sets."""
    line = "" if stroke == INK and wide == 1 else f' stroke="{stroke or "none"}"'
    if wide != 1 and stroke:
        line += f' stroke-width="{wide:g}"'
    return f'<path d="{path.thinned(0.05).svg(1)}" fill="{fill}"{line}/>'


def fused(paths: Iterable[Path], fill: str, line: float) -> str:
    """Several shapes with one outline round all of them."""
    every = list(paths)
    under = "".join(drawn(p, fill, INK, 2 * line) for p in every)
    return under + "".join(drawn(p, fill, None) for p in every)


def at(y: float, marks: str, x: float = 0, turn: int = 1) -> str:
    flip = " scale(-1 1)" if turn < 0 else ""
    return f'<g transform="translate({x:g} {y:g}){flip}">{marks}</g>'


def line_of(points: list[Point], stroke: str, wide: float) -> str:
    return drawn(polygon(points, closed=False), "none", stroke, wide)


def flames(outline: Path, length: float, line: float) -> str:
    """The figure of a maple back: pairs of slanting strokes, as far as the outline allows."""
    ring = outline.flat(8)
    out, y, step = [], length * 0.1, length / 15
    while y < length * 0.95:
        near = ring[abs(ring[:, 1] - y) < length * 0.05]
        reach = float(min(abs(near[:, 0]))) if len(near) else 0
        if reach > step:
            far, mid = reach - step * 0.8, step * 0.22
            rise = step * 0.34
            for side in (-1, 1):
                d = (
                    f"M{side * mid:.1f} {y + rise:.1f}C{side * far * 0.36:.1f} {y - rise * 0.3:.1f} "
                    f"{side * far * 0.62:.1f} {y + rise:.1f} {side * far:.1f} {y - rise:.1f}"
                )
                out.append(
                    f'<path d="{d}" fill="none" stroke="{HAIR}" stroke-width="{line * 1.7:.2f}" '
                    'stroke-linecap="round"/>'
                )
        y += step
    return "".join(out)
