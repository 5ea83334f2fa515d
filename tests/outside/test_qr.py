"""Square codes against ISO/IEC 18004, with segno as the independent encoder and zxing-cpp as the independent reader."""

import subprocess
from datetime import UTC, datetime
from pathlib import Path

import pytest
import qrcode
import segno
import zxingcpp
from PIL import Image
from qrcode.exceptions import DataOverflowError
from qrcode.util import QRData

from jobs.tags.codes import address, make_code
from jobs.tags.drawing import TagText, tags_pdf
from jobs.tags.symbols import QUIET_ZONE, symbol

AT = datetime(2026, 11, 16, 9, 30, tzinfo=UTC)

# ISO/IEC 18004 table of capacities, as an independent encoder computed them:
# version, level, numeric, alphanumeric, byte, modules
CAPACITIES = [
    (1, "L", 41, 25, 17, 21),
    (1, "M", 34, 20, 14, 21),
    (1, "Q", 27, 16, 11, 21),
    (1, "H", 17, 10, 7, 21),
    (2, "M", 63, 38, 26, 25),
    (3, "M", 101, 61, 42, 29),
    (4, "Q", 111, 67, 46, 33),
    (5, "M", 202, 122, 84, 37),
    (10, "L", 652, 395, 271, 57),
]
SIGNS = {"numeric": "7", "alphanumeric": "K", "byte": "k"}
CASES = [
    pytest.param(version, level, mode, most, modules, id=f"{version}-{level}-{mode}")
    for version, level, *counts, modules in CAPACITIES
    for mode, most in zip(SIGNS, counts, strict=True)
]


def _ours(version: int, level: str, content: str) -> qrcode.QRCode:
    code = qrcode.QRCode(version=version, error_correction=getattr(qrcode, f"ERROR_CORRECT_{level}"))
    code.add_data(QRData(content))
    code.make(fit=False)
    return code


@pytest.mark.parametrize(("version", "level", "mode", "most", "modules"), CASES)
def test_a_symbol_holds_what_the_standard_says_and_not_one_sign_more(
    version: int, level: str, mode: str, most: int, modules: int
) -> None:
    full, more = SIGNS[mode] * most, SIGNS[mode] * (most + 1)
    assert _ours(version, level, full).modules_count == modules == 17 + 4 * version
    theirs = segno.make_qr(full, version=version, error=level, mode=mode, boost_error=False)
    assert len(theirs.matrix) == modules
    with pytest.raises(DataOverflowError):
        _ours(version, level, more)
    with pytest.raises(segno.DataOverflowError):
        segno.make_qr(more, version=version, error=level, mode=mode, boost_error=False)


def test_an_address_in_capitals_fits_a_smaller_symbol_than_one_in_small_letters() -> None:
    # 28 alphanumeric signs at level Q: version 2, 33 × 33 with its quiet zone; the same in bytes: version 3
    capitals = "HTTPS://EXAMPLE.ORG/T/7K3QX9"
    assert len(capitals) == 28
    made = symbol(capitals)
    assert (made.version, made.level) == (2, "Q")
    assert len(made.modules) + 2 * QUIET_ZONE == 33
    small = symbol(capitals.lower())
    assert small.version == 3
    assert len(small.modules) == 29


@pytest.mark.parametrize(
    "public", ["https://example.org", "http://127.0.0.1:8000", "https://a-long-name.of.a.shop.example"]
)
def test_our_symbols_are_the_ones_another_encoder_makes(public: str) -> None:
    for _ in range(20):
        content = address(make_code(), public)
        ours = symbol(content)
        theirs = segno.make_qr(
            content, version=ours.version, error=ours.level, mask=ours.mask, mode="alphanumeric", boost_error=False
        )
        assert ours.modules == tuple(tuple(bool(dark) for dark in row) for row in theirs.matrix)
        # and the smallest size at level Q is agreed on as well
        assert segno.make_qr(content, error="q", boost_error=False).version == ours.version


def _pages(pdf: bytes, folder: Path, dots: int) -> list[Path]:
    (folder / "tags.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dots), "-png", folder / "tags.pdf", folder / "tag"], check=True)
    return sorted(folder.glob("tag-*.png"))


def _tag(code: str, public: str) -> TagText:
    return TagText(
        number="0406", item="Cello 4/4", kind="Vc", code=code, url=address(code, public), shop="Marrowfen Strings Workshop",
        owner="Fennimore Quartet Trust", taken_in="16 November", address="3 Tannery Yard, Ostlemere",
    )  # fmt: skip


@pytest.mark.needs_poppler
def test_every_printed_tag_is_read_by_another_reader_at_300_dots_per_inch(tmp_path: Path) -> None:
    wanted = [make_code() for _ in range(6)]
    pdf = tags_pdf([_tag(code, "https://tags.example.org") for code in wanted], at=AT)
    read = [
        [
            one.text
            for one in zxingcpp.read_barcodes(
                Image.open(page), formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
            )
        ]
        for page in _pages(pdf, tmp_path, 300)
    ]
    assert read == [[f"HTTPS://TAGS.EXAMPLE.ORG/T/{code}"] for code in wanted]


@pytest.mark.needs_poppler
@pytest.mark.parametrize("public", ["https://x.org", "https://tags.example.org", "http://127.0.0.1:8000"])
def test_the_printed_symbol_is_28_mm_wide_and_keeps_four_clear_modules_all_round(tmp_path: Path, public: str) -> None:
    dots = 600
    page = Image.open(_pages(tags_pdf([_tag("7K2M9QWD", public)], at=AT), tmp_path, dots)[0]).convert("L")
    found = zxingcpp.read_barcodes(page, formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode))[0]
    corners = found.position
    left, top = corners.top_left.x, corners.top_left.y
    width = corners.bottom_right.x - left
    millimetre = dots / 25.4
    assert width / millimetre == pytest.approx(28, abs=0.3)
    module = 28 * millimetre / len(symbol(address("7K2M9QWD", public)).modules)
    quiet = round(QUIET_ZONE * module) - 2  # the reader's corners are whole dots
    edge = 3  # dots: the edge of the outermost modules itself
    around = (left - quiet, top - quiet, left + round(28 * millimetre) + quiet, top + round(28 * millimetre) + quiet)
    assert min(around) >= 0
    assert around[2] <= page.width
    ring = page.crop(around)
    ring.paste(255, (quiet - edge, quiet - edge, ring.width - quiet + edge, ring.height - quiet + edge))
    assert ring.getextrema() == (255, 255)
