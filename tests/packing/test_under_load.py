"""A real shop is packed while it is worked in, by its own worker and from the terminal; put back, it is equal and sound."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from shop.packing.manifest import Manifest
from shop.starting.parts import ROOT
from tests.browser.real_shop import RealShop, database, real_shop
from tests.packing.shops import environment, manage, manifest_of, path_in

pytestmark = pytest.mark.timeout(600)  # four real processes and two at work
BASE = os.environ.get("DATABASE_URL", "")
HANDS = ("A", "B")


@contextmanager
def work(shop: RealShop, until: Path) -> Iterator[list[int]]:
    """Several at work while the block runs; afterwards how many turns each did."""
    hands = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.packing.load", name, str(until)],
            cwd=ROOT,
            env={**shop.environment, "DJANGO_SETTINGS_MODULE": "shop.settings"},
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in HANDS
    ]
    turns: list[int] = []
    try:
        yield turns
    finally:
        until.touch()
        ends = [hand.communicate(timeout=60)[0] for hand in hands]
        turns += [int(end or 0) for end in ends]
    assert all(hand.returncode == 0 for hand in hands)


def jobs_now(shop: RealShop) -> int:
    return int(shop.python("from jobs.book.models import Job; print(Job.objects.count())").strip().splitlines()[-1])


def wait_for_jobs(shop: RealShop, more_than: int) -> None:
    end = time.monotonic() + 60
    while jobs_now(shop) <= more_than:
        assert time.monotonic() < end, "Nobody works"


def wait_for_the_daily_copy(folder: Path, *, but: Path) -> Path:
    end = time.monotonic() + 120
    while not (made := [path for path in folder.glob("*.zip") if path != but]):
        assert time.monotonic() < end, "The worker made no copy by itself"
        time.sleep(0.5)
    return made[0]


def sound(home: Path, url: str) -> dict[str, object]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.packing.sound"],
        cwd=ROOT,
        env=environment(home, url, DJANGO_SETTINGS_MODULE="shop.settings"),
        capture_output=True,
        text=True,
        check=True,
    )
    said: dict[str, object] = json.loads(done.stdout.splitlines()[-1])
    return said


def put_back(copy: Path, home: Path, url: str) -> None:
    made: Manifest = manifest_of(copy)
    rows = {entry.name: entry.rows for entry in made.tables}
    assert f"equal: {len(made.tables)} tables, {made.rows:,} rows, {made.files.rows:,} files" in manage(
        "unpack", str(copy), "--home", str(home), home=home, url=url
    )
    assert manifest_of(path_in(manage("pack", home=home, url=url))).tables == made.tables
    seen = sound(home, url)
    assert seen["faults"] == []
    assert (seen["jobs"], seen["photos"]) == (rows["tables/jobs_job.jsonl"], rows["tables/jobs_photo.jsonl"])


def test_packed_while_everybody_works_and_put_back_it_is_equal_and_sound(tmp_path: Path) -> None:
    with real_shop(tmp_path / "home", SHOP_COPIES=str(tmp_path / "copies")) as shop:
        with work(shop, tmp_path / "stop") as turns:
            wait_for_jobs(shop, 3)
            began = jobs_now(shop)
            copy = path_in(shop.manage("pack"))
            wait_for_jobs(shop, began)
        daily = wait_for_the_daily_copy(tmp_path / "copies", but=copy)
        assert min(turns) > 1  # nobody stood still
    rows = {entry.name: entry.rows for entry in manifest_of(copy).tables}
    assert began <= rows["tables/jobs_job.jsonl"] < sum(turns) + 1
    put_back(copy, tmp_path / "on-sqlite", "")
    if BASE.startswith("postgres"):
        with database(BASE) as url:
            put_back(copy, tmp_path / "on-postgres", url)
    assert manifest_of(daily).rows > 0  # made by the worker, unasked, as soon as the shop ran
