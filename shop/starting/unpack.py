"""`manage.py unpack`: puts a safe copy back into an empty home, proven equal by its hashes.

Here the archive is read and checked from end to end before anything is written; `putting_back` then writes, in a process
whose settings belong to the new home.
"""

import argparse
import getpass
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from shop.packing.faults import CannotUnpackError
from shop.packing.manifest import Manifest
from shop.packing.names import SIGNING_KEY
from shop.packing.reading import Opened, opened
from shop.packing.words import age_words, size_words
from shop.starting import home as homes
from shop.starting import parts
from shop.starting.home import CannotStartError
from shop.starting.parts import ROOT
from shop.starting.supervisor import Part, Supervisor, say_at_once

WORD = "SHOP_COPIES_PASSPHRASE"
SIGNING = "SHOP_SECRET_KEY"


def main(argv: list[str]) -> int:
    """Check an archive and, unless only that was asked, put it back; an exit code."""
    options = _options(argv)
    path: Path = options.archive.resolve()
    passphrase = _passphrase(path)
    try:
        with opened(path, passphrase=passphrase) as archive:
            say_at_once(f"Checking {path}.")
            archive.check()
            key = _signing_key(archive)
            manifest = archive.manifest
    except CannotUnpackError as fault:
        raise CannotStartError(f"{fault}\nNothing was written.") from None
    say_at_once(about(manifest, datetime.now(UTC)))
    if options.check:
        say_at_once("Good: every file in it is what its hash says.")
        return 0
    home: Path = options.home.resolve()
    more = {WORD: passphrase, SIGNING: key, "SHOP_AS_THE_SHOP": "1" if options.as_the_shop else ""}
    environment = parts.environment(home, "http://127.0.0.1:8000", **more)
    with homes.held_new(home):
        writer = Supervisor((), environment, home)
        code = writer.run_once(Part("unpack", ("shop.starting.putting_back", str(path))))
        if code:
            raise CannotStartError(_not_put_back(home))
        filled = {"filled": datetime.now(UTC).isoformat(timespec="seconds")} if manifest.home == "demo" else {}
        homes.keep(home, kind=manifest.home, **filled)
    say_at_once(_ready(home, manifest, sends=options.as_the_shop))
    return 0


def _options(argv: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="manage.py unpack",
        description="Put a safe copy back into an empty home. With DATABASE_URL the rows go to that empty database, with "
        "S3_BUCKET the photos and papers to that empty bucket.",
    )
    parser.add_argument("archive", type=Path, help="the safe copy")
    home = Path(os.environ.get("SHOP_HOME") or ROOT / "var" / "shop")
    parser.add_argument("--home", type=Path, default=home, help="an empty or a new folder (SHOP_HOME)")
    parser.add_argument("--check", action="store_true", help="only look whether it is whole; write nothing")
    parser.add_argument(
        "--as-the-shop",
        action="store_true",
        help="this is the shop from now on: letters to owners go out. Without it they wait until the head luthier says so",
    )
    return parser.parse_args(argv)


def _passphrase(path: Path) -> str:
    given = os.environ.get(WORD, "")
    if given or not path.name.endswith(".locked") or not sys.stdin.isatty():
        return given
    return getpass.getpass("Passphrase of this copy: ")


def _signing_key(archive: Opened) -> str:
    """The shop's secret key out of the archive, so that this program makes none of its own meanwhile."""
    entry = next((entry for entry in archive.manifest.keys if entry.name == SIGNING_KEY), None)
    if entry is None:
        raise CannotUnpackError("The archive holds no secret.key, so owners' links and tags would be dead.")
    key = archive.read(entry).decode()
    own = os.environ.get(SIGNING)
    if own and own != key:
        raise CannotUnpackError(
            f"{SIGNING} is set here to another key than the shop's: owners' links would be dead.\nUnset it, then unpack again."
        )
    return key


def about(manifest: Manifest, at: datetime) -> str:
    """What an archive is, in a line or two."""
    age = age_words(at - manifest.made_at)
    old = age if age == "just now" else f"{age} ago"
    words = (
        f"{manifest.shop or 'A shop'}, packed {old} ({manifest.made_at:%Y-%m-%d %H:%M} UTC) from {manifest.database}: "
        f"{len(manifest.tables)} tables, {manifest.rows:,} rows, {manifest.files.rows:,} files, "
        f"{size_words(manifest.files_size)} of photos and papers."
    )
    if manifest.missing:
        words += f"\nMissing already when it was made: {', '.join(manifest.missing[:10])}."
    return words


def _not_put_back(home: Path) -> str:
    words = f"Nothing was put in use, and {home} is empty again."
    if os.environ.get("DATABASE_URL"):
        words += "\nThe database named in DATABASE_URL may hold empty tables: drop and create it before the next try."
    if os.environ.get("S3_BUCKET"):
        words += "\nThe bucket may hold some files: empty it before the next try."
    return words


def _ready(home: Path, manifest: Manifest, *, sends: bool) -> str:
    command = "demo" if manifest.home == "demo" else "serve"
    waits = (
        "Letters to owners go out from here. Make sure that the old shop is not running any more."
        if sends
        else "Letters to owners wait: nobody hears twice, and a trial on another computer writes to no one.\n"
        "If this is the shop from now on, the head luthier says so on the page “Safe copies”."
    )
    return f"\nStart it with: python3 manage.py {command} --home {home}\nEverybody signs in anew.\n{waits}"
