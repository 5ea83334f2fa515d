"""One scale of days for all options of an estimate, to draw beside the words. Pure; units of a 300 wide drawing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

LEFT, RIGHT = 8.0, 292.0
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LONG = 70  # days; beyond this months are marked, below it weeks
_APART = 34.0  # two names closer than this would touch


@dataclass(frozen=True, slots=True)
class Mark:
    """A tick and its name."""

    x: float
    words: str


@dataclass(frozen=True, slots=True)
class Bar:
    """From where to where it may be ready."""

    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Scale:
    """Marks that all options share, and one bar for each (None where no day is named)."""

    marks: tuple[Mark, ...]
    bars: tuple[Bar | None, ...]


def scale(spans: Sequence[tuple[date | None, date | None]], *, today: date) -> Scale | None:
    """From today to a little after the last day. None when no option names a day."""
    ends = [last or first for first, last in spans if first]
    if not ends:
        return None
    days = max((max(ends) - today).days, 7) * 1.08

    def place(day: date) -> float:
        return round(LEFT + (RIGHT - LEFT) * min(1.0, max(0.0, (day - today).days / days)), 1)

    bars = tuple(
        Bar(place(first), max(place(last or first), place(first) + 1)) if first else None for first, last in spans
    )
    return Scale(_marks(today, int(days), place), bars)


def _marks(today: date, days: int, place: Callable[[date], float]) -> tuple[Mark, ...]:
    every = [today + timedelta(days=n) for n in range(1, days + 1)]
    if days > _LONG:
        named = [(day, _MONTHS[day.month - 1]) for day in every if day.day == 1]
    else:
        named = [(day, f"{day.day} {_MONTHS[day.month - 1]}") for day in every if day.weekday() == 0]
    marks: list[Mark] = []
    for day, words in named:
        x = place(day)
        if (not marks or x - marks[-1].x >= _APART) and x <= RIGHT - 8:
            marks.append(Mark(x, words))
    return tuple(marks)
