"""When a clock may run, and its time in words. Pure.

Bench time that costs money needs the owner's approval first, and the job on a bench (common practice, no source).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.book.stages import HOLDS, PLACE, Stage

# Working on it, or setting it up and playing it in; elsewhere it hangs, rests or is being checked.
CLOCK_STAGES = (Stage.BEN, Stage.SET)
# Tape that stops hands altogether: unsafe to have in the room, argued about, or not here.
STOPS_HANDS = ("quarantine", "dispute", "outside")


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of a job when someone wants to start a clock."""

    stage: Stage
    closed: bool = False
    holds: tuple[str, ...] = ()
    work_agreed: bool = False  # an approved version, work agreed at the desk, or a job that is free of charge
    line_agreed: bool = False  # the very line someone wants to work on is in it
    line_words: str = ""  # that line, or "" when none was named


def may_start(standing: Standing) -> str:
    """Return "" when work may start, else the reason in words."""
    if standing.closed:
        return "This job is closed. A settling visit opens a new job."
    if standing.stage not in CLOCK_STAGES:
        places = " or ".join(PLACE[stage].name for stage in CLOCK_STAGES)
        return f"It hangs on {PLACE[standing.stage].name}. Move it to {places} first, then start."
    laid = [HOLDS[kind] for kind in standing.holds if kind in STOPS_HANDS]
    if laid:
        return f"Lift the tape first: {', '.join(laid)}."
    if not standing.work_agreed:
        return "The owner has not agreed to any work. Ask first; then the clock may start."
    if not standing.line_agreed:
        if not standing.line_words:
            return "Choose which agreed work you start."
        return f"“{standing.line_words}” is not approved, so it gets no bench time. Ask the owner first."
    return ""


def hours_words(seconds: float) -> str:
    """“0.3 h”: hours to one digit, never “0.0” for time that was spent."""
    if seconds <= 0:
        return "0 h"
    return f"{max(seconds / 3600, 0.1):.1f} h"


def total_seconds(spells: Iterable[tuple[float, float]]) -> float:
    """Sum of stretches given as start and end in seconds."""
    return sum(max(0.0, end - start) for start, end in spells)
