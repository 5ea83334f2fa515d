"""A shop packed while it is there, put back from SQLite and PostgreSQL to either, equal by hashes."""

import os
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import psycopg
import pytest

from jobs.book.models import Entry, Press
from jobs.papers.models import Paper
from shop.packing.manifest import Manifest
from shop.packing.models import SafeCopy
from tests.browser.real_shop import database
from tests.packing.shops import ODD_KEYS, manage, manifest_of, packed, path_in, small_world

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.timeout(400)]
BASE = os.environ.get("DATABASE_URL", "")


@pytest.fixture
def copy(tmp_path: Path, settings: Any) -> SafeCopy:
    """A good copy of a small shop on the database of this run."""
    settings.SHOP_HOME = tmp_path / "home"
    (settings.SHOP_HOME / "keys").mkdir(parents=True)
    (settings.SHOP_HOME / "keys" / "authority.pem").write_text("an authority")
    small_world()
    made = packed(tmp_path / "copies", settings)
    assert made.state == "good", made.failure
    return made


def said_equal(made: Manifest) -> str:
    return f"equal: {len(made.tables)} tables, {made.rows:,} rows, {made.files.rows:,} files"


def same_shop(one: Manifest, other: Manifest) -> None:
    """Everything but when and where from."""
    assert one.tables == other.tables
    assert one.files == other.files
    assert one.keys == other.keys
    assert replace(one, made_at=other.made_at, database=other.database) == other


def put_back(copy: Path, home: Path, url: str = "") -> Manifest:
    """Unpack, pack again, and the two are equal; what the second says."""
    before = manifest_of(copy)
    assert said_equal(before) in manage("unpack", str(copy), "--home", str(home), home=home, url=url)
    after = manifest_of(path_in(manage("pack", home=home, url=url)))
    same_shop(before, after)
    return after


def papers_untouched(home: Path, url: str = "") -> None:
    pdfs = list((home / "files" / "papers").rglob("*.pdf"))
    assert pdfs
    for pdf in pdfs:
        assert "Untouched" in manage("check_paper", str(pdf), home=home, url=url)


def test_put_back_on_sqlite_it_is_equal(copy: SafeCopy, tmp_path: Path) -> None:
    home = tmp_path / "new"
    assert put_back(Path(copy.path), home).database == "sqlite"
    papers_untouched(home)
    assert (home / "seal.pem").read_bytes() == (tmp_path / "home" / "seal.pem").read_bytes()
    assert (home / "keys" / "authority.pem").read_text() == "an authority"
    assert (home / "seal.pem").stat().st_mode & 0o077 == 0
    with closing(sqlite3.connect(home / "shop.sqlite3")) as held:  # without this program's own reading
        assert held.execute("SELECT count(*) FROM jobs_entry").fetchone()[0] == Entry.objects.count()
        keys = [row[0] for row in held.execute("SELECT key FROM jobs_press WHERE action LIKE 'ö%' ORDER BY rowid")]
        assert keys == sorted(ODD_KEYS)
        assert held.execute("SELECT count(*) FROM django_session").fetchone()[0] == 0
        with pytest.raises(sqlite3.IntegrityError, match="written once"):
            held.execute("DELETE FROM jobs_entry")


@pytest.mark.needs_postgres
def test_put_back_on_postgresql_it_is_equal_and_goes_on_numbering(copy: SafeCopy, tmp_path: Path) -> None:
    with database(BASE) as url:
        assert put_back(Path(copy.path), tmp_path / "new", url).database == "postgresql"
        papers_untouched(tmp_path / "new", url)
        with psycopg.connect(url) as held:
            row = held.execute("SELECT max(id), nextval(pg_get_serial_sequence('jobs_entry', 'id')) FROM jobs_entry")
            highest, following = row.fetchone() or (0, 0)
            assert following == highest + 1
            assert highest == Entry.objects.order_by("-pk").values_list("pk", flat=True)[0]
            with pytest.raises(psycopg.errors.RaiseException, match="written once"):
                held.execute("DELETE FROM jobs_entry")


@pytest.mark.needs_postgres
def test_from_postgresql_to_sqlite_and_back_it_is_still_equal(copy: SafeCopy, tmp_path: Path) -> None:
    first = manifest_of(Path(copy.path))
    on_sqlite, on_postgres = tmp_path / "sqlite", tmp_path / "postgres"
    assert put_back(Path(copy.path), on_sqlite).database == "sqlite"
    from_sqlite = path_in(manage("pack", "--to", str(tmp_path / "second"), home=on_sqlite))
    with database(BASE) as url:
        same_shop(first, put_back(from_sqlite, on_postgres, url))


def test_what_is_in_it_is_what_the_book_says(copy: SafeCopy) -> None:
    made = manifest_of(Path(copy.path))
    rows = {entry.name: entry.rows for entry in made.tables}
    assert rows["tables/jobs_entry.jsonl"] == Entry.objects.count()
    assert rows["tables/jobs_press.jsonl"] == Press.objects.count()
    assert "tables/django_session.jsonl" not in rows
    assert "tables/packing_safecopy.jsonl" not in rows
    assert [key.name for key in made.keys] == ["keys/secret.key", "keys/keys/authority.pem", "keys/seal.pem"]
    assert (copy.rows, copy.files, copy.tables) == (made.rows, made.files.rows, len(made.tables))
    assert Paper.objects.exclude(pdf="").count() == 1
    assert made.files.rows == 4  # the paper, a photo's original and its two sizes


def test_locked_it_is_put_back_with_its_passphrase_only(copy: SafeCopy, tmp_path: Path, settings: Any) -> None:
    settings.COPIES_PASSPHRASE = "nine cords on one rail"
    locked = packed(tmp_path / "locked", settings)
    assert locked.state == "good"
    assert locked.path.endswith(".zip.locked")
    new = tmp_path / "new"
    words = ("unpack", locked.path, "--home", str(new))
    assert "locked with a passphrase" in manage(*words, home=new, code=1)
    assert "does not open" in manage(*words, home=new, code=1, SHOP_COPIES_PASSPHRASE="wrong")
    assert not new.exists()
    assert "equal: " in manage(*words, home=new, SHOP_COPIES_PASSPHRASE="nine cords on one rail")
