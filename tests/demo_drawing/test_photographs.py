"""The painted photographs of the sample shop."""

import json
from datetime import datetime, timedelta, timezone
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import qrcode
import zxingcpp
from PIL import Image, ImageChops, ImageOps

from jobs.management.demo.drawing import defects, views
from jobs.management.demo.drawing.photographs import as_jpeg, draw

SMALL = (320, 240)
WORDS = Path(__file__).parents[2] / "fixtures" / "words.json"
KINDS = (
    "violin", "viola", "cello", "bass", "guitar-classical", "guitar-steel", "mandolin", "bow", "bow-bass",
    "case", "parts",
)  # fmt: skip
TAKEN = datetime(2025, 11, 6, 10, 42, 7, tzinfo=timezone(timedelta(hours=1)))


EVERY = [
    (view, kind)
    for kind in KINDS
    for view in (*views.views(kind), *(() if kind in ("case", "parts") else views.EXTRA_VIEWS))
]


def pixels(image: Image.Image) -> np.ndarray[tuple[int, ...], np.dtype[np.int16]]:
    return np.asarray(image, dtype=np.int16)


@pytest.mark.parametrize(("view", "kind"), EVERY)
def test_every_view_of_every_kind_gives_a_picture_with_something_on_it(view: str, kind: str) -> None:
    picture = draw(view, kind, seed=3, size=SMALL, label="labelled Vosterlind, 1883", defect="cr-lower", extent_mm=40)
    assert picture.size == SMALL
    assert picture.mode == "RGB"
    grey = np.asarray(picture.convert("L"), dtype=np.float32)
    assert grey.std() > 5
    assert 15 < grey.mean() < 230


def rows_of_words(sort: str) -> list[dict[str, str]]:
    told = json.loads(WORDS.read_text(encoding="utf-8"))
    rows = told if isinstance(told, list) else [row for part in told.values() if isinstance(part, list) for row in part]
    return [row for row in rows if row.get("sort") == sort]


def test_every_view_code_of_the_shops_own_words_can_be_drawn() -> None:
    asked = [(row["code"], kind) for row in rows_of_words("view") for kind in row["kinds"].split()]
    assert len(asked) > 100
    for code, kind in asked:
        name = views.kind_of(kind)
        assert views.plain(code, name)
        if kind == "Gt":
            assert views.plain(code, "guitar-classical")


def test_every_condition_term_has_a_close_up() -> None:
    codes = [row["code"] for row in rows_of_words("term")]
    assert len(codes) > 60
    for i, code in enumerate(codes):
        kind = ("violin", "guitar-steel", "bow")[i % 3]
        close = draw("defect-01", kind, seed=4, size=(160, 120), defect=code, extent_mm=20)
        assert np.asarray(close.convert("L")).std() > 5, code


def test_the_same_order_gives_the_same_pixels_and_another_seed_does_not() -> None:
    first = draw("front-full", "Vn", seed=5, size=SMALL)
    draw("case-open", "Vc", seed=9, size=SMALL)
    again = draw("front-full", "violin", seed=5, size=SMALL)
    other = draw("front-full", "violin", seed=6, size=SMALL)
    assert first.tobytes() == again.tobytes()
    assert first.tobytes() != other.tobytes()


def test_instruments_differ_in_colour_from_seed_to_seed() -> None:
    middles = [
        pixels(draw("back-full", "Vn", seed=s, size=SMALL).crop((150, 150, 170, 190))).mean((0, 1)) for s in range(8)
    ]
    apart = [float(np.abs(a - b).max()) for i, a in enumerate(middles) for b in middles[:i]]
    assert max(apart) > 40


@pytest.mark.parametrize(("view", "kind"), [("scroll-front", "bow"), ("frog-player", "violin"), ("front", "violin")])
def test_a_view_that_a_kind_does_not_have_is_refused(view: str, kind: str) -> None:
    with pytest.raises(ValueError, match="no view"):
        draw(view, kind, seed=1, size=SMALL)


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="no drawing for the kind"):
        draw("front-full", "Xx", seed=1, size=SMALL)


