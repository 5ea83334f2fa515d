"""A part of the shop is away: nothing fails in front of a person, and the work is done when it is back.

Real processes, as in the journey from door to door. On SQLite the broker is a folder, on PostgreSQL a Redis of its own.
"""

import json
import os
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from socket import create_connection

import pytest

from tests.browser.real_shop import RealShop, free_port, real_shop

pytestmark = [pytest.mark.timeout(400)]


class FolderBroker:
    """The broker's folder, taken away and brought back."""

    environment: dict[str, str] = {}

    def __init__(self, home: Path) -> None:
        self.folder = home / "broker"

    def away(self) -> None:
        """As when a disk is gone."""
        self.folder.rename(self.folder.with_name("broker-away"))
        self.folder.write_text("not a folder")

    def back(self) -> None:
        """Mended."""
        self.folder.unlink()
        self.folder.with_name("broker-away").rename(self.folder)


class RedisBroker:
    """A Redis of this test's own, so that it may be stopped."""

    def __init__(self, home: Path) -> None:
        self.home, self.port = home, free_port()
        self.environment = {"REDIS_URL": f"redis://127.0.0.1:{self.port}/0"}
        self.process: subprocess.Popen[bytes] | None = None
        self.back()

    def away(self) -> None:
        """As when its computer is off."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    def back(self) -> None:
        """Started again, empty."""
        program = shutil.which("redis-server")
        assert program is not None
        self.process = subprocess.Popen(
            [program, "--port", str(self.port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"],
            stdout=subprocess.DEVNULL,
        )
        _until(lambda: _answers(self.port), "Redis answers", seconds=10)


def _answers(port: int) -> bool:
    with suppress(OSError), create_connection(("127.0.0.1", port), timeout=1):
        return True
    return False


@contextmanager
def _broker(home: Path) -> Iterator[FolderBroker | RedisBroker]:
    if not os.environ.get("REDIS_URL"):
        yield FolderBroker(home)
        return
    broker = RedisBroker(home)
    try:
        yield broker
    finally:
        broker.away()


def _until(look: Callable[[], object], what: str, *, seconds: float = 60) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if look():
            return
        time.sleep(0.3)
    raise AssertionError(f"Not within {seconds:.0f} s: {what}")


_MAKE = """
from datetime import timedelta
from time import monotonic
from django.utils import timezone
from jobs.book.stages import Stage
from jobs.moves.steps import move
from shop.people.models import Person
from tests import factory
head = Person.objects.get(username="ottilie")
slowest = 0.0
for number in range({count}):
    owner = factory.party(f"Owner {{number}}", email=f"{name}{{number}}@owners.example")
    job = factory.job(Stage.IN, owner=owner, assigned=head, ready=False, number=f"{name}{{number}}")
    began = monotonic()
    move(job.pk, Stage.EXA, by=head, at=timezone.now(), seen=1)
    slowest = max(slowest, monotonic() - began)
print("slowest", slowest)
"""

_STATES = """
import json
from collections import Counter
from jobs.updates.models import Message
print("states", json.dumps(Counter(Message.objects.filter(address__startswith="{name}").values_list("state", flat=True))))
"""


def _move_some(shop: RealShop, name: str, count: int) -> float:
    """Move jobs whose owners are told; the slowest move in seconds."""
    said = shop.python(_MAKE.format(count=count, name=name))
    return float(said.rsplit("slowest", 1)[1].split()[0])


def _states(shop: RealShop, name: str) -> dict[str, int]:
    said = shop.python(_STATES.format(name=name))
    found: dict[str, int] = json.loads(said.rsplit("states", 1)[1].strip().splitlines()[0])
    return found


def _told(shop: RealShop, name: str) -> set[str]:
    return {letter["X-Delivered-To"] for letter in shop.letters.letters if letter["X-Delivered-To"].startswith(name)}


@pytest.fixture(scope="module")
def shop_and_broker(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[tuple[RealShop, FolderBroker | RedisBroker]]:
    home = tmp_path_factory.mktemp("away") / "home"
    with _broker(home) as broker, real_shop(home, **broker.environment) as shop:
        yield shop, broker


def test_with_the_broker_away_a_move_still_succeeds_and_the_owner_is_told_when_it_is_back(
    shop_and_broker: tuple[RealShop, FolderBroker | RedisBroker],
) -> None:
    shop, broker = shop_and_broker
    broker.away()
    try:
        assert _move_some(shop, "away", 3) < 3
        assert _states(shop, "away") == {"due": 3}
    finally:
        broker.back()
    _until(lambda: len(_told(shop, "away")) == 3, "three owners are told", seconds=120)


def test_a_worker_killed_in_its_work_loses_no_letter(
    shop_and_broker: tuple[RealShop, FolderBroker | RedisBroker],
) -> None:
    shop, _ = shop_and_broker
    kills = 0
    for batch in range(3):
        _move_some(shop, f"kill{batch}x", 8)
        with suppress(AssertionError):
            shop.kill("--queues messages")
            kills += 1
    assert kills
    # a letter whose worker died in the middle is perhaps sent after two minutes; every other one is sent
    _until(
        lambda: sum(_states(shop, "kill").get(state, 0) for state in ("sent", "perhaps")) == 24,
        "every letter is sent or perhaps sent",
        seconds=240,
    )
    states = _states(shop, "kill")
    assert states.get("perhaps", 0) <= 2 * kills  # two at a time
    assert len(_told(shop, "kill")) >= states.get("sent", 0)
    by_address = [
        letter["X-Delivered-To"] for letter in shop.letters.letters if letter["X-Delivered-To"].startswith("kill")
    ]
    assert len(by_address) - len(set(by_address)) <= kills
