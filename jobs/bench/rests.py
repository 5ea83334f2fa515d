"""Glue, varnish and settling: until when something must be left alone, what to offer, and how much is left. Pure.

A wait is counted in elapsed hours, whatever the shop's clock does (common practice, no source). The quick choices are
read from an operation's own words, such as “glue 48 h, clamped, then settle 7 d”.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from shop.clock import Opening, local, moment_words

RESTS = {"glue": "glue", "varnish": "varnish", "settling": "settling", "other": "rest"}
_OFF = {"glue": "off", "varnish": "dry", "settling": "settled", "other": "done"}
_WHEN_OVER = {
    "glue": "the clamps are off",
    "varnish": "the varnish is dry",
    "settling": "it has settled",
    "other": "its rest is over",
}
_OVER = {
    "glue": "may come off, check",
    "varnish": "may be dry, check",
    "settling": "may have settled, check",
    "other": "may be done, check",
}
_STEM = {"glue": "glue", "varnish": "varnish", "settle": "settling", "wood": "settling", "drying": "other"}
_HOURS = re.compile(r"(\d+)(?:\s*[–-]\s*(\d+))?\s*(h|d)\b")
USUAL = (12, 24, 48)
LONGEST = timedelta(days=366)


@dataclass(frozen=True, slots=True)
class Stretch:
    """One piece of an operation's rest words: what rests, and how many hours at the most."""

    what: str
    hours: int


def stretches(words: str) -> tuple[Stretch, ...]:
    """“glue 48 h, clamped, then settle 7 d” → glue 48, settling 168. A range counts by its longer end."""
    found, before = list[Stretch](), "other"
    for part in re.split(r",|\bthen\b", words):
        said = next((what for stem, what in _STEM.items() if stem in part), "")
        for low, high, unit in _HOURS.findall(part):
            found.append(Stretch(said or before, int(high or low) * (24 if unit == "d" else 1)))
        before = said or before
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Choice:
    """One quick choice: how the form names it, and what a person reads."""

    code: str
    words: str
    until: datetime


def choices(rest_words: Iterable[str], *, at: datetime, opening: Opening) -> tuple[Choice, ...]:
    """Hours from the operations' own words and the usual ones, shortest first, then overnight."""
    hours = {one.hours for words in rest_words for one in stretches(words)} | set(USUAL)
    made = [
        Choice(f"h{count}", hours_words(count), after(at, count)) for count in sorted(hours) if 0 < count <= 24 * 366
    ]
    morning = opening.next_morning(at) if opening.known else None
    if morning is not None:
        made.append(Choice("night", "overnight", morning.astimezone(UTC)))
    return tuple(made)


def likely_what(rest_words: Iterable[str]) -> str:
    """What most likely rests: the first thing the operations' words name."""
    return next((one.what for words in rest_words for one in stretches(words)), "glue")


def hours_words(hours: int) -> str:
    """“24 h”, “7 d”: days from three whole ones on."""
    return f"{hours // 24} d" if hours >= 72 and hours % 24 == 0 else f"{hours} h"


def after(at: datetime, hours: int) -> datetime:
    """So many elapsed hours later, also across a change of summer time."""
    return at.astimezone(UTC) + timedelta(hours=hours)


def hands_on(until: datetime, opening: Opening) -> datetime:
    """When hands may be laid on it again: the end itself, or when the shop next opens."""
    return (opening.next_open(until) if opening.known else None) or until


def left_of(begun: datetime, until: datetime, at: datetime) -> int:
    """How much of the wait is still to go, in per cent: 100 at its beginning, 0 once it is over, 1 until the end."""
    whole, to_go = (until - begun).total_seconds(), (until - at).total_seconds()
    if to_go <= 0:
        return 0
    return 100 if whole <= 0 else max(1, min(100, round(100 * to_go / whole)))


@dataclass(frozen=True, slots=True)
class Rest:
    """A wait as pages show it."""

    what: str  # a code of RESTS
    until: datetime | None
    words: str  # “off at 15:00”, “off Thu 26 Nov 15:00”, “may come off, check”, “no end said yet”
    short: str  # “15:00”, “26 Nov”, “check”, “rests”
    left: int  # per cent still to go
    over: bool
    moment: str = ""  # “15:00”, “Thu 26 Nov 15:00”

    @property
    def when_over(self) -> str:
        """What it says once its time is over: “may come off, check”."""
        return _OVER[self.what]

    @property
    def kind(self) -> str:
        """“glue”, “varnish”, “settling”, “rest”."""
        return RESTS[self.what]

    @property
    def blocks(self) -> str:
        """What the gate says of it: “the clamps are off, 15:30”; "" when it holds nothing back."""
        return "" if self.over or self.until is None else f"{_WHEN_OVER[self.what]}, {self.moment}"

    @property
    def prohibits(self) -> str:
        """The prohibition in words, for whoever has it in the hand."""
        if self.over:
            return "Look whether it may, then move it on."
        return "Do not move it, do not lift anything off." if self.what == "glue" else "Leave it alone until then."


def rest_of(what: str, begun: datetime, until: datetime | None, *, at: datetime, zone: ZoneInfo) -> Rest:
    """A wait at a moment, in the shop's words."""
    if until is None:
        return Rest(what, None, "no end said yet", "rests", 100, over=False)
    if until <= at:
        return Rest(what, until, _OVER[what], "check", 0, over=True)
    moment, here = moment_words(until, zone, now=at), local(until, zone)
    today = here.date() == local(at, zone).date()
    words = f"{_OFF[what]} at {moment}" if today else f"{_OFF[what]} {moment}"
    short = moment if today else f"{here.day} {here:%b}"
    return Rest(what, until, words, short, left_of(begun, until, at), over=False, moment=moment)
