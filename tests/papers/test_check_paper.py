"""`manage.py check_paper FILE.pdf`: 0 and "Untouched", or 1 and what was touched, in words."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction

from jobs.papers.canonical import canonical, read, sha256
from jobs.papers.models import Paper
from jobs.papers.seal import ensure_key, seal
from jobs.papers.steps import freeze, print_paper
from jobs.papers.texts import Json
from jobs.papers.typeset import typeset
from tests import factory
from tests.factory import NOW
from tests.papers import samples

pytestmark = pytest.mark.django_db
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory, settings: Any) -> Path:
    """A home with the shop's key, made once."""
    settings.SHOP_HOME = tmp_path_factory.getbasetemp()
    factory.shop()
    return tmp_path_factory.getbasetemp()


def told(path: Path, *more: str) -> tuple[int, str]:
    """Exit code and words of the command."""
    out = StringIO()
    try:
        call_command("check_paper", str(path), *more, stdout=out)
    except SystemExit as end:
        return int(end.code or 0), out.getvalue()
    return 0, out.getvalue()


@pytest.fixture
def printed(tmp_path: Path) -> tuple[Paper, Path]:
    """A note of the book and its file."""
    words = samples.note()
    with transaction.atomic():
        paper = freeze(words, by=None, at=NOW, signatures=samples.signed())
    pdf = print_paper(paper.pk, at=NOW)
    assert pdf
    (tmp_path / "note.pdf").write_bytes(pdf)
    paper.refresh_from_db()
    return paper, tmp_path / "note.pdf"


def test_an_untouched_paper_of_the_book_says_which_it_is(printed: tuple[Paper, Path]) -> None:
    code, words = told(printed[1])
    assert code == 0
    assert words.startswith("Untouched: condition note N26-0001 of 25.11.2026, paper 1 of the book.")


def test_without_the_book_the_key_is_shown_for_comparing(printed: tuple[Paper, Path], home: Path) -> None:
    code, words = told(printed[1], "--without-book")
    assert code == 0
    assert "Untouched: condition note N26-0001, as it was sealed by “Marrowfen Strings Workshop”." in words
    digits = ensure_key(home, "", NOW).fingerprint
    assert f"Key {digits[:4]} {digits[4:8]}" in words
    assert "ask the shop whether that is its key" in words


@pytest.mark.parametrize("without", [(), ("--without-book",)])
def test_a_changed_byte_is_refused_and_the_place_named(printed: tuple[Paper, Path], without: tuple[str, ...]) -> None:
    path = printed[1]
    pdf = bytearray(path.read_bytes())
    for at in range(9, len(pdf), len(pdf) // 40):
        pdf[at] ^= 1
        path.write_bytes(pdf)
        code, words = told(path, *without)
        assert code == 1
        assert words.startswith(f"Not as it was sealed: {path}\n- ")
        if not without:
            assert f"First different byte: {at}, in " in words
        pdf[at] ^= 1


def test_a_paper_of_this_number_sealed_anew_with_another_value_is_taken_apart(
    printed: tuple[Paper, Path], home: Path
) -> None:
    paper, path = printed
    text = read(paper.text.encode())
    words: Any = text["words"]
    words["jobs"][0]["value"] = "24000.00"
    text["words_sha256"] = sha256(canonical(words))
    path.write_bytes(seal(typeset("note", canonical(text), {}), ensure_key(home, "", NOW), reason="x", at=NOW))
    code, said = told(path)
    assert code == 1
    assert "- It is not the file the book holds." in said
    assert "- words, jobs, 1, value: the book says “2400.00”, this file “24000.00”" in said


def test_a_paper_sealed_with_our_key_that_no_book_holds_is_refused(printed: tuple[Paper, Path], home: Path) -> None:
    held = samples.freeze(replace(samples.receipt(), amount="1.00"), number="R99-0001")
    printed[1].write_bytes(seal(typeset("receipt", held.data, {}), ensure_key(home, "", NOW), reason="x", at=NOW))
    code, words = told(printed[1])
    assert code == 1
    assert "sealed with this shop's key, but no such paper stands in the book" in words


def test_another_shops_paper_is_refused_beside_our_book_and_fine_without(
    printed: tuple[Paper, Path], tmp_path: Path
) -> None:
    other = ensure_key(tmp_path, "Another workshop", NOW)
    held = samples.freeze(samples.receipt(), number="R99-0001")
    printed[1].write_bytes(seal(typeset("receipt", held.data, {}), other, reason="x", at=NOW))
    code, words = told(printed[1])
    assert code == 1
    assert "sealed with another key" in words
    assert told(printed[1], "--without-book")[0] == 0


def test_a_kept_file_that_was_lost_does_not_stop_the_check(printed: tuple[Paper, Path]) -> None:
    paper, path = printed
    paper.pdf.storage.delete(paper.pdf.name or "")
    assert told(path)[0] == 0


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "the file is empty."),
        (b"GIF89a....", "it is not a PDF."),
        (b"%PDF-1.7\nnothing", "It carries no seal that can be read."),
        (None, "there is no such file."),
    ],
)
def test_what_is_no_paper_is_refused_in_plain_words(data: bytes | None, words: str, tmp_path: Path) -> None:
    path = tmp_path / "what.pdf"
    if data is not None:
        path.write_bytes(data)
    code, said = told(path)
    assert code == 1
    assert words in said


def test_a_folder_and_a_huge_file_are_refused_before_they_are_read(tmp_path: Path) -> None:
    assert "that is a folder" in told(tmp_path)[1]
    with (tmp_path / "huge.pdf").open("wb") as huge:
        huge.write(b"%PDF-1.7\n")
        huge.truncate(3 * 2**30)
    code, said = told(tmp_path / "huge.pdf")
    assert code == 1
    assert "the file has 3072 MB" in said


def test_an_unsealed_paper_is_refused(tmp_path: Path) -> None:
    held = samples.freeze(samples.receipt())
    (tmp_path / "a.pdf").write_bytes(typeset("receipt", held.data, {}))
    code, said = told(tmp_path / "a.pdf", "--without-book")
    assert code == 1
    assert "carries no seal" in said


def test_the_command_works_where_nothing_is_set_up_and_ends_with_its_code(
    printed: tuple[Paper, Path], tmp_path: Path
) -> None:
    environment = {**os.environ, "SHOP_HOME": str(tmp_path / "empty"), "DJANGO_SETTINGS_MODULE": "shop.settings"}
    environment.pop("DATABASE_URL", None)

    def run(path: Path) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "manage.py", "check_paper", str(path)],
            cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=100,
        )  # fmt: skip

    good = run(printed[1])
    assert (good.returncode, good.stdout.split(":")[0]) == (0, "Untouched")
    changed = bytearray(printed[1].read_bytes())
    changed[len(changed) // 2] ^= 4
    printed[1].write_bytes(changed)
    bad = run(printed[1])
    assert bad.returncode == 1
    assert bad.stdout.startswith("Not as it was sealed")
    assert "Traceback" not in bad.stderr


def test_the_text_inside_is_plain_json_anyone_can_read(printed: tuple[Paper, Path]) -> None:
    text: Json = json.loads(printed[0].text)
    assert isinstance(text, dict)
    assert text["form"] == "paper/1"
