"""The end of a picture file is found without decoding it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from jobs.photos.ends import is_whole
from tests.photos import pictures

WHOLE = {
    "JPEG": pictures.coded("JPEG", exif=pictures.exif()),
    "progressive": pictures.coded("JPEG", progressive=True),
    "restarts": pictures.coded("JPEG", restart_marker_rows=1),
    "PNG": pictures.coded("PNG"),
    "WEBP": pictures.coded("WEBP"),
    "HEIF": pictures.coded("HEIF", exif=pictures.exif(6)),
}


def _kind(name: str) -> str:
    return name if name in pictures.KINDS else "JPEG"


@pytest.mark.parametrize("name", WHOLE)
def test_a_whole_picture_is_whole_also_with_something_appended(name: str) -> None:
    assert is_whole(WHOLE[name], _kind(name))
    assert is_whole(WHOLE[name] + b"\x00\x01 a short film appended by the telephone", _kind(name))


@pytest.mark.parametrize("name", WHOLE)
@given(share=some.floats(0, 1, exclude_max=True))
@settings(max_examples=150, deadline=None)
def test_a_picture_cut_off_anywhere_is_not_whole(name: str, share: float) -> None:
    whole = WHOLE[name]
    at = int(len(whole) * share)
    at = min(at, len(whole) - 2) if _kind(name) == "WEBP" else at  # a WebP may end in one byte of padding
    assert not is_whole(whole[: max(at, 12)], _kind(name))


def test_the_end_of_the_thumbnail_inside_a_jpeg_is_not_its_own_end() -> None:
    thumbnail = pictures.coded("JPEG", pictures.scene(64, 48))
    whole = WHOLE["JPEG"]
    segment = b"\xff\xe2" + (len(thumbnail) + 2).to_bytes(2, "big") + thumbnail
    with_thumbnail = whole[:2] + segment + whole[2:]
    assert is_whole(with_thumbnail, "JPEG")
    assert not is_whole(with_thumbnail[: len(with_thumbnail) // 2], "JPEG")


def test_a_png_with_one_wrong_byte_is_not_whole() -> None:
    whole = bytearray(WHOLE["PNG"])
    whole[len(whole) // 2] ^= 1
    assert not is_whole(bytes(whole), "PNG")


@given(data=some.binary(max_size=200))
def test_no_bytes_at_all_make_it_fail_otherwise(data: bytes) -> None:
    for kind in pictures.KINDS:
        assert is_whole(data, kind) in (True, False)


def test_a_heic_box_of_sixty_four_bit_length_and_one_up_to_the_end_are_walked() -> None:
    whole = WHOLE["HEIF"]
    at = whole.index(b"mdat") - 4
    body = whole[at + 8 :]
    long_box = whole[:at] + b"\x00\x00\x00\x01mdat" + (len(body) + 16).to_bytes(8, "big") + body
    assert is_whole(long_box, "HEIF")
    assert not is_whole(long_box[:-1], "HEIF")
    assert is_whole(whole[:at] + b"\x00\x00\x00\x00mdat" + body, "HEIF")
