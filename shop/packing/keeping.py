"""Which copies stay: the newest of each of the last days, weeks and months. Pure.

Common practice, no source: seven daily, four weekly, twelve monthly copies. The last good one always stays, and so does
every copy of the last 24 hours: one made before a risky step does not push out the one of the morning.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

_FRESH = timedelta(hours=24)


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


def to_go(copies: Collection[Copy], keep: Kept, zone: ZoneInfo) -> list[int]:
    """The ids of copies that may go, oldest first. In each day, week and month the newest good one stays, else the newest."""
    ranked = sorted(copies, key=lambda copy: (copy.good, copy.at), reverse=True)
    newest_first = sorted(copies, key=lambda copy: copy.at, reverse=True)
    stay = {copy.pk for copy in ranked[:1]}
    stay |= {max((copy.pk for copy in copies), default=0)}  # just made, even where the computer's clock was set back
    stay |= {copy.pk for copy in newest_first if newest_first[0].at - copy.at < _FRESH}
    for count, span in ((keep.days, "%Y-%m-%d"), (keep.weeks, "%G-W%V"), (keep.months, "%Y-%m")):
        spans = list(dict.fromkeys(f"{copy.at.astimezone(zone):{span}}" for copy in newest_first))[:count]
        best: dict[str, int] = {}
        for copy in ranked:
            best.setdefault(f"{copy.at.astimezone(zone):{span}}", copy.pk)
        stay |= {best[each] for each in spans}
    return [copy.pk for copy in reversed(newest_first) if copy.pk not in stay]
