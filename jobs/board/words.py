"""What the rails say of a job and of the day. Pure: the day and the zone are passed in.

Words are the trade's (common practice, no source). Short, because a cord is narrow; whole, because cut text misleads.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.book.said import days_words, number_words
from jobs.book.stages import HOLDS, Stage
from shop.clock import day_words

_MONTH = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_SHORT_HOLD = {"outside": "outside", "quarantine": "apart"}
WHO_FITS = 32


@dataclass(frozen=True, slots=True)
class Day:
    """The day line of a tag."""

    words: str
    short: str
    soon: bool = False  # today or tomorrow: a dark block
    late: bool = False  # past its day: hangs lower
    sure: str = ""  # firm, likely, shaky; "agreed" in Ready to collect


@dataclass(frozen=True, slots=True)
class Tape:
    """One strip laid across a tag: its words, and one word where there is little room."""

    words: str
    short: str


def shortened(words: str, limit: int) -> str:
    """The words themselves, else their first clause, else as many whole words as fit and an ellipsis."""
    words = " ".join(words.split())
    if len(words) <= limit:
        return words
    clause = re.split(r"[,;:.(]| and ", words, maxsplit=1)[0].strip()
    if clause and len(clause) <= limit:
        return clause
    cut = words[: limit - 1]
    return f"{cut.rsplit(' ', 1)[0] if ' ' in cut else cut}…"


def tapes_of(holds: Sequence[tuple[str, str]]) -> tuple[Tape, ...]:
    """At most two strips, kind first, then matter; a third and more are counted on the second."""
    strips = [_tape(kind, words) for kind, words in holds]
    if len(strips) > 2:
        more = f" and {len(strips) - 2} more"
        strips = [strips[0], Tape(strips[1].words + more, strips[1].short + more)]
    return tuple(strips)


def _tape(kind: str, words: str) -> Tape:
    name, words = HOLDS[kind], " ".join(words.split())
    if not words or words.lower() == name:
        said = name
    elif words.lower().startswith(name):
        said = words
    else:
        said = f"{name}: {words}"
    return Tape(said, _SHORT_HOLD.get(kind, name))


def also_words(numbers: Sequence[str]) -> str:
    """“also 0421”: other open jobs on the same item, as said in the shop."""
    return f"also {', '.join(number.partition('-')[2] or number for number in numbers)}" if numbers else ""


def day_line(stage: Stage, *, promised: date | None, sureness: str, since: date, today: date) -> Day:
    """What the day line says: past its day, today or tomorrow, a day, no day yet, or how long it has been ready."""
    if stage is Stage.RDY and (promised is None or promised < today):
        days = (today - since).days
        return Day("ready today", "today") if days <= 0 else Day(f"ready {days_words(days)}", days_words(days))
    if promised is None:
        return Day("no day yet", "no day")
    sure = "agreed" if stage is Stage.RDY else sureness
    short = f"{promised.day} {_MONTH[promised.month - 1]}"
    if promised < today:
        past = f"{days_words((today - promised).days)} past"
        return Day(f"{past} its day", past, late=True)
    if promised <= today + timedelta(days=1):
        return Day("Today" if promised == today else "Tomorrow", short, soon=True, sure=sure)
    far = promised - today > timedelta(days=300)
    return Day(day_words(promised, today=today if far else None), short, sure=sure)


def who_line(
    stage: Stage,
    *,
    who: str,
    work: str,
    clock: str,
    asked: date | None,
    runs_out: date | None,
    today: date,
    rests: str = "",
) -> str:
    """Who has it and what is next: “Jorin · post down”, “asked Wed 18 Nov”, “Tobiah · clock runs”."""
    if clock:
        return f"{clock} · clock runs"
    if rests:
        return f"{who} · {rests}" if who else rests
    if stage is Stage.ANS and asked is not None:
        if runs_out is not None and runs_out < today:
            return f"ran out {day_words(runs_out)}"
        if runs_out is not None and runs_out - today <= timedelta(days=7):
            return f"runs out {day_words(runs_out)}"
        return f"asked {_near(asked, today)}"
    if stage is Stage.CHK:
        return f"{who}’s work" if who else "nobody to ask yet"
    matter = shortened(work, WHO_FITS - len(who) - 3 if who else WHO_FITS)
    return " · ".join(part for part in (who, matter) if part) or "nobody has it"


def _near(day: date, today: date) -> str:
    return {0: "today", 1: "yesterday"}.get((today - day).days) or day_words(day)


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence tells the day: when, what is past its day, and the rest."""

    when: str
    late: str
    rest: str


def day_sentence(when: str, *, total: int, late: int, today: int, tomorrow: int, parts: int) -> Sentence:
    """“One job is past its day. Two are due today and one tomorrow. Two wait for parts.”"""
    if not total:
        return Sentence(when, "", "Nothing hangs here yet.")
    rest: list[str] = []
    if today and tomorrow:
        rest.append(f"{_are(today)} due today and {number_words(tomorrow)} tomorrow.")
    elif today or tomorrow:
        rest.append(f"{_are(today or tomorrow)} due {'today' if today else 'tomorrow'}.")
    if parts:
        rest.append(f"{number_words(parts).capitalize()} {'waits' if parts == 1 else 'wait'} for parts.")
    if not late:
        rest.insert(0, "Nothing is past its day.")
        return Sentence(when, "", " ".join(rest))
    said = "One job is past its day." if late == 1 else f"{number_words(late).capitalize()} jobs are past their day."
    return Sentence(when, said, " ".join(rest))


def _are(count: int) -> str:
    return f"{number_words(count).capitalize()} {'is' if count == 1 else 'are'}"


def first_sentence(words: str) -> str:
    """“The second check is not passed.” of a longer reason: what fits beside a cord."""
    return re.split(r"(?<=[.?!])\s", words, maxsplit=1)[0]
