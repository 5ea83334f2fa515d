"""Numbers, days and owners as the shop says them, on every page alike. Pure."""

from datetime import date

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_WEEK = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_YEAR = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip
OWNER_FITS = 18


def number_words(count: int) -> str:
    """“one” to “twelve”, then digits."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def days_words(days: int) -> str:
    """“1 day”, “52 days”."""
    return f"{days} day{'' if days == 1 else 's'}"


def long_day(day: date) -> str:
    """“Wednesday 25 November”."""
    return f"{_WEEK[day.weekday()]} {day.day} {_YEAR[day.month - 1]}"


def owner_words(name: str, *, body: bool, minor: bool, asset: str = "", fits: int = OWNER_FITS) -> str:
    """“Rookstone”, “Kesterby Vale”, “Kesterby, KV-104”. A minor's name is never said."""
    words = name.split()
    if minor:
        return "a young player"
    if not words:
        return "owner not known"
    if asset:
        return f"{words[0] if body else words[-1]}, {asset}"
    if not body:
        return words[-1]
    said = words[0]
    for word in words[1:]:
        if len(said) + len(word) + 1 > fits:
            break
        said = f"{said} {word}"
    return said
