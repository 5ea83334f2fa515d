"""The shop’s week and closed days by whole days: typing them, asking them, saying them. Pure: days are passed in."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, time, timedelta
from itertools import groupby, pairwise

from shop.clock import Opening, days_words

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SHORT = tuple(name[:3] for name in DAY_NAMES)
_TIME = re.compile(r"([01]?[0-9]|2[0-3])(?:[:.]?([0-5][0-9]))?")
_FAR = 400  # days looked ahead: a shop closed for longer has no next day

Span = tuple[time, time]


class NotHoursError(ValueError):
    """Hours that cannot be kept. The text may be shown as it is."""


def open_day(opening: Opening, day: date) -> bool:
    """Whether the shop is open on a day. One that never said its hours is open on all but its closed days."""
    return not _shut(opening, day)


def _shut(opening: Opening, day: date) -> str:
    if opening.known:
        return opening.closed_words(day)
    return next((words for first, last, words in opening.closed if first <= day <= last), "")


def next_open_day(opening: Opening, day: date) -> date | None:
    """The first open day from `day` on, that day counted; None when there is none within 400 days."""
    ahead = (day + timedelta(days=n) for n in range(min(_FAR, (date.max - day).days + 1)))
    return next((each for each in ahead if open_day(opening, each)), None)


def open_days_after(opening: Opening, day: date, count: int) -> date:
    """The day on which `count` open days after `day` have come: 1 is the next open one. `day` itself for 0."""
    for _ in range(count):
        day = next_open_day(opening, day + timedelta(days=1)) or day + timedelta(days=1)
    return day


def why_closed(opening: Opening, day: date, *, today: date | None = None) -> str:
    """“Thu 24 December is closed: Christmas”, “Sun 27 December: closed on Sundays”; empty when it is open."""
    words = _shut(opening, day)
    if not words:
        return ""
    name = days_words(day, today=today)
    return f"{name}: {words}" if words.startswith("closed ") else f"{name} is closed: {words}"


def closed_soon(opening: Opening, today: date, *, days: int = 14) -> str:
    """“closed Thu 24 to Sat 26 December”: closed days that last still or begin within `days`; empty for none."""
    near = sorted(
        (first, last) for first, last, _ in opening.closed if last >= today and first <= today + timedelta(days=days)
    )
    said = [days_words(max(first, today), last, today=today) for first, last in near]
    return f"closed {', '.join(said)}" if said else ""


def week_words(hours: Mapping[str, Sequence[str]]) -> str:
    """“Mon to Fri 9 to 17, Sat 10 to 13”: days of equal hours in one breath; empty when no hours are said."""
    week, said = week_of(hours), []
    for spans, run in groupby(range(7), key=lambda n: week[n]):
        if not spans:
            continue
        days = list(run)
        name = _SHORT[days[0]] if len(days) == 1 else f"{_SHORT[days[0]]} to {_SHORT[days[-1]]}"
        said.append(f"{name} {' and '.join(f'{_said(start)} to {_said(end)}' for start, end in spans)}")
    return ", ".join(said)


def week_of(hours: Mapping[str, Sequence[str]]) -> tuple[tuple[Span, ...], ...]:
    """A week from what is kept: {"mon": ["09:00", "17:00"], …}. Raises NotHoursError for what cannot be."""
    return tuple(spans_of(hours.get(day, ())) for day in DAYS)


def spans_of(times: Sequence[str]) -> tuple[Span, ...]:
    """Spans of one day from two or four times. Raises NotHoursError when one is none, or not after the one before."""
    clock = [time_of(each) for each in times]
    if len(clock) not in {0, 2, 4}:
        raise NotHoursError("A day has two times, or four with a break: opens, closes, opens again, closes.")
    for earlier, later in pairwise(clock):
        if later <= earlier:
            raise NotHoursError(f"{_said(later)} is not after {_said(earlier)}. Times go up through the day.")
    return tuple(zip(clock[::2], clock[1::2], strict=True))


def time_of(text: str) -> time:
    """A time as typed: “9”, “9:30”, “09.30”, “0930”. Raises NotHoursError for anything else."""
    plain = text.strip()
    found = _TIME.fullmatch(f"0{plain}" if len(plain) == 3 and plain.isdecimal() else plain)
    if found is None:
        raise NotHoursError(f"“{plain[:20]}” is not a time. Write it as 9:00 or 17:30.")
    return time(int(found[1]), int(found[2] or 0))


def kept(week: Iterable[Sequence[Span]]) -> dict[str, list[str]]:
    """A week as it is kept: closed days left out."""
    return {
        day: [f"{moment:%H:%M}" for span in spans for moment in span]
        for day, spans in zip(DAYS, week, strict=True)
        if spans
    }


def _said(moment: time) -> str:
    return f"{moment.hour}" if moment.minute == 0 else f"{moment.hour}:{moment.minute:02}"
