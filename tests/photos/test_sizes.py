"""The sizes that leave the shop: upright, small enough, in sRGB, and nothing in them but the picture."""

from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from jobs.photos.sizes import UnreadableError, make_one, make_sizes
from tests.photos import pictures
from tests.photos.pictures import BLUE, GREEN, RED, WHITE

JFIF, QUANTISERS, HUFFMANS, FRAME = 0xE0, 0xDB, 0xC4, 0xC0
# how a picture must lie in the file to be upright again under each EXIF orientation (JEITA CP-3451): the inverse turns
LAID = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def opened(data: bytes) -> Image.Image:
    picture = Image.open(BytesIO(data))
    picture.load()
    return picture


def near(dot: object, colour: tuple[int, int, int], *, within: int = 12) -> bool:
    assert isinstance(dot, tuple)
    return all(abs(a - b) <= within for a, b in zip(dot, colour, strict=True))


def assert_upright(picture: Image.Image) -> None:
    w, h = picture.size
    for spot, colour in (((8, 8), RED), ((w - 9, 8), GREEN), ((8, h - 9), BLUE), ((w - 9, h - 9), WHITE)):
        assert near(picture.getpixel(spot), colour), f"{spot} is {picture.getpixel(spot)}, not {colour}"


@pytest.mark.parametrize("turned", LAID)
def test_every_orientation_comes_out_upright(turned: int) -> None:
    lying = LAID[turned]
    picture = pictures.scene() if lying is None else pictures.scene().transpose(lying)
    sizes = make_sizes(pictures.coded("JPEG", picture, exif=pictures.exif(turned)))
    for made, size in ((sizes.large, (640, 480)), (sizes.small, (480, 360))):
        assert opened(made).size == size
        assert_upright(opened(made))


@pytest.mark.parametrize("turned", [1, 3, 6, 8])
def test_a_heic_turned_by_its_own_box_comes_out_upright(turned: int) -> None:
    lying = LAID[turned]
    picture = pictures.scene() if lying is None else pictures.scene().transpose(lying)
    data = pictures.coded("HEIF", picture, exif=pictures.exif(turned), quality=90)
    assert (b"irot" in data) is (turned != 1), "the file turns itself, as telephones have it"
    sizes = make_sizes(data)
    assert_upright(opened(sizes.large))
    assert_upright(opened(sizes.small))


@pytest.mark.parametrize("kind", pictures.KINDS)
def test_no_place_camera_comment_or_profile_is_in_a_size(kind: str) -> None:
    options: dict[str, Any] = {"comment": b"by nobody"} if kind == "JPEG" else {}
    data = pictures.coded(kind, exif=pictures.exif(), icc_profile=pictures.wide_profile(), **options)
    original = opened(data)
    assert original.getexif().get_ifd(0x8825), "the original says where it was taken"
    sizes = make_sizes(data)
    for made in (sizes.small, sizes.large, make_one(data, "small"), make_one(data, "large")):
        assert set(pictures.segments(made)) <= {JFIF, QUANTISERS, HUFFMANS, FRAME}
        assert not opened(made).getexif()
        assert b"nobody" not in made


@pytest.mark.parametrize(
    ("width", "height", "large", "small"),
    [
        (4032, 3024, (1600, 1200), (480, 360)),
        (3024, 4032, (1200, 1600), (360, 480)),
        (1000, 500, (1000, 500), (480, 240)),
        (300, 200, (300, 200), (300, 200)),
        (5000, 3, (1600, 1), (480, 1)),
        (1, 1, (1, 1), (1, 1)),
    ],
)
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_the_long_edge_is_1600_and_480_and_nothing_is_blown_up(
    kind: str, width: int, height: int, large: tuple[int, int], small: tuple[int, int]
) -> None:
    sizes = make_sizes(pictures.coded(kind, Image.new("RGB", (width, height), RED)))
    assert opened(sizes.large).size == large
    assert opened(sizes.small).size == small


def test_colours_of_another_profile_are_brought_to_srgb() -> None:
    # in this profile red and green change places, so bare red dots are a green picture
    data = pictures.coded("PNG", Image.new("RGB", (60, 40), (255, 0, 0)), icc_profile=pictures.wide_profile())
    assert near(opened(make_sizes(data).large).getpixel((30, 20)), (0, 255, 0), within=30)


def test_a_profile_that_is_none_does_not_stop_a_photo() -> None:
    data = pictures.coded("JPEG", icc_profile=b"no profile at all")
    assert_upright(opened(make_sizes(data).large))


@pytest.mark.parametrize("mode", ["L", "CMYK"])
def test_grey_and_print_colours_become_a_photo_for_screens(mode: str) -> None:
    made = opened(make_sizes(pictures.coded("JPEG", pictures.scene(mode=mode))).large)
    assert (made.mode, made.size) == ("RGB", (640, 480))
    assert near(made.getpixel((631, 471)), WHITE)


@pytest.mark.parametrize("mode", ["P", "1", "LA", "RGBA", "I;16"])
def test_every_kind_of_png_becomes_a_photo(mode: str) -> None:
    picture = Image.new("I;16", (60, 40), 40_000) if mode == "I;16" else pictures.scene(60, 40, mode)
    made = opened(make_sizes(pictures.coded("PNG", picture)).large)
    assert (made.mode, made.size) == ("RGB", (60, 40))
    if mode == "I;16":
        assert near(made.getpixel((30, 20)), (156, 156, 156))


def test_what_is_see_through_lies_on_white() -> None:
    made = opened(make_sizes(pictures.coded("PNG", Image.new("RGBA", (40, 40), (255, 0, 0, 0)))).large)
    assert near(made.getpixel((20, 20)), (255, 255, 255))


@pytest.mark.parametrize("kind", pictures.KINDS)
def test_a_picture_that_cannot_be_decoded_is_said_to_be_unreadable(kind: str) -> None:
    data = pictures.coded(kind)
    with pytest.raises(UnreadableError):
        make_sizes(data[: len(data) // 2])
    with pytest.raises(UnreadableError):
        make_one(data[: len(data) // 2], "small")


def test_a_bomb_that_got_past_the_door_is_not_unpacked() -> None:
    with pytest.raises(UnreadableError):
        make_sizes(pictures.png_bomb())
