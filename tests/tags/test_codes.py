"""Codes by chance, and whatever people type for them."""

import re
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as some

from jobs.tags.codes import ALPHABET, LENGTH, address, grouped, make_code, read_code

CODES = some.text(ALPHABET, min_size=LENGTH, max_size=LENGTH)


def test_codes_are_eight_signs_without_look_alikes_or_vowels() -> None:
    made = [make_code() for _ in range(2000)]
    assert all(re.fullmatch("[0-9CDFGHJKMNPQRTVWXY]{8}", code) for code in made)
    assert len(set(made)) == 2000
    # every sign comes up about as often as the others: 16,000 signs, 27 kinds, about 593 each (five sigma is 120)
    often = Counter("".join(made))
    assert set(often) == set(ALPHABET)
    assert all(450 < count < 740 for count in often.values())


def test_the_figures_in_the_docstring_are_right() -> None:
    assert len(ALPHABET) == 27
    codes, given_out = len(ALPHABET) ** LENGTH, 100_000
    assert codes == pytest.approx(2.8e11, rel=0.02)
    assert given_out / codes == pytest.approx(3.5e-7, rel=0.02)
    assert codes / given_out == pytest.approx(2.8e6, rel=0.02)


@given(CODES)
def test_a_code_is_read_however_it_is_typed(code: str) -> None:
    look_alike = code.translate(str.maketrans("01528V", "OISZBU"))
    for typed in (code, code.lower(), f" {grouped(code)} ", "-".join(code), grouped(look_alike), look_alike.lower()):
        assert read_code(typed) == code


@given(CODES)
def test_a_code_is_read_from_any_address_it_was_printed_in(code: str) -> None:
    for public in (
        "https://tags.example.org",
        "http://127.0.0.1:8000",
        "https://example.org/shop",
        "https://dós.example",
    ):
        assert read_code(address(code, public)) == code
    assert read_code(f"https://elsewhere.example/t/{code.lower()}/?from=camera#x") == code


@pytest.mark.parametrize(
    "typed",
    ["", " ", "7K2M9QW", "7K2M9QWDD", "7K2M9QWA", "7K2M9QWé", "٧K2M9QWD", "https://example.org/", "/t//", "x" * 9000],
)
def test_what_is_no_code_reads_as_none(typed: str) -> None:
    assert read_code(typed) is None


@given(some.text(max_size=60))
def test_any_line_at_all_is_read_without_a_fault(typed: str) -> None:
    code = read_code(typed)
    assert code is None or (len(code) == LENGTH and set(code) <= set(ALPHABET))


def test_the_address_is_in_capitals_unless_the_shop_has_a_path_of_its_own() -> None:
    assert address("7K2M9QWD", "https://tags.example.org") == "HTTPS://TAGS.EXAMPLE.ORG/T/7K2M9QWD"
    assert address("7K2M9QWD", "http://127.0.0.1:8000/") == "HTTP://127.0.0.1:8000/T/7K2M9QWD"
    assert address("7K2M9QWD", "https://example.org/Shop/") == "https://example.org/Shop/T/7K2M9QWD"
    # the usual example of a name outside ASCII: bücher is xn--bcher-kva (RFC 3492 coding)
    assert address("7K2M9QWD", "https://bücher.example") == "HTTPS://XN--BCHER-KVA.EXAMPLE/T/7K2M9QWD"
