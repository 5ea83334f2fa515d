"""What `unpack` refuses, in which words, and that nothing is left behind."""

import os
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import psycopg
import pytest

from shop.packing.manifest import Manifest
from tests.browser.real_shop import database
from tests.packing.archives import small
from tests.packing.shops import manage

pytestmark = pytest.mark.timeout(400)
BASE = os.environ.get("DATABASE_URL", "")


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """A whole archive; what it holds fits no shop."""
    small(tmp_path / "copy.zip")
    return tmp_path / "copy.zip"


def refused(archive: Path, home: Path, *, url: str = "", **more: str) -> str:
    return manage("unpack", str(archive), "--home", str(home), home=home, url=url, code=1, **more)


def left_in(home: Path) -> list[str]:
    return [path.name for path in home.iterdir() if path.name != "running.lock"] if home.exists() else []


def test_only_looking_writes_nothing(archive: Path, tmp_path: Path) -> None:
    said = manage("unpack", str(archive), "--home", str(tmp_path / "new"), "--check", home=tmp_path / "new")
    assert "Good: every file in it is what its hash says." in said
    assert "Marrowfen Strings Workshop, packed " in said
    assert not (tmp_path / "new").exists()


def test_a_home_in_use_is_refused(archive: Path, tmp_path: Path) -> None:
    home = tmp_path / "used"
    home.mkdir()
    (home / "shop.sqlite3").write_bytes(b"a shop")
    said = refused(archive, home)
    assert f"{home} is in use: it holds shop.sqlite3." in said
    assert "Nothing is put over an existing shop" in said
    assert (home / "shop.sqlite3").read_bytes() == b"a shop"
    assert left_in(home) == ["shop.sqlite3"]


def test_a_damaged_archive_is_refused_before_anything_is_written(archive: Path, tmp_path: Path) -> None:
    data = bytearray(archive.read_bytes())
    data[len(data) // 2] ^= 1
    archive.write_bytes(data)
    said = refused(archive, tmp_path / "new")
    assert "The archive is damaged: files/photos/2026/11/a.jpg, between byte" in said
    assert "Nothing was written." in said
    assert not (tmp_path / "new").exists()


def test_an_archive_of_a_newer_program_is_refused(tmp_path: Path) -> None:
    def later(made: Manifest) -> Manifest:
        return replace(made, migrations={"jobs": ["0001_initial", "0999_from_later"]}, program="9.9.9")

    small(tmp_path / "newer.zip", change=later)
    said = refused(tmp_path / "newer.zip", tmp_path / "new")
    assert "made by a newer program (9.9.9; this one does not know jobs.0999_from_later)" in said
    assert "Update this program first, then unpack." in said
    assert left_in(tmp_path / "new") == []


def test_another_secret_key_in_the_environment_is_refused(archive: Path, tmp_path: Path) -> None:
    assert "links would be dead" in refused(archive, tmp_path / "new", SHOP_SECRET_KEY="another")
    assert not (tmp_path / "new").exists()


def test_rows_that_fit_no_table_leave_the_home_as_empty_as_it_was(tmp_path: Path) -> None:
    def other(made: Manifest) -> Manifest:
        return replace(made, migrations={"contenttypes": ["0001_initial"]})

    small(tmp_path / "odd.zip", change=other)
    said = refused(tmp_path / "odd.zip", tmp_path / "new")
    assert "The archive has tables/jobs_word.jsonl, and its program had no such table." in said
    assert f"Nothing was put in use, and {tmp_path / 'new'} is empty again." in said
    assert left_in(tmp_path / "new") == []


@pytest.mark.needs_postgres
def test_a_database_in_use_is_refused(archive: Path, tmp_path: Path) -> None:
    with database(BASE) as url:
        with psycopg.connect(url) as held:
            held.execute("CREATE TABLE something (id int)")
        said = refused(archive, tmp_path / "new", url=url)
    assert "The database holds tables already, such as something." in said
    assert "drop and create it" in said


def test_one_of_an_older_program_is_put_back_and_brought_forward(tmp_path: Path) -> None:
    """The tables as the first release had them; the migrations since run over its rows."""
    archive, new = tmp_path / "old.zip", tmp_path / "new"
    manage(
        "shell",
        "--no-imports",
        "-c",
        f"from tests.packing.older import make; make({str(archive)!r})",
        home=tmp_path / "old",
    )
    said = manage("unpack", str(archive), "--home", str(new), "--as-the-shop", home=new)
    assert "equal: " in said
    assert "This is the shop now." in said
    assert "Make sure that the old shop is not running any more." in said
    with closing(sqlite3.connect(new / "shop.sqlite3")) as held:
        assert held.execute("SELECT number, closed_as FROM jobs_job").fetchall() == [("26-0417", "")]
        assert held.execute("SELECT action FROM jobs_entry ORDER BY id").fetchall() == [
            ("job.opened",),
            ("copy.taken_up",),
        ]
        assert held.execute("SELECT name FROM profile_profile").fetchall() == [("Marrowfen Strings Workshop",)]
        assert held.execute("SELECT count(*) FROM packing_restored WHERE is_the_shop_at IS NOT NULL").fetchone() == (1,)
        applied = held.execute("SELECT count(*) FROM django_migrations WHERE app = 'jobs'").fetchone()[0]
    assert applied == len(list((Path(__file__).parents[2] / "jobs" / "migrations").glob("0*.py")))
