"""Writes the condition sheets (four views in real millimetres) as SVG.

``python -m jobs.management.demo.drawing.sheets templates`` draws them anew; a test compares.
Colours are the look's own tokens with a plain colour behind each, so that a printed sheet works too.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path as File

from jobs.management.demo.drawing import bow, bowed, bowed_parts, fretted, fretted_parts, scrolls, silhouettes
from jobs.management.demo.drawing.marks import (
    BONE,
    EBONY,
    EDGE,
    HAIR,
    INK,
    WOOD,
    WORDS,
    at,
    drawn,
    flames,
    fused,
    line_of,
)
from jobs.management.demo.drawing.shapes import Path, ellipse

SPOKEN = {
    "violin": "Violin",
    "viola": "Viola",
    "cello": "Cello",
    "bass": "Double bass",
    "guitar-classical": "Classical guitar",
    "guitar-steel": "Steel-string guitar",
    "mandolin": "Mandolin",
    "bow": "Bow",
}


@dataclass(frozen=True)
class View:
    """One drawing of the sheet: its words, its reach in its own millimetres, its SVG, its enlargement."""

    code: str
    words: str
    left: float
    right: float
    marks: str
    times: float = 1


def _bowed_views(kind: str, line: float) -> list[View]:
    b, p = bowed.BOWED[kind], bowed_parts
    half, fine = b.lower / 2, b.fine
    shape = bowed.body(kind)
    purfling = drawn(bowed.inset(kind, 4.4 * fine), "none", EDGE, line * 0.6)
    turner = scrolls.machine(kind) if b.geared else scrolls.peg(kind)
    cheek = scrolls.cheek(kind)
    pegs = "".join(
        at(y - b.neck, drawn(turner.moved(cheek(y) if b.geared else 0, 0), EBONY), turn=side)
        for y, side in scrolls.peg_places(kind)
    )
    head = drawn(scrolls.head_front(kind).moved(0, -b.neck), WOOD)
    pin = "".join(drawn(q, EBONY) for q in p.end_fitting(kind))
    front = (
        pin + pegs + drawn(shape, WOOD) + purfling
        + "".join(drawn(h, INK, None) for h in bowed.sound_holes(kind))
        + head + "".join(line_of(q, EDGE, line * 0.6) for q in scrolls.head_front_lines(kind))
        + drawn(scrolls.pegbox_mouth(kind).moved(0, -b.neck), HAIR, INK, line * 0.6)
        + drawn(p.board(kind), EBONY) + drawn(p.nut(kind), BONE, INK, line * 0.6)
        + drawn(p.bridge_above(kind), HAIR, INK, line * 0.6) + drawn(p.tailpiece(kind), EBONY)
        + "".join(line_of(s, EDGE, line * 0.5) for s in p.string_lines(kind))
    )  # fmt: skip
    back = (
        pin + pegs + fused([scrolls.head_front(kind).moved(0, -b.neck), p.neck_front(kind)], WOOD, line)
        + "".join(line_of(q, EDGE, line * 0.6) for q in scrolls.head_back_lines(kind))
        + drawn(shape, WOOD) + flames(shape, b.body, line) + purfling
        + line_of([(0, 2), (0, b.body - 2)], EDGE, line * 0.6) + drawn(p.button(kind), WOOD)
    )  # fmt: skip
    top, under = p.plates_side(kind)
    end = "".join(drawn(q.moved(-b.ribs / 2, 0), EBONY) for q in p.end_fitting(kind))
    corners = [0.36, 0.628] if kind != "bass" else [0.405, 0.643]
    places = "".join(
        drawn(ellipse(scrolls.peg_deep(kind, y), y - b.neck, 3.6 * fine), EBONY) for y, _ in scrolls.peg_places(kind)
    )
    side = (
        end + drawn(p.board_side(kind), EBONY)
        + fused([p.neck_side(kind), scrolls.head_side(kind).moved(0, -b.neck)], WOOD, line)
        + drawn(scrolls.spiral(kind).moved(0, -b.neck), "none", INK, line * 0.7)
        + drawn(scrolls.eye(kind).moved(0, -b.neck), WOOD, INK, line * 0.7) + places
        + drawn(p.ribs_side(kind), WOOD)
        + "".join(line_of([(0, b.body * y), (-b.ribs, b.body * y)], EDGE, line * 0.7) for y in corners)
        + drawn(top, WOOD) + drawn(under, WOOD) + drawn(p.bridge_side(kind), HAIR, INK, line * 0.6)
        + drawn(p.tail_side(kind), EBONY) + line_of(p.string_side(kind), EDGE, line * 0.6)
    )  # fmt: skip
    deep, high = b.ribs + b.arch + 2, b.arch + b.bridge_high + 2
    return [
        View("front", "Front", -half, half, front),
        View("back", "Back", -half, half, at(0, back, turn=-1)),
        View("bass-side", "Bass side", -deep, high, side),
        View("treble-side", "Treble side", -high, deep, at(0, side, turn=-1)),
    ]


def _fretted_views(kind: str, line: float) -> list[View]:
    g, s = fretted.FRETTED[kind], fretted_parts
    half, n = g.lower / 2, -g.neck
    shape = fretted.body(kind)
    binding = drawn(fretted.inset(kind, 4), "none", EDGE, line * 0.6)
    knobs = "".join(
        at(n + y, drawn(fretted.knob(kind), BONE), (1 if x > 0 else -1) * (g.head_wide / 2 - 3),
            1 if x > 0 else -1)
        for x, y in fretted.posts(kind)
    )  # fmt: skip
    head = drawn(fretted.head(kind).moved(0, n), WOOD)
    slots = "".join(drawn(q.moved(0, n), HAIR, INK, line * 0.6) for q in fretted.slots(kind))
    guard, tail = fretted.guard(kind), fretted.tail(kind)
    hole = fretted.sound_holes(kind)
    rings = (
        "".join(drawn(ellipse(0, g.hole_y, g.hole / 2 + r), "none", EDGE, line * 0.6) for r in (6, 14))
        if g.hole
        else ""
    )
    front = (
        knobs + head + slots + drawn(shape, WOOD) + binding + rings + (drawn(guard, HAIR, INK, line * 0.6) if guard else "")
        + "".join(drawn(h, INK, None) for h in hole)
        + drawn(fretted.board(kind), EBONY)
        + "".join(line_of([(-w, y), (w, y)], EDGE, line * 0.6) for y, w in fretted.frets(kind))
        + "".join(drawn(ellipse(x, y, 2.4), BONE, None) for x, y in fretted.dots(kind))
        + drawn(fretted.nut(kind), BONE, INK, line * 0.6) + drawn(fretted.bridge(kind), EBONY)
        + drawn(fretted.saddle(kind), BONE, None)
        + "".join(drawn(ellipse(x, y, 2.6), BONE, None) for x, y in fretted.pins(kind))
        + (drawn(tail, HAIR) if tail else "")
        + "".join(line_of(q, EDGE, line * 0.45) for q in fretted.string_lines(kind))
    )  # fmt: skip
    back = (
        knobs + drawn(shape, WOOD) + binding
        + line_of([(0, 2), (0, g.body - 2)], EDGE, line * 0.8)
        + fused([fretted.head(kind).moved(0, n), fretted.neck_front(kind), fretted.heel_back(kind)], WOOD, line)
        + slots
    )  # fmt: skip
    top, under = s.plates_side(kind)
    side = (
        "".join(drawn(ellipse(x, y, 6), BONE) for x, y in s.knobs_side(kind))
        + fused([s.neck_side(kind), s.head_side(kind)], WOOD, line) + drawn(s.ribs_side(kind), WOOD)
        + drawn(top, WOOD) + drawn(under, WOOD) + drawn(s.board_side(kind), EBONY)
        + drawn(s.bridge_side(kind), EBONY) + line_of(s.string_side(kind), EDGE, line * 0.6)
    )  # fmt: skip
    deep = g.ribs_tail + (20 if kind == "mandolin" else 6)
    high = 40 if kind == "mandolin" else 16
    lean = max(deep, 0.27 * g.head)
    return [
        View("front", "Front", -half, half, front),
        View("back", "Back", -half, half, at(0, back, turn=-1)),
        View("bass-side", "Bass side", -lean, high, side),
        View("treble-side", "Treble side", -high, lean, at(0, side, turn=-1)),
    ]


def _bow_marks(line: float, above: bool = False, between: tuple[float, float] = (-50, 1000)) -> str:
    """The bow from its side or from above, or the piece of it between two places along its length."""
    k, thin = "bow", 0.6
    ring, pearl = bow.frog_eye(k)
    winding = (*zip(bow.winding(k), (HAIR, EDGE), strict=True),)
    button = (*zip(bow.button(k), (HAIR, EBONY, HAIR), strict=True),)
    wood = [bow.stick_above(k), bow.head_above(k)] if above else [bow.whole(k)]
    hair = [] if above else [(bow.hair(k), BONE)]
    frog = [] if above else [
        (bow.face(k), BONE), (bow.frog(k), EBONY), (bow.ferrule(k), HAIR), (ring, HAIR), (pearl, BONE),
        (bow.heel_plate(k), HAIR), (bow.underslide(k), HAIR),
    ]  # fmt: skip
    cut = partial(Path.between, low=between[0], high=between[1])
    out = "".join(drawn(p, fill, EDGE, line * 0.5) for path, fill in hair if (p := cut(path)))
    out += fused([p for path in wood if (p := cut(path))], WOOD, line)
    return out + "".join(
        drawn(p, fill, INK, line * thin) for path, fill in (*frog, *winding, *button) if (p := cut(path))
    )


def _bow_sheet(line: float) -> str:
    side, wide, out = _bow_marks(line), 780.0, []
    far = f'<g transform="translate({bow.BOWS["bow"].length} 0) scale(-1 1)">{side}</g>'

    def put(code: str, words: str, x: float, y: float, marks: str, times: float = 1, dx: float = 0) -> None:
        size = f" scale({times:g})" if times != 1 else ""
        out.append(
            f'<text x="{x:g}" y="{y - 22:g}">{words}</text><g data-view="{code}" data-x="{x - dx * times:g}" '
            f'data-y="{y:g}" data-times="{times:g}" transform="translate({x - dx * times:g} {y:g}){size}">{marks}</g>'
        )

    put("player-side", "Player’s side", 18, 44, side)
    put("far-side", "Far side", 18, 128, far)
    put("above", "From above", 18, 208, _bow_marks(line, above=True))
    heel = bow.frog_at("bow") - 36
    head, frog = (_bow_marks(line * 0.5, between=ends) for ends in ((-20, 64), (heel, 1000)))
    put("head", "Head, three times as large", 34, 282, head, 3)
    put("frog", "Frog and button, three times as large", 330, 282, frog, 3, heel)
    return _svg("bow", wide, 370, line, 15, "".join(out), "start", bow.BOWS["bow"].length)


def _svg(
    kind: str, wide: float, high: float, line: float, letters: float, inside: str, anchor: str, body: float
) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sheet" data-sheet="{kind}" data-body="{body:g}" '
        f'viewBox="0 0 {wide:g} {high:g}" preserveAspectRatio="xMidYMid meet" role="img" '
        f'aria-label="{SPOKEN[kind]}, seen from all sides">'
        f'<g stroke="{INK}" stroke-width="{line:g}" stroke-linejoin="round">'
        f'<g stroke="none" fill="{WORDS}" font-size="{letters:g}" font-weight="600" text-anchor="{anchor}">@words@</g>{inside}</g></svg>\n'
    )


def sheet(kind: str) -> str:
    """The four views of one kind as an SVG document; coordinates inside each view are millimetres."""
    if kind == "bow":
        return _gathered(_bow_sheet(0.9))
    b = bowed.BOWED.get(kind)
    whole = b or fretted.FRETTED[kind]
    below = (b.pin if b else 0) or 14
    line = round(whole.length / 380, 2)
    views: Callable[[str, float], list[View]] = _bowed_views if b else _fretted_views
    letters, gap = round(whole.length / 33, 1), round(whole.length / 24)
    down = round(letters * 1.6 + whole.length - whole.body + 4 * line)
    x, out = float(gap) / 2, []
    for view in views(kind, line):
        wide = max(view.right - view.left, letters * 4.9 if "side" in view.code else 0)
        spare = (wide - (view.right - view.left)) / 2
        start = round(x + spare - view.left, 1)
        out.append(
            f'<text x="{round(x + wide / 2, 1):g}" y="{letters:g}">{view.words}</text>'
            f'<g data-view="{view.code}" data-x="{start:g}" data-y="{down}" data-times="1" '
            f'transform="translate({start:g} {down})">{view.marks}</g>'
        )
        if view.code in ("front", "back"):
            low = down + whole.body
            pair = ("bass", "treble") if view.code == "front" else ("treble", "bass")
            for words, tx in zip(pair, (x + letters * 1.2, x + wide - letters * 1.4), strict=True):
                out.append(f'<text x="{tx:g}" y="{low + letters * 0.9:g}">{words}</text>')
        x += wide + gap
    high = down + whole.body + max(below, letters) + 2 * line + (4 if b and b.pin else letters * 0.3)
    return _gathered(_svg(kind, round(x - gap / 2), round(high), line, letters, "".join(out), "middle", whole.body))


def _gathered(text: str) -> str:
    """Moves the words into their own group, behind everything else."""
    words, rest = "", ""
    for i, piece in enumerate(text.split("<text ")):
        if i == 0:
            rest += piece
            continue
        word, after = piece.split("</text>", 1)
        words += f"<text {word}</text>"
        rest += after
    return rest.replace("@words@", words)


def write(templates: File) -> None:
    """Writes every sheet, the sprite of silhouettes, and the silhouettes for paper into a templates folder."""
    folder, papers = templates / "parts", templates / "papers" / "silhouettes"
    for kind in SPOKEN:
        (folder / f"outline-{kind}.svg").write_text(sheet(kind), encoding="utf-8")
    (folder / "silhouettes.svg").write_text(silhouettes.sprite(), encoding="utf-8")
    for code, marks in silhouettes.printed().items():
        (papers / f"{code}.svg").write_text(marks, encoding="utf-8")


if __name__ == "__main__":
    write(File(sys.argv[1]))
