"""What was changed in the shop’s own rooms, in sentences. Pure: rows for the table in `sentences`."""

from datetime import date

from jobs.history.names import Data, Names, Say
from shop.clock import days_words

_FIELDS = {
    "name": "the name", "address": "its address", "telephone": "its telephone", "email": "its e-mail",
    "region": "the country", "time_zone": "the time zone", "page": "the paper", "currency": "the currency",
    "estimate_days": "days an estimate holds", "deposit_percent": "the deposit in per cent",
    "deposit_above": "the sum above which a deposit is asked", "cover_limit": "the cover for one item",
    "settling_days": "days for the settling visit", "markup_percent": "the per cent added to materials",
    "hours_words": "the words for the hours", "room": "its room",
    "mon": "Monday", "tue": "Tuesday", "wed": "Wednesday", "thu": "Thursday", "fri": "Friday", "sat": "Saturday",
    "sun": "Sunday",
}  # fmt: skip


def _said(value: object) -> str:
    return " / ".join(str(value).split("\n")) if value not in {None, ""} else "nothing"


def _changes(data: Data) -> str:
    changes = data.get("changes") or {}
    fields = [f"{_FIELDS.get(field, field)} from {_said(old)} to {_said(new)}" for field, (old, new) in changes.items()]
    return "; ".join(fields) or "something"


def _days(data: Data) -> str:
    first, last = data.get("first"), data.get("last")
    return days_words(date.fromisoformat(first), date.fromisoformat(last)) if first and last else "for some days"


def _day(iso: str | None) -> str:
    day = date.fromisoformat(iso) if iso else None
    return f"{days_words(day)} {day.year}" if day else "some day"


def _tax(data: Data, names: Names) -> str:
    was = f"; before that {data['from']} %" if data.get("from") is not None else ""
    return (
        f"set the tax on {data.get('code', 'something')} to {data.get('to')} % from {_day(data.get('since'))} on{was}"
    )


def _untaxed(data: Data, names: Names) -> str:
    what = f"{data.get('rate', 'so many')} % on {data.get('code', 'something')}"
    return f"withdrew the tax of {what} that was to begin {_day(data.get('since'))}"


def _place(data: Data, names: Names) -> str:
    return names.places.get(data.get("location") or 0, "a place")


SETTLED: dict[str, Say] = {
    "settings.changed": lambda data, names: f"changed {_changes(data)}",
    "hours.changed": lambda data, names: f"changed {_changes(data)}",
    "closed.added": lambda data, names: f"closed the shop {_days(data)}",
    "closed.off": lambda data, names: f"opened the shop again {_days(data)}",
    "tax.set": _tax,
    "tax.withdrawn": _untaxed,
    "terms.written": lambda data, names: (
        f"wrote terms {data.get('version', '')}, in force from {_day(data.get('since'))} on"
    ),
    "place.added": lambda data, names: f"put up {_place(data, names)}",
    "place.changed": lambda data, names: f"changed {_place(data, names)}: {_changes(data)}",
    "place.moved": lambda data, names: f"moved {_place(data, names)} in the order of places",
    "place.shut": lambda data, names: f"closed {_place(data, names)}",
    "place.opened": lambda data, names: f"opened {_place(data, names)} again",
    "device.registered": lambda data, names: f"registered a {data.get('kind', 'new')} device",
    "device.renamed": lambda data, names: f"renamed a device: {_changes(data)}",
    "device.stopped": lambda data, names: f"stopped a {data.get('kind', 'new')} device",
    "walk.done": lambda data, names: f"confirmed {data.get('room', 'a room')} on the first walk",
    "walk.later": lambda data, names: f"left {data.get('room', 'a room')} for later on the first walk",
}
