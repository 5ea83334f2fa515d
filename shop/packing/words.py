"""Ages and sizes in words. Pure."""

from datetime import timedelta

_UNITS = ("bytes", "kB", "MB", "GB", "TB")


def age_words(age: timedelta) -> str:
    """“just now”, “40 minutes”, “5 hours”, “3 days”; never more exact than anyone wants to know."""
    minutes = max(0, int(age.total_seconds() // 60))
    if minutes < 2:
        return "just now"
    for unit, length in (("day", 24 * 60), ("hour", 60), ("minute", 1)):
        if minutes >= 2 * length or unit == "minute":
            return f"{minutes // length} {unit}s"
    raise AssertionError("minutes are always left")


def size_words(size: int) -> str:
    """“820 bytes”, “4.2 MB”, “61 GB” (thousands, as disks are sold)."""
    amount, unit = float(size), 0
    while amount >= 999.5 and unit < len(_UNITS) - 1:
        amount, unit = amount / 1000, unit + 1
    return f"{amount:.1f} {_UNITS[unit]}" if unit and amount < 9.95 else f"{amount:.0f} {_UNITS[unit]}"
