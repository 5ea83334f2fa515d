"""The range of days an owner is told for a promised day. Pure.

Quoting one day for shaky work disappoints; quoting a range does not (common practice, no source): a firm promise is its
day, a likely one three days more, a shaky one a week more.
"""

from datetime import date, timedelta

_MORE = {"firm": 0, "likely": 3, "shaky": 7}


def ready_range(promised: date, sureness: str) -> tuple[date, date]:
    """First and last day to be told."""
    return promised, promised + timedelta(days=_MORE.get(sureness, 7))
