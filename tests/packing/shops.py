"""A shop to pack, and the commands as somebody types them."""

import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from django.utils import timezone

from jobs.book.models import Counter, Press
from shop.packing import manifest as manifests
from shop.packing import steps
from shop.packing.manifest import Manifest
from shop.packing.models import SafeCopy
from shop.starting.parts import ROOT
from tests.rules.world import World, world

# sorted by letters' numbers these stand in another order than any language sorts them
ODD_KEYS = [
    "Zeta-12345",
    "alpha-1234",
    "Alpha-1234",
    "_under-123",
    "élan-12345",
    "éclair-123",
    "-dash-1234",
    "9-nines-12",
    "ß-sharp-12",
]


def environment(home: Path, url: str = "", **more: str) -> dict[str, str]:
    """Nothing of the tests' own shop, database or broker."""
    ours = ("SHOP_", "SMTP_", "S3_", "DATABASE_URL", "REDIS_URL", "DJANGO_")
    clean = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    return clean | {"SHOP_HOME": str(home)} | ({"DATABASE_URL": url} if url else {}) | more


def manage(*words: str, home: Path, url: str = "", code: int = 0, **more: str) -> str:
    """Run a command with nobody at the terminal; what it said."""
    done = subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(home, url, **more),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=170,
    )
    assert done.returncode == code, done.stdout + done.stderr
    return done.stdout + done.stderr


def small_world() -> World:
    """A small shop with values that two databases are known to keep or to order differently."""
    made = world()
    at = timezone.now()
    Press.objects.bulk_create(
        Press(key=key, action="ö · 樂器 · 🎻", at=at, made={"b": 1.0, "a": [0.1, 1e22, -0.0, 2**60], "é": "\u2028\\"})
        for key in ODD_KEYS
    )
    Counter.objects.create(series="far", last=2**62)
    return made


def packed(folder: Path, settings: Any, *, clock: Callable[[], datetime] = timezone.now) -> SafeCopy:
    """A copy of the test's own shop, made in this process."""
    settings.COPIES_FOLDER = folder
    copy = steps.make(steps.ask(by=None, at=clock()).pk, clock=clock)
    assert copy is not None
    return copy


def manifest_of(path: Path) -> Manifest:
    """The manifest, read by Python's zipfile alone."""
    with zipfile.ZipFile(path) as held:
        return manifests.read(held.read("manifest.json"))


def path_in(said: str) -> Path:
    """Where `pack` says that it put the copy."""
    found = re.search(r"^Good: (.+)$", said, re.M)
    assert found, said
    return Path(found[1])
