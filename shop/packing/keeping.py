"""Which copies stay: the newest of each of the last days, weeks and months. Pure.

Common practice, no source: seven daily, four weekly, twelve monthly copies. The last good one always stays.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True)
class Kept:
    """How many days, weeks and months of copies stay."""

    days: int = 7
    weeks: int = 4
    months: int = 12


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy that lies in its folder."""

    pk: int
    at: datetime
    good: bool


def to_go(copies: Iterable[Copy], keep: Kept, zone: ZoneInfo) -> list[int]:
    """The ids of copies that may go, oldest first. In each day, week and month the newest good one stays, else the newest."""
    ranked = sorted(copies, key=lambda copy: (copy.good, copy.at), reverse=True)
    newest_first = sorted(copies, key=lambda copy: copy.at, reverse=True)
    stay = {copy.pk for copy in ranked[:1]}
    for count, span in ((keep.days, "%Y-%m-%d"), (keep.weeks, "%G-W%V"), (keep.months, "%Y-%m")):
        spans = list(dict.fromkeys(f"{copy.at.astimezone(zone):{span}}" for copy in newest_first))[:count]
        best: dict[str, int] = {}
        for copy in ranked:
            best.setdefault(f"{copy.at.astimezone(zone):{span}}", copy.pk)
        stay |= {best[each] for each in spans}
    return [copy.pk for copy in reversed(newest_first) if copy.pk not in stay]
