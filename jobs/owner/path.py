"""The owner's step line and the two sentences above it. Pure."""

from dataclasses import dataclass
from datetime import date

from jobs.book.stages import PLACE, Stage

STEPS = ("Seen", "Agreed", "Mended", "Resting", "Tried", "Ready")
_AT: dict[Stage, int] = {
    Stage.EXP: -1,
    Stage.IN: 0,
    Stage.EXA: 0,
    Stage.ANS: 1,
    Stage.QUE: 2,
    Stage.BEN: 2,
    Stage.CUR: 3,
    Stage.SET: 4,
    Stage.CHK: 4,
    Stage.RDY: 5,
    Stage.HOME: len(STEPS),
}
# what an owner is told of a hold; the others are the shop's own business
_WAITS = {
    "parts": "We are waiting for a part.",
    "wood": "The new wood must get used to our air first.",
    "outside": "Part of the work is with another workshop.",
    "permit": "We are waiting for a paper from an authority.",
    "owner": "We are waiting for word from you.",
}


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of the line: done, now or to come."""

    name: str
    state: str


@dataclass(frozen=True, slots=True)
class Situation:
    """What the two sentences depend on. Sums are in words already."""

    stage: Stage
    closed_as: str = ""
    holds: tuple[str, ...] = ()
    answerable: bool = False  # an estimate waits for the answer of whoever reads this
    ran_out: bool = False  # the newest estimate ran out unanswered
    declined: bool = False
    reassemble: bool = False  # … and it was opened
    deposit_due: str = ""
    free_until: str = ""


def step_line(stage: Stage) -> tuple[Step, ...]:
    """The six steps with where the job is."""
    here = _AT[stage]
    return tuple(Step(name, "done" if n < here else "now" if n == here else "") for n, name in enumerate(STEPS))


def step_words(stage: Stage) -> str:
    """“Step 4 of 6, resting”."""
    here = _AT[stage]
    if here < 0:
        return "Not begun yet"
    if here >= len(STEPS):
        return "All six steps are done"
    return f"Step {here + 1} of {len(STEPS)}, {STEPS[here].lower()}"


def sentences(found: Situation) -> tuple[str, str]:
    """One sentence on the state, and what comes next."""
    place = PLACE[found.stage]
    state, then = place.owner_state, place.owner_next
    if found.closed_as == "refused":
        return "It has gone home, as you decided.", "If you think of it again one day, you are welcome."
    if found.closed_as and found.closed_as != "home":
        return "This job is closed.", "If you have a question about it, please telephone us."
    if found.stage is Stage.HOME:
        return (
            state,
            f"The settling check is free until {found.free_until}; just call us." if found.free_until else then,
        )
    if found.declined and found.stage is not Stage.RDY and not found.answerable:
        again = "We put it together again, as it came to us; then it is ready to collect."
        return "You decided against the work.", again if found.reassemble else "We get it ready for you to collect."
    if found.stage is Stage.ANS:
        if found.deposit_due:
            return "You have agreed. Thank you.", f"Work begins once the deposit of {found.deposit_due} is paid."
        if found.ran_out:
            return "Our estimate has run out.", "Ask us for a new one: wood, strings and our calendar change."
        if not found.answerable:
            return "It waits for an answer.", "Work begins once the owner has agreed."
    waits = [_WAITS[kind] for kind in found.holds if kind in _WAITS]
    if waits and found.stage not in {Stage.RDY, Stage.EXP}:
        return state, " ".join([*waits, then])
    return state, then


def day_of(promised: date | None, today: date, stage: Stage) -> str:
    """Whether a promised day is still to be shown ("range"), has passed ("late"), or says nothing ("")."""
    if promised is None or stage in {Stage.EXP, Stage.RDY, Stage.HOME}:
        return ""
    return "late" if promised < today else "range"
