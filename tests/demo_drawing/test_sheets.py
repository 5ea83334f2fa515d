"""The drawn sheets and silhouettes in the templates."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from django.template.loader import render_to_string

from jobs.book.kinds import SILHOUETTES, silhouette
from jobs.management.demo.drawing import bowed, fretted, sheets
from jobs.management.demo.drawing.shapes import ellipse, polygon, smooth

TEMPLATES = Path(__file__).parents[2] / "templates"
SVG = "{http://www.w3.org/2000/svg}"
FAMILY = tuple(sheets.SPOKEN)


@pytest.mark.parametrize("kind", FAMILY)
def test_the_sheet_in_the_templates_is_the_one_the_shapes_give(kind: str) -> None:
    kept = (TEMPLATES / "parts" / f"outline-{kind}.svg").read_text(encoding="utf-8")
    assert kept == sheets.sheet(kind)
    assert render_to_string(f"parts/outline-{kind}.svg").strip() == kept.strip()


def test_the_silhouettes_in_the_templates_are_the_ones_the_shapes_give(tmp_path: Path) -> None:
    for folder in ("parts", "papers/silhouettes"):
        (tmp_path / folder).mkdir(parents=True)
    sheets.write(tmp_path)
    made = sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*.svg"))
    assert len(made) == len(FAMILY) + 1 + 7
    for one in made:
        assert (TEMPLATES / one).read_bytes() == (tmp_path / one).read_bytes(), one


@pytest.mark.parametrize("kind", FAMILY)
def test_a_sheet_has_its_views_with_their_words(kind: str) -> None:
    root = ET.fromstring(sheets.sheet(kind))  # noqa: S314 - our own file
    codes = [g.get("data-view") for g in root.iter(f"{SVG}g") if g.get("data-view")]
    words = {text.text for text in root.iter(f"{SVG}text")}
    if kind == "bow":
        assert codes == ["player-side", "far-side", "above", "head", "frog"]
    else:
        assert codes == ["front", "back", "bass-side", "treble-side"]
        assert {"Front", "Back", "Bass side", "Treble side", "bass", "treble"} == words
    assert root.get("aria-label", "").startswith(sheets.SPOKEN[kind])


@pytest.mark.parametrize("file", sorted((TEMPLATES / "parts").glob("*.svg")), ids=lambda p: p.name)
def test_nothing_in_a_drawing_needs_what_the_content_policy_forbids(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    assert text.count("<svg") == 1  # a page's rule for svg must not reach inside
    assert not re.search(r"<(style|script|image|foreignObject)|\bstyle=|\bon\w+=|href=|url\(", text)


def test_every_kind_of_item_has_its_silhouette() -> None:
    root = ET.fromstring((TEMPLATES / "parts" / "silhouettes.svg").read_text(encoding="utf-8"))  # noqa: S314 - our own
    symbols = {s.get("id"): s.get("viewBox") for s in root.iter(f"{SVG}symbol")}
    assert set(symbols.values()) == {"0 0 48 112"}
    assert {*SILHOUETTES.values(), silhouette("Gt", "classical 3/4"), silhouette("Pt")} <= set(symbols)


def reach(path_d: str) -> tuple[float, float, float, float]:
    """Smallest and largest x and y among the numbers of a path."""
    numbers = np.array([float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path_d)]).reshape(-1, 2)
    return (*numbers.min(axis=0), *numbers.max(axis=0))


# Ordinary workshop figures in mm (common practice, no source): length and greatest width of the body.
@pytest.mark.parametrize(
    ("kind", "long", "wide"),
    [
        ("violin", 356, 208),
        ("viola", 406, 240),
        ("cello", 757, 440),
        ("bass", 1110, 660),
        ("guitar-classical", 487, 366),
    ],
)
def test_bodies_are_drawn_in_true_millimetres(kind: str, long: float, wide: float) -> None:
    body = bowed.body(kind) if kind in bowed.BOWED else fretted.body(kind)
    assert body.svg(1) in sheets.sheet(kind)
    dots = body.flat(40)
    assert np.ptp(dots[:, 1]) == pytest.approx(long, abs=4)
    assert np.ptp(dots[:, 0]) == pytest.approx(wide, abs=5)
    assert reach(body.svg(1))[0] == pytest.approx(-reach(body.svg(1))[2], abs=0.11)


# Vibrating lengths in mm: violin about 328, cello about 690, 3/4 bass 1030-1060 (common practice, no source).
@pytest.mark.parametrize(("kind", "low", "high"), [("violin", 322, 332), ("cello", 675, 700), ("bass", 1030, 1060)])
def test_nut_and_bridge_stand_a_playable_string_apart(kind: str, low: float, high: float) -> None:
    b = bowed.BOWED[kind]
    assert low <= b.neck + b.stop <= high


def test_frets_stand_by_equal_temperament() -> None:
    # The twelfth fret halves the string and the nineteenth leaves a third of it, nearly (2 to the power -19/12 = 0.3337).
    assert fretted.fret(650, 12) == pytest.approx(325)
    assert fretted.fret(650, 19) == pytest.approx(650 * (1 - 1 / 3), rel=0.001)
    assert [round(fretted.fret(1000, n), 1) for n in (1, 2, 7)] == [56.1, 109.1, 332.6]


def test_a_circle_of_four_pieces_is_round_to_three_in_ten_thousand() -> None:
    dots = ellipse(0, 0, 100).flat(50)
    assert np.abs(np.hypot(dots[:, 0], dots[:, 1]) - 100).max() < 0.03


def test_thinning_a_line_moves_nothing_further_than_allowed() -> None:
    wave = [(float(x), float(8 * np.sin(x / 9))) for x in range(200)]
    line = polygon(wave, closed=False)
    thin = line.thinned(0.1)
    assert len(thin.segments) < len(line.segments) / 3
    xs, ys = thin.flat(1).T
    assert max(abs(float(np.interp(x, xs, ys)) - y) for x, y in wave) < 0.15
    curved = smooth(wave)
    assert curved.thinned(0.1) is curved


def test_a_piece_of_a_shape_ends_where_it_is_cut() -> None:
    disc = ellipse(0, 0, 10)
    piece = disc.between(-4, 6)
    assert piece is not None
    dots = piece.flat(1)
    assert (dots[:, 0].min(), dots[:, 0].max()) == pytest.approx((-4, 6))
    assert np.hypot(dots[:, 0], dots[:, 1]).max() < 10.01
    assert disc.between(-20, 20) is disc
    assert disc.between(11, 20) is None
