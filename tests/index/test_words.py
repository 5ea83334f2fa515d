"""Folding, splitting and reading back, with published examples."""

import unicodedata

import phonenumbers
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.index.needle import CODE, CODE_END, Needle, code_of, code_words, read
from jobs.index.words import (
    LONGEST,
    chunks,
    email_words,
    fold,
    number_words,
    phone_run,
    phone_words,
    words_of,
)
from jobs.tags.codes import ALPHABET, make_code, read_code

TEXT = st.text(max_size=60)
# lowest level of comparison: what one can type, in many scripts
WORDS = st.text(st.characters(categories=["Lu", "Ll", "Lo", "Nd"], exclude_characters="ʼ"), min_size=1, max_size=12)


@pytest.mark.parametrize(
    ("written", "folded"),
    [
        # Unicode Standard Annex #15, figures 3 to 6 (singletons, composites, compatibility composites)
        ("\u212b", "a"),  # Å, the angstrom sign, is Å is A with a ring
        ("\u2126", "ω"),  # Ω, the ohm sign
        ("\u1e0d\u0307", "d"),  # two dots, in either order
        ("d\u0307\u0323", "d"),
        ("\ufb01", "fi"),  # the ligature
        ("2\u2075", "25"),
        ("\u017f\u0323\u0307", "s"),  # long s with two dots
        # Unicode case folding (CaseFolding.txt): full foldings
        ("Stra\u00dfe", "strasse"),
        ("\u0130", "i"),
        ("\u03a3\u03c2", "σσ"),
        # Unicode 14.2, table of half-width kana by compatibility
        ("\uff76", "カ"),
        ("１２３", "123"),
        # other digits have the value the Unicode Character Database gives them
        ("\u0663\u0664", "34"),
        # strokes are no accents in Unicode; we let them fall (common practice in library catalogues, from memory)
        ("Łódź Sønder Đuro Þór", "lodz sonder duro thor"),
        # voicing, nukta and vowel signs stay
        ("が", "か\u3099"),
        ("की", "की"),
        # points of Hebrew and Arabic fall
        ("שָׁלוֹם", "שלום"),
        ("\u202eabc\u200f", "abc"),
    ],
)
def test_two_spellings_share_their_folded_form(written: str, folded: str) -> None:
    assert fold(written) == folded


@given(TEXT)
def test_folding_twice_is_folding_once(text: str) -> None:
    assert fold(fold(text)) == fold(text)


@given(TEXT)
def test_every_form_of_unicode_folds_to_the_same(text: str) -> None:
    forms = {fold(unicodedata.normalize(form, text)) for form in ("NFC", "NFD", "NFKC", "NFKD")}
    assert forms == {fold(text)}


@given(TEXT)
def test_words_are_short_plain_and_whole(text: str) -> None:
    for word in words_of(text):
        assert 0 < len(word) <= LONGEST
        assert not set(word) & set(" %_'\"\\\x00#+~\U0010ffff")


@given(st.lists(WORDS, min_size=1, max_size=4), st.data())
def test_every_beginning_of_every_word_is_found(names: list[str], data: st.DataObject) -> None:
    kept = words_of(" ".join(names))
    name = data.draw(st.sampled_from(names))
    typed = name[: data.draw(st.integers(1, len(name)))]
    for spellings in read(typed).words:
        assert any(word.startswith(spelling) for word in kept for spelling in spellings), (typed, kept)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Smith-Jones", {"smithjones", "smith", "jones"}),
        ("O’Brien", {"obrien", "o", "brien"}),
        ("KV-101", {"kv101", "kv", "101"}),
        ("kv007", {"kv007", "kv", "007", "7"}),
        ("Violin 3/4", {"violin", "3/4"}),
        ("Viola 15.5 in", {"viola", "15.5", "in"}),
        ("½ size", {"1/2", "size"}),
        ("Müller", {"muller", "mueller"}),
        ("山田太郎", {"山田太郎", "田太郎", "太郎", "郎"}),
        ("Иван Чайков", {"иван", "чаиков"}),
        ("", set()),
        ("🎻 % _ '", set()),
    ],
)
def test_a_text_is_found_by(text: str, words: set[str]) -> None:
    assert words_of(text) == words


