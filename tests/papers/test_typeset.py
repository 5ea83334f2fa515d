"""Papers as PDFs: every name in every script, both pages, tagged, archived, the same bytes twice."""

import re
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from jobs.papers import lettering, typeset
from jobs.papers.frozen import Words
from jobs.papers.lettering import SUBSTITUTE, printable, refused_letters
from jobs.papers.regions import carried_text, page_count
from jobs.papers.texts import Named, ShopHead
from tests.papers import samples

NAMES = {
    "latin": "Žofie Łąkowska-Ñuñez",
    "greek": "Ελένη Παπαδοπούλου",
    "cyrillic": "Ярослав Щукин",
    "hebrew": "עדה רוזנבלום",
    "hebrew-points": "שָׁלוֹם",
    "arabic": "ليلى منصور",
    "chinese": "王小明",
    "chinese-simplified": "张伟龙",
    "japanese": "山田 はなこ",
    "korean": "김민준",
    "devanagari": "अनन्या शर्मा",
    "thai": "สมชาย ใจดี",
    "emoji": "Ada 🎻🎉",
}
PAPERS: dict[str, Any] = {
    "note": samples.note,
    "estimate": samples.estimate,
    "agreement": samples.agreement,
    "invoice": samples.invoice,
    "receipt": samples.receipt,
    "release": samples.release,
}


def made(words: Words, **more: Any) -> bytes:
    signatures = samples.signed() if words.KIND in {"note", "release"} else ()
    return typeset.typeset(words.KIND, samples.freeze(words, signatures).data, more.get("images", {}))


def read_back(pdf: bytes, folder: Path) -> str:
    """The words poppler reads, without the marks of direction."""
    (folder / "paper.pdf").write_bytes(pdf)
    told = subprocess.run(["pdftotext", folder / "paper.pdf", "-"], check=True, capture_output=True, text=True)
    return re.sub("[\u2066-\u2069\u202a-\u202e\u200b]", "", told.stdout)


@pytest.mark.needs_poppler
@pytest.mark.parametrize("kind", PAPERS)
@pytest.mark.parametrize("script", NAMES)
def test_a_name_in_any_script_stands_on_every_paper(kind: str, script: str, tmp_path: Path) -> None:
    name = NAMES[script]
    said = read_back(made(PAPERS[kind](name=name)), tmp_path)
    assert SUBSTITUTE not in said
    if script in {"devanagari", "thai", "arabic", "hebrew-points"}:
        return  # poppler gives shaped letters back in parts; that they were set without a gap is enough
    assert name in said


@pytest.mark.needs_poppler
def test_hebrew_runs_from_right_to_left_and_does_not_turn_what_stands_beside_it(tmp_path: Path) -> None:
    words = replace(samples.receipt(), payer=Named(name="עדה רוזנבלום"), towards="עדה רוזנבלום 26-0402")
    (tmp_path / "paper.pdf").write_bytes(made(words))
    told = subprocess.run(
        ["pdftotext", "-bbox", tmp_path / "paper.pdf", "-"], check=True, capture_output=True, text=True
    ).stdout
    found = [
        (re.sub("[\u2066-\u2069\u202a-\u202e]", "", text), float(left))
        for left, text in re.findall(r'xMin="([\d.]+)"[^>]*>([^<]*)</word>', told)
    ]
    # here poppler gives the letters as they lie, from left to right
    first = [left for text, left in found if text == "עדה"[::-1]]
    second = [left for text, left in found if text == "רוזנבלום"[::-1]]
    assert len(first) == len(second) == 2
    assert all(one > other for one, other in zip(sorted(first), sorted(second), strict=True))


@pytest.mark.needs_poppler
def test_letters_no_font_has_become_a_square_that_is_explained_and_the_text_inside_keeps_them(tmp_path: Path) -> None:
    name = "Ptah 𓀀𓁐 Ugarit 𐎀 keycap 1️⃣"
    words = samples.note(name=name)
    pdf = made(words)
    said = read_back(pdf, tmp_path)
    assert "Ptah □□ Ugarit □" in said
    assert "The sign □ stands for a letter our type does not have" in said
    carried = carried_text(pdf)
    assert carried is not None
    assert name in carried.decode()
    assert "pdfaid:part" in pdf.decode("latin-1")


