"""Days counted from D as moments of the shop, and each person's free time at the bench. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shop.clock import local, nearest_wednesday

# hands rest at midday; a stretch of work begins on a five-minute mark
BLOCKS = ((time(9, 0), time(12, 35)), (time(13, 15), time(17, 0)))
_STEP = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Days:
    """The shop's zone, D, and the moment nothing may be later than."""

    zone: ZoneInfo
    day: date
    now: datetime

    @classmethod
    def around(cls, now: datetime, zone: ZoneInfo) -> "Days":
        """D is the nearest Wednesday not after today in the shop's zone."""
        return cls(zone, nearest_wednesday(local(now, zone).date()), now)

    def on(self, offset: int) -> date:
        """The day so many days from D."""
        return self.day + timedelta(days=offset)

    def at(self, offset: int, clock: str) -> datetime:
        """A time of day, “09:05”, so many days from D; never later than just before now."""
        here = datetime.combine(self.on(offset), time.fromisoformat(clock), self.zone)
        return min(here.astimezone(UTC), self.now - timedelta(minutes=1))

    def later(self, offset: int, clock: str) -> datetime:
        """The same, where it may lie ahead: until when something rests."""
        return datetime.combine(self.on(offset), time.fromisoformat(clock), self.zone).astimezone(UTC)

    def open_day(self, offset: int) -> date:
        """That day, or the Saturday before where it is a Sunday: the desk is closed then."""
        day = self.on(offset)
        return day - timedelta(days=1) if day.weekday() == 6 else day


Stretch = tuple[datetime, datetime]


@dataclass(slots=True)
class Hands:
    """Who is free when. One person works on one thing at a time."""

    days: Days
    weekdays: Mapping[str, frozenset[int]]
    busy: dict[str, list[Stretch]] = field(default_factory=dict)

    def take(self, who: str, offset: int, hours: float, *, after: datetime | None = None) -> list[Stretch]:
        """The next free time of a day for so many hours, in one stretch or cut by the midday rest or other work.

        Raises ValueError where the day does not hold it, or it is a day off.
        """
        if self.days.on(offset).weekday() not in self.weekdays[who]:
            raise ValueError(f"{who} does not work on day {offset}.")
        left, found = timedelta(hours=hours), list[Stretch]()
        for start, end in self._free(who, offset):
            start = _mark(max(start, after)) if after else start
            if start >= end or not left:
                continue
            found.append((start, min(end, start + left)))
            left -= found[-1][1] - start
        if left:
            raise ValueError(f"{who} has no {hours} h free on day {offset}.")
        self.busy[who] = sorted([*self.busy.get(who, []), *found])
        return found

    def _free(self, who: str, offset: int) -> list[Stretch]:
        day, free = self.days.on(offset), list[Stretch]()
        for opens, closes in BLOCKS:
            start, end = (datetime.combine(day, one, self.days.zone).astimezone(UTC) for one in (opens, closes))
            for from_, to in self.busy.get(who, []):
                if from_ < end and to > start:
                    if from_ > start:
                        free.append((start, from_))
                    start = max(start, _mark(to))
            free.append((start, end))
        return [(start, end) for start, end in free if end - start >= 2 * _STEP]

    def at_work(self, who: str, at: datetime, minutes: int) -> bool:
        """Whether somebody would be at the bench now, on D itself, and has been for so many minutes."""
        here = local(at, self.days.zone)
        if here.date() != self.days.day or here.weekday() not in self.weekdays[who]:
            return False
        begun = (here - timedelta(minutes=minutes)).time()
        return any(opens <= begun and here.time() <= closes for opens, closes in BLOCKS)


def _mark(at: datetime) -> datetime:
    """The next five-minute mark."""
    over = timedelta(minutes=at.minute % 5, seconds=at.second, microseconds=at.microsecond)
    return at + (_STEP - over if over else timedelta())
