"""Days and hours as the shop says them. Pure: the zone and the moment are passed in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_LONG = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def local(at: datetime, zone: ZoneInfo) -> datetime:
    """An aware moment in the shop's own zone."""
    if at.tzinfo is None:
        raise ValueError("A moment without a zone is not a moment.")
    return at.astimezone(zone)


def day_words(day: date, *, today: date | None = None) -> str:
    """“Fri 27 Nov”; with the year when it is not this year's."""
    words = f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"
    return words if today is None or day.year == today.year else f"{words} {day.year}"


def time_words(at: datetime, zone: ZoneInfo) -> str:
    """“10:12” in the shop's zone."""
    return f"{local(at, zone):%H:%M}"


def moment_words(at: datetime, zone: ZoneInfo, *, now: datetime) -> str:
    """“10:12” today, “yesterday 10:12”, else “Fri 27 Nov 10:12”."""
    here, today = local(at, zone), local(now, zone).date()
    clock = f"{here:%H:%M}"
    if here.date() == today:
        return clock
    if here.date() == today - timedelta(days=1):
        return f"yesterday {clock}"
    return f"{day_words(here.date(), today=today)} {clock}"


def span_words(seconds: float) -> str:
    """A running clock: “0:18:24”."""
    whole = max(0, int(seconds))
    return f"{whole // 3600}:{whole % 3600 // 60:02}:{whole % 60:02}"


_FULL = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def days_words(start: date, end: date | None = None, *, today: date | None = None) -> str:
    """For owners: “Fri 27 November”, “Fri 27 to Mon 30 November”, “Mon 30 November to Wed 2 December”.

    The year is said when it is not this year's.
    """
    last = end if end is not None and end > start else start
    first_words, last_words = (f"{_DAYS[day.weekday()]} {day.day} {_FULL[day.month - 1]}" for day in (start, last))
    year = f" {last.year}" if today is not None and last.year != today.year else ""
    if last == start:
        return f"{first_words}{year}"
    if (start.year, start.month) == (last.year, last.month):
        first_words = f"{_DAYS[start.weekday()]} {start.day}"
    elif start.year != last.year:
        first_words, year = f"{first_words} {start.year}", f" {last.year}"
    return f"{first_words} to {last_words}{year}"


def last_day(start: date, days: int) -> date:
    """Last day of a period counted from `start` itself: 1 March, 30 days → 31 March (start not counted)."""
    return start + timedelta(days=days)


def nearest_wednesday(day: date) -> date:
    """The nearest Wednesday not after `day`."""
    return day - timedelta(days=(day.weekday() - 2) % 7)


_CODES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_AHEAD = 400  # days looked ahead for the next open one


@dataclass(frozen=True, slots=True)
class Opening:
    """When the shop is open: the hours of a week, and days closed though the week says open.

    `hours` holds {"mon": ["09:00", "17:00"], …}, in pairs where the shop rests at midday; a day left out is closed.
    `closed` holds (first day, last day, words). Hours are of the shop's wall clock, whatever summer time does.
    """

    hours: Mapping[str, Sequence[str]]
    zone: ZoneInfo
    closed: tuple[tuple[date, date, str], ...] = ()

    @property
    def known(self) -> bool:
        """Whether anybody has said when the shop is open."""
        return any(self.hours.values())

    def closed_words(self, day: date) -> str:
        """Why it is closed on a day: the words of a closed day, “closed on Sundays”, or "" when it is open."""
        for first, last, words in self.closed:
            if first <= day <= last:
                return words
        return "" if self.hours.get(_CODES[day.weekday()]) else f"closed on {_LONG[day.weekday()]}s"

    def open_on(self, day: date) -> tuple[tuple[datetime, datetime], ...]:
        """The stretches of a day it is open, as aware moments; none when it is closed."""
        if self.closed_words(day):
            return ()
        times = [datetime.combine(day, time.fromisoformat(one), self.zone) for one in self.hours[_CODES[day.weekday()]]]
        return tuple((opens, closes) for opens, closes in zip(times[::2], times[1::2], strict=False) if opens < closes)

    def next_open(self, at: datetime) -> datetime | None:
        """The first moment the shop is open, `at` itself where it is open then. None when it never opens again."""
        here = local(at, self.zone)
        for days in range(_AHEAD):
            for opens, closes in self.open_on(here.date() + timedelta(days=days)):
                if here < closes:
                    return max(here, opens)
        return None

    def next_morning(self, at: datetime) -> datetime | None:
        """When the shop opens on its next open day after the one `at` falls on."""
        tomorrow = local(at, self.zone).date() + timedelta(days=1)
        return self.next_open(datetime.combine(tomorrow, time(), self.zone))


def stretch_words(seconds: float) -> str:
    """“18 min”, “5 h 18 min”, “24 h”, “6 d 4 h”: a stretch of time, the last minute begun counted."""
    minutes = -int(-max(0.0, seconds) // 60)
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 72 * 60:
        return f"{minutes // 60} h" if minutes % 60 == 0 else f"{minutes // 60} h {minutes % 60} min"
    hours = minutes // 60
    return f"{hours // 24} d" if hours % 24 == 0 else f"{hours // 24} d {hours % 24} h"
