"""`manage.py pack`: make a safe copy of the whole shop now, also while it runs. Ends with 0 for a good one, else 1."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from shop.packing import steps
from shop.packing.faults import CannotPackError
from shop.packing.words import size_words

OPEN_WORDS = (
    "Caution: this archive is not locked. It holds the shop's keys and its owners' names, addresses and papers: keep it\n"
    "where only you can read it, or set a passphrase as SHOP_COPIES_PASSPHRASE and pack again."
)


class Command(BaseCommand):
    """Makes one copy and says what became of it."""

    help = "Make a safe copy of the whole shop: rows, photos, papers and keys in one archive with hashes."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to", type=Path, metavar="FOLDER", help=f"where to put it (SHOP_COPIES; now {settings.COPIES_FOLDER})"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        if options["to"]:
            settings.COPIES_FOLDER = options["to"].resolve()
        steps.give_up(at=timezone.now())
        try:
            copy = steps.make(steps.ask(by=None, at=timezone.now()).pk, clock=timezone.now)
        except CannotPackError as fault:
            self._end(str(fault))
            return
        if copy is None:
            self._end("The worker of the running shop has taken it up and makes it. Look at the page “Safe copies”.")
        elif copy.state == "good":
            self.stdout.write(
                f"Good: {copy.path}\n{copy.tables} tables, {copy.rows:,} rows, {copy.files:,} files, "
                f"{size_words(copy.size)}; read back and equal.\nSHA-256 {copy.sha256}"
            )
            if not copy.locked:
                self.stderr.write(OPEN_WORDS)
        else:
            kept = f"\nWhat could be packed is in {copy.path}" if copy.made_at else ""
            self._end(f"Not good: {copy.failure}{kept}")

    def _end(self, words: str) -> None:
        self.stderr.write(words)
        sys.exit(1)
