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
    """Median seconds of one call of each, taken turn by turn in stretches of about the same length.

    A busy machine then cuts into both alike; a single short call would slip in between where a long one cannot.
    """
    work(), yardstick()
    ours, theirs = (min(_stretch(call, 1) for _ in range(3)) for call in (work, yardstick))
    many, more = max(1, round(theirs / ours)), max(1, round(ours / theirs))
    gc.collect()
    pairs = [(_stretch(work, many), _stretch(yardstick, more)) for _ in range(rounds)]
    return median(pair[0] for pair in pairs), median(pair[1] for pair in pairs)


def _stretch(call: Callable[[], object], times: int) -> float:
    start = perf_counter()
    for _ in range(times):
        call()
    return (perf_counter() - start) / times
