"""When the daily copy is due. Pure."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

TRIES = 3  # for one day's copy
PAUSE = timedelta(hours=1)  # between two of them
LOST_AFTER = timedelta(minutes=5)  # a maker says every few seconds that it is alive
LATE = timedelta(hours=26)  # older than a day and a slow copy


def day_due(at: datetime, hour: time, zone: ZoneInfo) -> date:
    """The day whose copy should be there by now: today from `hour` on, else yesterday. In the shop's zone."""
    today = at.astimezone(zone).date()
    return today if at >= datetime.combine(today, hour, zone) else today - timedelta(days=1)


def hour_in(text: str) -> time:
    """“02:30”. Raises ValueError."""
    return time.fromisoformat(text.strip())
