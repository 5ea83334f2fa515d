"""The hang-tag on paper: its size, black only, its words, and names that would not fit."""

import subprocess
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from jobs.tags.drawing import TagText, tags_pdf
from jobs.tags.symbols import symbol

AT = datetime(2026, 11, 16, 9, 30, tzinfo=UTC)
TAG = TagText(
    number="0406", item="Cello 4/4", kind="Vc", code="7K2M9QWD", url="HTTPS://TAGS.EXAMPLE.ORG/T/7K2M9QWD",
    shop="Marrowfen Strings Workshop", address="3 Tannery Yard, Ostlemere", owner="Fennimore Quartet Trust",
    taken_in="16 November",
)  # fmt: skip
pytestmark = pytest.mark.needs_poppler


def told(command: str, pdf: bytes, folder: Path, *more: str) -> str:
    (folder / "tag.pdf").write_bytes(pdf)
    return subprocess.run(
        [command, *more, folder / "tag.pdf", *(["-"] if command == "pdftotext" else [])],
        check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip


def test_each_tag_is_a_page_of_62_by_100_millimetres(tmp_path: Path) -> None:
    said = told("pdfinfo", tags_pdf([TAG] * 3, at=AT), tmp_path)
    assert "Pages:           3" in said
    width, height = (float(part) for part in said.split("Page size:")[1].split("pts")[0].split("x"))
    assert width * 25.4 / 72 == pytest.approx(62, abs=0.01)
    assert height * 25.4 / 72 == pytest.approx(100, abs=0.01)


def test_a_tag_says_what_it_must(tmp_path: Path) -> None:
    said = " ".join(
        told("pdftotext", tags_pdf([TAG], at=AT), tmp_path).replace("\u2068", "").replace("\u2069", "").split()
    )
    for words in ("0406", "Cello 4/4", "Fennimore Quartet Trust", "taken in 16 November", "Soft cord,", "never on varnish.",
                  "Scan me before and after you touch it.", "7K2M 9QWD if torn", "hook", "note",
                  "Found? Marrowfen Strings Workshop, 3 Tannery Yard, Ostlemere."):  # fmt: skip
        assert words in said


def test_a_tag_is_black_on_white_and_nothing_else(tmp_path: Path) -> None:
    (tmp_path / "tag.pdf").write_bytes(tags_pdf([TAG], at=AT))
    subprocess.run(
        ["pdftoppm", "-r", "300", "-aa", "no", "-aaVector", "no", "-png", tmp_path / "tag.pdf", tmp_path / "tag"],
        check=True,
    )
    colours = Image.open(next(tmp_path.glob("tag-*.png"))).convert("RGB").getcolors()
    assert colours is not None
    assert {colour for _, colour in colours} == {(0, 0, 0), (255, 255, 255)}


@pytest.mark.parametrize(
    "name",
    [
        "עדה רוזנבלום",
        "王小明",
        "🎻🎉",
        "𓀀𓁐",
        "Kesterby Vale School District and the Friends of its Orchestra, long",
        "x" * 160,
        "",
    ],
)
def test_no_name_stops_a_tag_or_spoils_its_code(name: str, tmp_path: Path) -> None:
    pdf = tags_pdf([replace(TAG, owner=name, item=name or "Bow", shop=name or "Shop", address=name)], at=AT)
    (tmp_path / "tag.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", "300", "-png", tmp_path / "tag.pdf", tmp_path / "tag"], check=True)
    pages = list(tmp_path.glob("tag-*.png"))
    assert len(pages) == 1
    assert [one.text for one in zxingcpp.read_barcodes(Image.open(pages[0]))] == [TAG.url]


def test_a_symbol_is_raised_to_level_h_where_its_size_has_room() -> None:
    assert symbol("HTTPS://X.ORG/T/7K2M9QWD").level == "Q"
    assert symbol("HTTPS://A-LONGER.ORG/T/7K2M9QWD").level == "H"


def test_runs_cover_exactly_the_dark_modules() -> None:
    square = symbol(TAG.url)
    painted = {(row, column + step) for row, column, length in square.runs for step in range(length)}
    dark = {(row, column) for row, line in enumerate(square.modules) for column, one in enumerate(line) if one}
    assert painted == dark
