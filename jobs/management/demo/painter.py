"""Paints the sample shop's photographs, one file each, in a process of its own beside the one that fills the book.

    python -m jobs.management.demo.painter FOLDER WHICH OF

Orders lie in FOLDER as JSON lines. Of them this painter takes each OF-th, beginning with WHICH, and says the number of
an order on standard output when its file lies there. It ends when nobody listens any more.
"""

import json
import sys
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from jobs.management.demo.drawing.photographs import as_jpeg, draw

ORDERS = "orders.jsonl"


def main(folder: Path, which: int, of: int) -> None:
    """Paint every order that is this painter's."""
    orders = (folder / ORDERS).read_text(encoding="utf-8").splitlines()
    for number, line in enumerate(orders):
        if number % of == which:
            _paint(json.loads(line), folder / f"{number}.jpg")
            print(number, flush=True)


def _paint(order: dict[str, Any], path: Path) -> None:
    picture = draw(
        order["view"],
        order["kind"],
        seed=order["seed"],
        size=(order["width"], order["height"]),
        label=order["label"],
        defect=order["defect"],
        extent_mm=order["extent_mm"],
    )
    path.write_bytes(as_jpeg(picture, taken_at=datetime.fromisoformat(order["taken_at"])))


if __name__ == "__main__":
    with suppress(BrokenPipeError):
        main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
