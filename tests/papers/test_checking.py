"""One changed byte anywhere, or one added, is refused: with the book, and without it."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from jobs.papers import canonical, regions
from jobs.papers.checking import _seal, check, differences
from jobs.papers.seal import ShopKey, ensure_key, seal
from jobs.papers.texts import Json
from jobs.papers.typeset import typeset
from tests.papers import samples

EVERY = 199  # a prime: the covered bytes are looked at in this stride, the seal byte by byte


def changed(pdf: bytes, at: int, flip: int) -> bytes:
    """One byte changed."""
    return pdf[:at] + bytes([pdf[at] ^ flip]) + pdf[at + 1 :]


def seal_span(pdf: bytes) -> tuple[int, int]:
    """From the digits of the seal to the end of the bytes it says it covers."""
    found = re.search(rb"/Contents <[0-9A-F]+>\s*/ByteRange \[[^\]]*\]", pdf)
    assert found
    return found.span()


def goes_through(pdf: bytes) -> bool:
    """Whether a file passes for untouched. The seal is asked first: what it finds, nothing else takes back."""
    return not _seal(pdf, None)[1] and check(pdf).untouched


def test_an_untouched_paper_is_untouched_with_and_without_the_book(sealed: bytes, key: ShopKey) -> None:
    alone = check(sealed)
    assert alone.untouched
    assert goes_through(sealed)
    assert alone.reasons == ()
    assert alone.sealed_by == "Marrowfen Strings Workshop"
    assert alone.number == "26-0012"
    assert alone.kind == "note"
    assert alone.key == canonical.short(key.fingerprint)
    assert check(sealed, certificate=key.certificate).untouched
    assert check(sealed, book_sha256=canonical.sha256(sealed), certificate=key.certificate).untouched


def test_every_byte_of_the_seal_itself_is_held_fast_without_the_book(sealed: bytes) -> None:
    start, end = seal_span(sealed)
    passed = [at for at in range(start, end) if goes_through(changed(sealed, at, 0x01))]
    # a small letter means the same number as its capital: the signature alone would not see it
    letters = [at for at in range(start, end) if sealed[at : at + 1].isalpha()]
    passed += [at for at in letters if goes_through(changed(sealed, at, 0x20))]
    assert passed == []
    assert len(letters) > 1000


def test_every_other_part_of_the_file_is_held_fast_without_the_book(sealed: bytes) -> None:
    start, end = seal_span(sealed)
    elsewhere = [*range(0, start, EVERY), *range(end, len(sealed))]
    passed = [at for at in elsewhere if check(changed(sealed, at, 0x01)).untouched]
    assert passed == []


@settings(max_examples=150, deadline=None)
@given(some.data())
def test_any_byte_may_become_any_other_and_it_is_seen(sealed: bytes, data: some.DataObject) -> None:
    at = data.draw(some.integers(0, len(sealed) - 1))
    flip = data.draw(some.integers(1, 255))
    touched = changed(sealed, at, flip)
    verdict = check(touched)
    assert not verdict.untouched
    assert all(verdict.reasons)
    with_book = check(touched, book_sha256=canonical.sha256(sealed))
    assert not with_book.untouched
    assert with_book.reasons[0] == "It is not the file the book holds." or "PDF" in with_book.reasons[0]


@settings(max_examples=60, deadline=None)
@given(some.binary(min_size=1, max_size=400))
def test_bytes_added_at_the_end_are_counted(sealed: bytes, more: bytes) -> None:
    verdict = check(sealed + more)
    assert not verdict.untouched
    assert (
        f"{len(more)} bytes were added after the seal." in verdict.reasons or "more than one seal" in verdict.reasons[0]
    )


@pytest.mark.parametrize("kept", [0, 4, 100, 0.5, 0.99, -1])
def test_a_file_cut_off_is_refused(sealed: bytes, kept: float) -> None:
    end = int(len(sealed) * kept) if 0 < kept < 1 else int(kept)
    assert not check(sealed[:end]).untouched


def test_small_digits_more_padding_and_a_second_seal_are_refused(sealed: bytes, key: ShopKey) -> None:
    start = sealed.index(b"/Contents <") + 11
    end = sealed.index(b">", start)
    lowered = sealed[:start] + sealed[start:end].lower() + sealed[end:]
    assert "digits of the seal" in check(lowered).reasons[0]
    padded = sealed[: end - 1] + b"1" + sealed[end:]
    assert "empty space after the seal" in check(padded).reasons[0]
    twice = seal(sealed, key, reason="again", at=samples.AT) if b"/DocMDP" not in sealed else sealed + sealed
    assert "more than one seal" in check(twice).reasons[0]


def test_a_paper_sealed_anew_with_another_key_is_told_apart_by_the_key(sealed: bytes, key: ShopKey, home: Path) -> None:
    other = ensure_key(home, samples.SHOP.name, samples.AT)
    held = samples.freeze(samples.note(name="Somebody Else"), samples.signed())
    forged = seal(typeset("note", held.data, {}), other, reason="Condition note 26-0012", at=samples.AT)
    alone = check(forged)
    assert alone.untouched  # by itself it holds together: that is why the key is shown
    assert alone.key != canonical.short(key.fingerprint)
    assert "another key" in check(forged, certificate=key.certificate).reasons[0]
    known = check(
        forged,
        book_sha256=canonical.sha256(sealed),
        book_text=samples.freeze(samples.note(), samples.signed()).data,
        certificate=key.certificate,
    )
    assert "words, parties, 1, name: the book says “Imelda Rookstone”, this file “Somebody Else”" in known.reasons


def test_the_same_key_and_another_text_is_no_paper_of_the_book(sealed: bytes, key: ShopKey) -> None:
    held = samples.freeze(samples.note(lines=5), samples.signed())
    again = seal(typeset("note", held.data, {}), key, reason="x", at=samples.AT + timedelta(days=1))
    verdict = check(again, book_sha256=canonical.sha256(sealed), certificate=key.certificate, book_pdf=sealed)
    assert not verdict.untouched
    assert verdict.reasons[0] == "It is not the file the book holds."


def test_the_book_names_the_part_that_was_touched(key: ShopKey) -> None:
    images = samples.pictures(2)
    held = samples.freeze(samples.note(images=images), samples.signed())
    pdf = seal(typeset("note", held.data, images), key, reason="x", at=samples.AT)
    told = {}
    for piece in regions.pieces(pdf):
        if piece.stream and len(piece.stream) > 8:
            at = pdf.index(piece.stream) + len(piece.stream) // 2
            verdict = check(changed(pdf, at, 0x01), book_sha256=canonical.sha256(pdf), book_pdf=pdf)
            told[regions.where(pdf, at)] = verdict.reasons[-1]
    assert {"a picture", "what is printed on page 1", "the text carried inside", "the lettering"} <= told.keys()
    for part, reason in told.items():
        assert reason.startswith("First different byte: ")
        assert reason.endswith(f"in {part}.")


def test_without_the_book_a_damaged_part_is_still_named(sealed: bytes) -> None:
    for piece in regions.pieces(sealed):
        if piece.stream and b"/EmbeddedFile" in piece.head:
            at = sealed.index(piece.stream) + len(piece.stream) // 2
            verdict = check(changed(sealed, at, 0x01))
            assert any("the text carried inside" in reason.lower() for reason in verdict.reasons)
            return
    pytest.fail("no text is carried inside")


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"%PDF-", b"%PDF-1.7\n%%EOF", b"\x00" * 900])
def test_what_is_no_sealed_pdf_is_refused_in_words(data: bytes) -> None:
    verdict = check(data)
    assert not verdict.untouched
    assert re.search("not a PDF|carries no seal", verdict.reasons[0])


def test_an_unsealed_paper_is_said_to_carry_no_seal() -> None:
    verdict = check(typeset("receipt", samples.freeze(samples.receipt()).data, {}))
    assert verdict.reasons == ("It carries no seal that can be read.",)


def test_differences_are_named_by_their_place() -> None:
    book: Json = {"jobs": [{"value": "2400.00"}, {"value": ""}], "how": "by hand"}
    file: Json = {"jobs": [{"value": "240.00"}], "how": "by hand", "more": "x"}
    assert list(differences(book, file)) == [
        "jobs: the book has 2, this file 1",
        "jobs, 1, value: the book says “2400.00”, this file “240.00”",
        "more: the book says “”, this file “x”",
    ]
