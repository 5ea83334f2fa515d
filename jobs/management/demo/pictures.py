"""Photographs to be had: ordered all at once, painted beside, taken one by one as the story comes to them."""

import json
import subprocess
import sys
import tempfile
from collections.abc import Hashable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, cast

from jobs.management.demo.painter import ORDERS

ROOT = Path(__file__).resolve().parents[3]
PAINTERS = 2


@dataclass(frozen=True, slots=True)
class Order:
    """One photograph, as `drawing.photographs.draw` takes it; `taken_at` with its zone (ISO 8601)."""

    view: str
    kind: str
    seed: int
    taken_at: str
    label: str = ""
    defect: str = ""
    extent_mm: float | None = None
    width: int = 1600
    height: int = 1200


class PaintingError(Exception):
    """A painter ended before its work was done; the text is what it said."""


class Pictures:
    """Painted photographs by what they were ordered for."""

    def __init__(self, folder: Path, keys: Mapping[Hashable, int], painters: "list[subprocess.Popen[str]]") -> None:
        self._folder, self._keys, self._painters = folder, keys, painters
        self._done: set[int] = set()

    def __contains__(self, key: Hashable) -> bool:
        return key in self._keys

    def take(self, key: Hashable) -> bytes:
        """The JPEG ordered for something, waiting for its painter. Raises PaintingError when that has ended."""
        number = self._keys[key]
        painter = self._painters[number % len(self._painters)]
        while number not in self._done:
            said = cast("IO[str]", painter.stdout).readline()
            if not said:
                raise PaintingError(f"A painter ended with code {painter.wait()} before picture {number} was painted.")
            self._done.add(int(said))
        return (self._folder / f"{number}.jpg").read_bytes()


@contextmanager
def painted(orders: Mapping[Hashable, Order]) -> Iterator[Pictures]:
    """Let two painters begin with all orders; what they made is gone when the block ends."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="sample-photos-")))
        lines = "".join(f"{json.dumps(asdict(order))}\n" for order in orders.values())
        (folder / ORDERS).write_text(lines, encoding="utf-8")
        painters: list[subprocess.Popen[str]] = []
        stack.callback(_dismiss, painters)
        for which in range(PAINTERS if orders else 0):
            painters.append(_hire(folder, which))
        yield Pictures(folder, {key: number for number, key in enumerate(orders)}, painters)


def _hire(folder: Path, which: int) -> "subprocess.Popen[str]":
    words = [sys.executable, "-m", "jobs.management.demo.painter", str(folder), str(which), str(PAINTERS)]
    return subprocess.Popen(words, cwd=ROOT, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True)


def _dismiss(painters: "list[subprocess.Popen[str]]") -> None:
    for painter in painters:
        painter.terminate()
        painter.wait()
        if painter.stdout:
            painter.stdout.close()
