"""A day as a date field sends it."""

from datetime import date

from django.utils.dateparse import parse_date


def day_in(typed: str) -> date | None:
    """The day, None for nothing or for what is no day."""
    try:
        return parse_date(typed.strip())
    except ValueError:
        return None