def test_when_nothing_helps_the_paper_is_made_as_a_plain_pdf(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(typeset, "substituted", lambda value, letters: value)
    pdf = made(samples.note(name="Ptah 𓀀"))
    assert pdf.startswith(b"%PDF-")
    assert b"pdfaid:part" not in pdf


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(some.text(min_size=1, max_size=40))
def test_no_name_whatever_stops_a_receipt(name: str) -> None:
    words = replace(samples.receipt(), payer=Named(name=name, address=(name, name)), towards=name)
    assert made(words).startswith(b"%PDF-")


def test_hidden_turns_of_writing_are_not_printed_and_an_endless_word_may_break() -> None:
    assert printable("a\u202eb\x00c\ufeff") == "a b c "
    assert printable(["x" * 60]) == ["x" * 22 + "\u200b" + "x" * 22 + "\u200b" + "x" * 16]
    assert printable({"sha256": "0a" * 32}) == {"sha256": "0a" * 32}


def test_the_letters_a_fault_names_are_read_from_its_words() -> None:
    fault = 'error: the text `"𓀀"` could not be displayed with font\nthe text `"\\u{20e3}"` could not be displayed'
    assert refused_letters(fault) == "𓀀\u20e3"
    assert refused_letters("error: unknown variable") == ""


def test_the_same_text_gives_the_same_bytes() -> None:
    images = samples.pictures(3)
    words = samples.note(images=images)
    assert made(words, images=images) == made(words, images=images)


@pytest.mark.needs_poppler
@pytest.mark.parametrize(("page", "size"), [("a4", "595.276 x 841.89"), ("us-letter", "612 x 792")])
def test_papers_are_set_on_the_shops_own_page_tagged_and_titled(page: str, size: str, tmp_path: Path) -> None:
    shop = ShopHead(name="Marrowfen Strings Workshop", page=page, language="en")
    (tmp_path / "paper.pdf").write_bytes(made(samples.note(shop=shop, lines=40, jobs=2)))
    told = subprocess.run(["pdfinfo", tmp_path / "paper.pdf"], check=True, capture_output=True, text=True).stdout
    assert size in told
    assert re.search(r"Tagged: +yes", told)
    assert re.search(r"Title: +Condition note 26-0012", told)
    listed = subprocess.run(
        ["pdfdetach", "-list", tmp_path / "paper.pdf"], check=True, capture_output=True, text=True
    ).stdout
    assert "paper.json" in listed
    assert b"/Lang(en)" in (tmp_path / "paper.pdf").read_bytes()


def test_the_archive_standard_is_claimed_and_the_access_standard_is_met(monkeypatch: pytest.MonkeyPatch) -> None:
    images = samples.pictures(4)
    pdf = made(samples.note(images=images), images=images)
    assert b"<pdfaid:part>3</pdfaid:part>" in pdf
    assert b"<pdfaid:conformance>A</pdfaid:conformance>" in pdf
    # typst itself refuses to write PDF/UA-1 for what is not accessible
    monkeypatch.setattr(typeset, "STANDARDS", ["ua-1"])
    for kind, words in PAPERS.items():
        assert made(words(), images=images).startswith(b"%PDF-"), kind


def test_a_photo_that_cannot_be_shown_keeps_its_frame_and_its_hash() -> None:
    images = samples.pictures(2)
    words = samples.note(images=images)
    broken = dict.fromkeys(images, b"<svg>not a picture</svg>")
    assert page_count(made(words, images=broken)) == page_count(made(words, images=images))


def test_the_text_inside_is_the_very_text_that_was_frozen() -> None:
    held = samples.freeze(samples.note(), samples.signed())
    assert carried_text(typeset.typeset("note", held.data, {})) == held.data


def test_every_font_package_is_there() -> None:
    families = set(lettering.fonts().families())
    assert {"Noto Sans", "Noto Serif", "Noto Sans Hebrew", "Noto Sans CJK JP", "Noto Emoji"} <= families
