"""Say whether a sealed paper is untouched, or what was touched. Ends with 0 for untouched, 1 for everything else."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import DatabaseError

from jobs.papers.canonical import sha256, short
from jobs.papers.checking import Verdict, check
from jobs.papers.models import Paper
from jobs.papers.reads import DamagedFileError, named, numbered, read_pdf
from jobs.papers.seal import key_path, read_key

LARGEST = 60 * 1024 * 1024  # a note with forty photos is about 2 MB


class Command(BaseCommand):
    help = "Say whether a sealed paper (PDF) is untouched, or what was touched."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="the PDF to look at")
        parser.add_argument(
            "--without-book",
            action="store_true",
            help="look at the seal alone, as anyone without this shop's book would",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        fault = _unreadable(path)
        if fault:
            self._end(f"{path}: {fault}")
        pdf = path.read_bytes()
        if options["without_book"] or not _has_book():
            self._without_book(path, check(pdf))
        else:
            self._with_book(path, pdf)

    def _without_book(self, path: Path, verdict: Verdict) -> None:
        if not verdict.untouched:
            self._refuse(path, verdict)
        self.stdout.write(
            f"Untouched: {verdict.title.lower()} {verdict.number}, as it was sealed by “{verdict.sealed_by}”.\n"
            f"Key {verdict.key}, text {short(verdict.text_sha256)}.\n"
            "Looked at without the book: ask the shop whether that is its key."
        )

    def _with_book(self, path: Path, pdf: bytes) -> None:
        kept = key_path(settings.SHOP_HOME)
        certificate = read_key(kept).certificate if kept.exists() else None
        alone = check(pdf, certificate=certificate)
        paper = (
            named(pdf_sha256=sha256(pdf))
            or named(text_sha256=alone.text_sha256)
            or numbered(kind=alone.kind, number=alone.number)
        )
        if paper is None:
            words = "" if alone.reasons else "It is sealed with this shop's key, but no such paper stands in the book."
            self._refuse(path, alone, words or "No paper of this book answers to it.")
        elif paper.state != "made":
            self._refuse(path, alone, f"The book has {paper}, but never made a file of it.")
        else:
            self._judge(path, pdf, paper, certificate)

    def _judge(self, path: Path, pdf: bytes, paper: Paper, certificate: bytes | None) -> None:
        try:
            book_pdf = read_pdf(paper)
        except DamagedFileError as fault:
            book_pdf = None
            self.stderr.write(f"The book's own file cannot help: {fault}")
        verdict = check(
            pdf,
            book_sha256=paper.pdf_sha256,
            certificate=certificate,
            book_text=paper.text.encode(),
            book_pdf=book_pdf,
        )
        if not verdict.untouched:
            self._refuse(path, verdict)
        self.stdout.write(
            f"Untouched: {paper.get_kind_display()} {paper.number} of {paper.at:%d.%m.%Y}, paper {paper.position} of the book.\n"
            f"Text {short(paper.text_sha256)}, file {short(paper.pdf_sha256)}."
        )

    def _refuse(self, path: Path, verdict: Verdict, *more: str) -> NoReturn:
        reasons = "\n".join(f"- {reason}" for reason in (*verdict.reasons, *more))
        self._end(f"Not as it was sealed: {path}\n{reasons}")

    def _end(self, words: str) -> NoReturn:
        self.stdout.write(words)
        sys.exit(1)


def _unreadable(path: Path) -> str:
    """Why a file cannot be looked at, or ""."""
    try:
        if not path.exists():
            return "there is no such file. Look at the name again."
        if not path.is_file():
            return "that is a folder, not a file."
        size = path.stat().st_size
        if size == 0:
            return "the file is empty."
        if size > LARGEST:
            return f"the file has {size // 2**20} MB; a paper of this shop never has more than {LARGEST // 2**20} MB."
        with path.open("rb") as opened:
            if opened.read(5) != b"%PDF-":
                return "it is not a PDF."
    except OSError as fault:
        return f"it cannot be read: {fault.strerror or fault}."
    return ""


def _has_book() -> bool:
    try:
        return Paper.objects.exists()
    except DatabaseError:
        return False  # a computer that only checks: nothing is set up here
