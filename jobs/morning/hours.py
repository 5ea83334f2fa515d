"""The string of hours: opening, what ends, what runs, now, closing, each hung at its time. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from jobs.bench.rests import Rest
from shop.clock import Opening, day_words

# what hangs first where two things have the same time
_RANK = {"hour": 0, "open": 1, "over": 2, "visit": 3, "clock": 4, "rest": 5, "now": 6, "close": 7}


@dataclass(frozen=True, slots=True)
class Knot:
    """One thing on the string. `at` is in the shop's zone; `kind` one of hour, open, over, visit, clock, rest, now, close."""

    at: datetime
    kind: str
    words: str = ""
    more: str = ""
    to: str = ""
    rest: Rest | None = None
    untimed: bool = False  # some time today: hung at the opening

    @property
    def clock(self) -> str:
        """“15:00”; "" where the time is not known."""
        return "" if self.untimed else f"{self.at:%H:%M}"


def string(knots: Iterable[Knot], *, day: Sequence[tuple[datetime, datetime]], now: datetime) -> tuple[Knot, ...]:
    """Everything in order of time: the given knots, the day's openings and closings, its full hours, and now."""
    knots, marks = list(knots), [Knot(now, "now")]
    for opens, closes in day:
        marks += [Knot(opens, "open", "The shop opens"), Knot(closes, "close", "The shop closes")]
        hour = opens.replace(minute=0, second=0, microsecond=0)
        while hour < closes:
            if hour > opens:
                marks.append(Knot(hour, "hour"))
            hour += timedelta(hours=1)
    taken = {knot.at for knot in [*marks, *knots] if knot.kind != "hour"}
    hung = [knot for knot in [*marks, *knots] if knot.kind != "hour" or knot.at not in taken]
    return tuple(sorted(hung, key=lambda knot: (knot.at, _RANK[knot.kind], knot.words)))


def open_words(opening: Opening, now: datetime) -> str:
    """“Open until 17:00.”, “Opens at 9:00.”, “Closed: Midsummer. Open again Mon 29 Jun 09:00.”; "" where nobody has said."""
    if not opening.known:
        return ""
    today = now.date()
    stretches = opening.open_on(today)
    for opens, closes in stretches:
        if now < opens:
            return f"The shop opens at {opens:%H:%M}."
        if now < closes:
            return f"The shop is open until {closes:%H:%M}."
    again = opening.next_open(now)
    when = f" Open again {day_words(again.date(), today=today)} {again:%H:%M}." if again else ""
    why = opening.closed_words(today)
    if not why:
        return f"The shop has closed for today.{when}"
    return f"The shop is {why}.{when}" if why.startswith("closed") else f"The shop is closed today: {why}.{when}"
