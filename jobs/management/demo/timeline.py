"""From the days of forty jobs to one line of events in order of time. Pure."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from jobs.management.demo.days import Days, Hands
from jobs.management.demo.sample import DayRow, Sample, VisitRow

_BREATH = timedelta(minutes=4)  # between two lines of which the second names no time


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happens at a moment: to a job, or a visit at the desk (`job` 0)."""

    at: datetime
    job: int
    who: str
    what: str
    more: tuple[Any, ...] = ()


def line_up(sample: Sample, days: Days) -> list[Event]:
    """Every event of the sample shop, earliest first. Raises ValueError where its days do not fit together."""
    hands = Hands(days, sample.weekdays)
    events = [_visit(visit, days) for visit in sample.visits]
    sealed = {piece.job: event.at for event in events for piece in event.more[0].pieces}
    for job, rows in groupby(sample.days, lambda row: row.job):
        events += _job(list(rows), days, hands, since=sealed.get(job))
    return sorted(events, key=lambda event: event.at)


def _visit(visit: VisitRow, days: Days) -> Event:
    return Event(days.at(visit.day, visit.at), 0, visit.by, "visit", (visit,))


def _job(rows: list[DayRow], days: Days, hands: Hands, *, since: datetime | None) -> list[Event]:
    events: list[Event] = []
    cursor = since
    for row in rows:
        made = _timed(row, days, hands, cursor)
        beside = row.what == "work" and row.at  # a second pair of hands on the same work
        if made and cursor is not None and made[0].at < cursor and not beside:
            raise ValueError(f"Job {row.job}, day {row.day}: “{row.what}” stands after something later.")
        events += made
        cursor = max(made[-1].at, cursor or made[-1].at) if made else cursor
    return events


def _timed(row: DayRow, days: Days, hands: Hands, cursor: datetime | None) -> list[Event]:
    same_day = cursor is not None and cursor >= days.at(row.day, "00:00")
    after = days.at(row.day, row.at) if row.at else cursor + _BREATH if cursor and same_day else None
    if row.what == "work":
        code, hours = row.more
        stretches = hands.take(row.who, row.day, hours, after=after)
        return [
            Event(moment, row.job, row.who, what, (code,))
            for start, stop in stretches
            for moment, what in ((start, "start"), (stop, "stop"))
        ]
    if row.what == "running":
        code, minutes = row.more
        begun = days.now - timedelta(minutes=minutes)
        return [Event(begun, row.job, row.who, "start", (code,))] if hands.at_work(row.who, days.now, minutes) else []
    return [Event(after or days.at(row.day, "09:00"), row.job, row.who, row.what, row.more)]