def test_the_label_shows_the_words_it_was_given() -> None:
    one = draw("label", "cello", seed=2, size=SMALL, label="labelled Vosterlind, 1883")
    two = draw("label", "cello", seed=2, size=SMALL, label="labelled Ostlemere, 1921")
    none = draw("label", "cello", seed=2, size=SMALL)
    assert ImageChops.difference(one, two).getbbox() is not None
    paper, wood = (pixels(p.crop((120, 80, 200, 160))).mean() for p in (one, none))
    assert paper > wood + 25


def tick_spacing(picture: Image.Image, row: float) -> float:
    """Pixels between the lines of the rule, from the picture alone: the strongest period of a row of pixels."""
    y = int(picture.size[1] * row)
    x0, x1 = int(picture.size[0] * 0.2), int(picture.size[0] * 0.8)
    band = np.asarray(picture.convert("L").crop((x0, y, x1, y + 3)), dtype=np.float64).mean(axis=0)
    band -= np.convolve(np.pad(band, 30, mode="edge"), np.ones(61) / 61, "valid")
    power = np.abs(np.fft.rfft(band, 1 << 16))
    low = (1 << 16) // 40
    return float((1 << 16) / (int(power[low:].argmax()) + low))


def test_a_crack_is_as_long_as_its_extent_by_the_rule_in_the_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    size, long = (1600, 1200), 40
    told = {"seed": 11, "size": size, "defect": "cr-rib", "extent_mm": long}
    with_it = draw("defect-02", "Db", **told)  # type: ignore[arg-type]
    monkeypatch.setattr(defects, "mark", lambda term: lambda *where: None)
    without = draw("defect-02", "Db", **told)  # type: ignore[arg-type]
    changed = np.abs(pixels(with_it) - pixels(without)).max(axis=2) > 8
    columns = np.nonzero(changed.any(axis=0))[0]
    millimetre = tick_spacing(with_it, 0.885)
    assert (columns[-1] - columns[0]) / millimetre == pytest.approx(long, rel=0.05)


def test_a_tag_lying_in_the_picture_can_be_read_by_another_program() -> None:
    # zxing-cpp is the independent reader
    square = qrcode.QRCode(error_correction=qrcode.constants.ERROR_CORRECT_Q, border=4, box_size=1)
    square.add_data("https://shop.example/t/7K3M9QX2")
    symbol = square.make_image().get_image().convert("L")
    taken = as_jpeg(draw("front-full", "Vc", seed=8, size=(1600, 1200), tag_symbol=symbol), taken_at=TAKEN)
    found = zxingcpp.read_barcodes(Image.open(BytesIO(taken)))
    assert [code.text for code in found] == ["https://shop.example/t/7K3M9QX2"]


def test_the_file_tells_when_it_was_taken_and_nothing_of_the_place_unless_asked() -> None:
    # tag numbers: CIPA DC-008 (Exif)
    file = Image.open(BytesIO(as_jpeg(draw("button", "Bw", seed=1, size=SMALL), taken_at=TAKEN)))
    exif = file.getexif()
    assert file.format == "JPEG"
    assert exif[274] == 1
    assert exif.get_ifd(34665)[36867] == "2025:11:06 10:42:07"
    assert exif.get_ifd(34665)[36881] == "+01:00"
    assert not exif.get_ifd(34853)


def test_a_place_is_written_in_degrees_minutes_and_seconds() -> None:
    file = Image.open(BytesIO(as_jpeg(Image.new("RGB", (8, 8)), taken_at=TAKEN, place=(-12.5, 7.2625))))
    spot = file.getexif().get_ifd(34853)
    assert (spot[1], spot[3]) == ("S", "E")
    assert [float(v) for v in spot[2]] == [12, 30, 0]
    assert [float(v) for v in spot[4]] == pytest.approx([7, 15, 45])


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_viewer_that_honours_the_orientation_shows_the_picture_upright(orientation: int) -> None:
    picture = draw("frog-player", "Bw", seed=2, size=SMALL)
    file = Image.open(BytesIO(as_jpeg(picture, taken_at=TAKEN, orientation=orientation)))
    assert file.getexif()[274] == orientation
    assert file.size == (SMALL if orientation < 5 else SMALL[::-1])
    upright = ImageOps.exif_transpose(file)
    assert upright.size == SMALL
    assert np.abs(pixels(upright) - pixels(picture)).mean() < 6
