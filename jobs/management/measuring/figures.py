"""One figure, and how it is timed. Pure."""

import gc
from collections.abc import Callable
from dataclasses import asdict, dataclass
from statistics import median
from time import perf_counter
from typing import Any


@dataclass(frozen=True, slots=True)
class Figure:
    """What was measured. `ratio` is against the yardstick, in the words of `target`."""

    name: str
    figure: float
    unit: str
    yardstick: str
    ratio: float | None
    target: str
    met: bool

    def as_json(self) -> dict[str, Any]:
        """Plain values, rounded for reading."""
        plain = asdict(self)
        plain["figure"] = round(self.figure, 4)
        plain["ratio"] = None if self.ratio is None else round(self.ratio, 3)
        return plain


def paired(work: Callable[[], object], yardstick: Callable[[], object], *, rounds: int) -> tuple[float, float]:
    """Median seconds of both, taken turn by turn so that a noisy machine disturbs both alike."""
    work(), yardstick()
    ours: list[float] = []
    theirs: list[float] = []
    gc.collect()
    for _ in range(rounds):
        ours.append(_timed(work))
        theirs.append(_timed(yardstick))
    return median(ours), median(theirs)


def _timed(call: Callable[[], object]) -> float:
    start = perf_counter()
    call()
    return perf_counter() - start