def test_a_job_is_found_by_its_number_as_it_is_said() -> None:
    assert number_words("26-0417") == {"260417", "26417", "0417", "417"}
    for typed in ("0417", "417", "26-0417", "26-417", "26 0417"):
        kept = number_words("26-0417") | {"0417"}
        assert all(any(word.startswith(way) for word in kept for way in ways) for ways in read(typed).words), typed


def test_an_address_is_found_whole_and_by_its_parts_but_not_by_com() -> None:
    kept = email_words("Ann.Smith@mail.example.org")
    assert {"annsmithmailexampleorg", "ann", "smith", "mailexampleorg", "example"} <= kept
    assert "org" not in kept


# E.164 (ITU-T): at most 15 digits, country code first. The same number as people write it, by the library phonenumbers.
NUMBERS = ("+442079460123", "+12025550143", "+493012345678", "+390612345678", "+33142685300")


@pytest.mark.parametrize("number", NUMBERS)
def test_a_number_is_found_however_it_is_written(number: str) -> None:
    kept = phone_words(number)
    parsed = phonenumbers.parse(number)
    for form in ("E164", "INTERNATIONAL", "NATIONAL", "RFC3966"):
        written = phonenumbers.format_number(parsed, getattr(phonenumbers.PhoneNumberFormat, form)).removeprefix("tel:")
        runs = phone_run(written)
        assert any(word.startswith(run) for word in kept for run in runs), (written, runs)
    assert phone_run("00" + number[1:]) & {word[: len(number)] for word in kept}


@given(st.integers(10**6, 10**15 - 1), st.data())
def test_any_four_digits_in_a_row_find_a_number(number: int, data: st.DataObject) -> None:
    digits = str(number)
    start = data.draw(st.integers(0, len(digits) - 4))
    run = digits[start : data.draw(st.integers(start + 4, len(digits)))]
    assert any(word.startswith(way) for way in phone_run(run) for word in phone_words(f"+{digits}"))


def test_fewer_than_four_digits_are_no_number() -> None:
    assert phone_run("123") == set()
    assert phone_run("+1 23") == set()
    assert phone_run("violin 1234") == set()


@given(st.text(ALPHABET, min_size=8, max_size=8))
def test_a_code_is_found_by_its_letters_and_read_back(code: str) -> None:
    for word in code_words(code):
        assert code_of(word) == code
    for typed in (code, code.lower(), f"{code[:4]} {code[4:]}", code[:3], code[4:], f"HTTPS://SHOP.EXAMPLE/T/{code}"):
        assert any(word.startswith(way) for way in read(typed).code for word in code_words(code)), typed


def test_letters_taken_for_others_find_the_same_code() -> None:
    assert read("7K2M OILS").code == (f"{CODE}7k2m0115", f"{CODE_END}7k2m0115")
    assert read("7K2M 0I1S").code == read("7k2m0115").code
    assert read_code("7K2M OILS") == "7K2M0115"


@pytest.mark.parametrize("typed", ["", " ", "%", "_", "'\"\\;--", "\x00", "🎻🎻", "\u202e\u200f", "-" * 500])
def test_what_holds_no_word_asks_for_nothing(typed: str) -> None:
    assert not read(typed)
    assert read(typed) == Needle()


def test_ten_thousand_signs_ask_for_little() -> None:
    for typed in ("a" * 10_000, "a b " * 2_500, "山" * 10_000, "1 " * 5_000):
        needle = read(typed)
        assert len(needle.words) <= 6
        assert all(len(way) <= LONGEST for ways in needle.words for way in ways)


def test_taken_apart_a_number_is_letters_and_digits() -> None:
    assert read("KV101", loose=True).words == (("kv",), ("101",))
    assert read("smith-jones", loose=True).words == (("smith",), ("jones",))


def test_a_code_made_by_chance_is_never_all_gaps() -> None:
    code = make_code()
    assert chunks(code) == [[code.lower()]]
