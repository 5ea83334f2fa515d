"""Every template in A4 and US letter with long words in it, read back and looked at with poppler (an independent reader of PDF).

Page sizes: A4 is 210 × 297 mm (ISO 216), US letter 8.5 × 11 in (ANSI/ASME Y14.1). That office printers leave about 4 mm at
the edge white, and that 8 pt is the least a person reads without effort: common practice, no source.
"""

import re
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageChops

from jobs.papers.typeset import TEMPLATES
from tests.papers.long_samples import FROZEN, frozen_pdf
from tests.papers.loose_samples import LOOSE

pytestmark = [pytest.mark.django_db, pytest.mark.needs_poppler]

SIZES = {"a4": (210, 297), "us-letter": (215.9, 279.4), "tag": (62, 100)}
LONG_NAME = "Wilhelmina Konstantina Philippa Theodora von Rookstone-Ashgrove-Fennimore of Ostlemere, Weirham and Tannery Green Estate"
NAMES = {"latin": LONG_NAME, "hebrew": "עדה רוזנבלום", "cjk": "王小明 山田 はなこ", "emoji": "Ada 🎻🎉"}
SHARED = {"sheet", "money"}  # imported by the others, no papers of their own
# how many pages the long samples make, on A4 and on letter
PAGES = {
    "note": (3, 3),
    "estimate": (3, 3),
    "agreement": (2, 2),
    "invoice": (2, 2),
    "credit": (1, 1),
    "receipt": (1, 1),
    "release": (2, 2),
    "takings": (3, 3),
    "statement": (2, 2),
    "letter": (2, 2),
    "calls": (3, 3),
    "today": (2, 2),
    "prices": (2, 2),
    "trust": (1, 1),
    "tag": (3, 3),
}
LEAST_POINTS = 8
EDGE_MM = {"tag": 1}  # tags are cut from a roll; sheets keep 4 mm


@dataclass(frozen=True)
class Printed:
    """One paper as poppler finds it: millimetres, page by page."""

    file: Path
    pages: list[str]
    size: tuple[float, float]
    words: list[tuple[float, float, float, float]]


def told(command: str, *more: str | Path) -> str:
    return subprocess.run([command, *more], check=True, capture_output=True, text=True).stdout


def made(kind: str, page: str, name: str, folder: Path, settings: Any) -> Printed:
    pdf = frozen_pdf(kind, page, name) if kind in FROZEN else LOOSE[kind](page, name, folder, settings)
    file = folder / f"{kind}.pdf"
    file.write_bytes(pdf)
    boxes = told("pdftotext", "-bbox", file, "-")
    sizes = {(float(w), float(h)) for w, h in re.findall(r'<page width="([\d.]+)" height="([\d.]+)"', boxes)}
    assert len(sizes) == 1, "every page of one size"
    width, height = sizes.pop()
    found = re.findall(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)"', boxes)
    words = [(float(a), float(b), float(c), float(d)) for a, b, c, d in found]
    return Printed(file, told("pdftotext", file, "-").split("\f")[:-1], (width, height), words)


def letters_of(text: str) -> str:
    """Without marks of direction and without where lines break (pdftotext takes a hyphen there for its own)."""
    return re.sub(r"[-\s\u2066-\u2069\u202a-\u202e\u200b]", "", text)


def test_every_template_has_a_row() -> None:
    templates = {path.stem for path in TEMPLATES.glob("*.typ")} - SHARED
    assert templates == set(FROZEN) | set(LOOSE) == set(PAGES), "a new paper needs a long sample and its pages"


@pytest.mark.parametrize("page", ["a4", "us-letter"])
@pytest.mark.parametrize("kind", PAGES)
def test_it_prints_in_black_on_the_shops_paper(kind: str, page: str, tmp_path: Path, settings: Any) -> None:
    paper = made(kind, page, LONG_NAME, tmp_path, settings)
    millimetres = tuple(points * 25.4 / 72 for points in paper.size)
    assert millimetres == pytest.approx(SIZES[kind if kind == "tag" else page], abs=0.1)
    assert len(paper.pages) == PAGES[kind][page == "us-letter"]
    assert all(letters_of(text) for text in paper.pages), "real text on every page"
    assert not re.search(r"[{}#]", "".join(paper.pages)), "no sign of the template's own language"
    if len(paper.pages) > 1 and kind not in {"tag", "letter"}:  # of those each page is one for itself
        for at, text in enumerate(paper.pages, start=1):
            assert f"{at} of {len(paper.pages)}" in text
    width, height = paper.size
    outside = [box for box in paper.words if box[0] < 0 or box[1] < 0 or box[2] > width or box[3] > height]
    assert not outside
    _black_and_within(paper, EDGE_MM.get(kind, 4))
    assert _smallest(paper.file) >= LEAST_POINTS


def _black_and_within(paper: Printed, edge: float) -> None:
    told("pdftoppm", "-r", "72", "-png", paper.file, paper.file.with_suffix(""))
    shots = sorted(paper.file.parent.glob(f"{paper.file.stem}-*.png"))
    assert len(shots) == len(paper.pages)
    for shot in shots:
        with Image.open(shot) as opened:
            red, green, blue = opened.convert("RGB").split()
        assert ImageChops.difference(red, green).getbbox() is None
        assert ImageChops.difference(red, blue).getbbox() is None
        inked = ImageChops.invert(red).point(lambda shade: 255 if shade > 40 else 0).getbbox()
        assert inked is not None
        left, top, right, bottom = inked
        least = edge * 72 / 25.4 - 1
        assert min(left, top, red.width - right, red.height - bottom) >= least


def _smallest(file: Path) -> float:
    """The least size of type in points: pdftohtml rounds to whole pixels, so it is asked for the largest it makes, three times."""
    fonts = re.findall(
        r'<fontspec id="\d+" size="(-?\d+)"', told("pdftohtml", "-xml", "-i", "-zoom", "3", "-stdout", file)
    )
    assert fonts
    return min(int(size) for size in fonts) / 3


@pytest.mark.parametrize("script", NAMES)
@pytest.mark.parametrize("kind", PAGES)
def test_a_name_stands_on_it_whole(kind: str, script: str, tmp_path: Path, settings: Any) -> None:
    assert len(LONG_NAME) == 120
    paper = made(kind, "a4", NAMES[script], tmp_path, settings)
    said = letters_of("".join(paper.pages))
    assert letters_of(NAMES[script]) in said
    assert "□" not in said
