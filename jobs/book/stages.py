"""The one table of stages and the moves between them. Pure. The gate that opens a move: gate.py.

Stage order and names are the trade's (common practice, no source).
"""

from dataclasses import dataclass
from enum import StrEnum


class Stage(StrEnum):
    """Where a job hangs."""

    EXP = "EXP"
    IN = "IN"
    EXA = "EXA"
    ANS = "ANS"
    QUE = "QUE"
    BEN = "BEN"
    CUR = "CUR"
    SET = "SET"
    CHK = "CHK"
    RDY = "RDY"
    HOME = "HOME"


@dataclass(frozen=True, slots=True)
class Place:
    """One column of the rails."""

    code: Stage
    name: str
    owner_state: str  # one sentence the owner reads
    owner_next: str  # what comes next, for the owner
    tells: bool  # whether the owner is told on arrival here


PLACES: tuple[Place, ...] = (
    Place(Stage.EXP, "Expected", "We expect you.", "Please bring all pieces, however small.", True),
    Place(Stage.IN, "Taken in", "It is safely with us.", "Next we look at it closely.", False),
    Place(Stage.EXA, "Examination", "We are looking at it.", "Next you get an estimate from us.", True),
    Place(Stage.ANS, "Owner’s answer", "We wait for your answer.", "Work begins once you have agreed.", False),
    Place(Stage.QUE, "Bench queue", "It is in line for the bench.", "Next the work begins.", True),
    Place(Stage.BEN, "On the bench", "It is being worked on.", "Next it is set up and tried.", True),
    Place(
        Stage.CUR,
        "Glue, varnish, settling",
        "It is resting: glue, varnish or wood needs its time.",
        "This cannot be hurried. Next it goes back to the bench.",
        True,
    ),
    Place(Stage.SET, "Set-up and playing", "It is being set up and tried.", "Next a second person checks it.", True),
    Place(Stage.CHK, "Second check", "A second person is checking it.", "Next it is ready for you.", False),
    Place(Stage.RDY, "Ready to collect", "It is ready to collect.", "We look forward to seeing you.", True),
)
END = Place(Stage.HOME, "Gone home", "It has gone home.", "The settling check is free; just call us.", True)
PLACE: dict[Stage, Place] = {place.code: place for place in (*PLACES, END)}
OPEN_STAGES: tuple[Stage, ...] = tuple(place.code for place in PLACES)

CLOSINGS = {
    "home": "gone home",
    "nocome": "did not come",
    "refused": "refused and returned",
    "unclaimed": "unclaimed, disposed of by law",
    "written": "written off",
    "lost": "lost",
}

HOLDS = {
    "parts": "parts",
    "wood": "wood",
    "owner": "owner",
    "outside": "outside workshop",
    "permit": "permit",
    "dispute": "dispute",
    "quarantine": "quarantine",
}

MOVES: dict[Stage, tuple[Stage, ...]] = {
    Stage.EXP: (Stage.IN,),
    Stage.IN: (Stage.EXA, Stage.QUE, Stage.RDY),
    Stage.EXA: (Stage.ANS, Stage.QUE, Stage.RDY),
    Stage.ANS: (Stage.QUE, Stage.BEN, Stage.EXA, Stage.RDY),
    Stage.QUE: (Stage.BEN, Stage.ANS),
    Stage.BEN: (Stage.CUR, Stage.SET, Stage.CHK, Stage.QUE, Stage.ANS),
    Stage.CUR: (Stage.BEN, Stage.SET),
    Stage.SET: (Stage.BEN, Stage.CUR, Stage.CHK),
    Stage.CHK: (Stage.RDY, Stage.SET, Stage.BEN),
    Stage.RDY: (Stage.HOME, Stage.SET, Stage.BEN, Stage.ANS),
    Stage.HOME: (),
}
# From EXP and RDY a job may also be closed without going home (see CLOSINGS).
CLOSE_FROM: dict[Stage, tuple[str, ...]] = {
    Stage.EXP: ("nocome",),
    Stage.RDY: ("unclaimed", "written", "lost"),
}
# Going back needs a reason in words.
BACK: frozenset[tuple[Stage, Stage]] = frozenset(
    {
        (Stage.ANS, Stage.EXA),
        (Stage.QUE, Stage.ANS),
        (Stage.BEN, Stage.QUE),
        (Stage.BEN, Stage.ANS),
        (Stage.SET, Stage.BEN),
        (Stage.CHK, Stage.SET),
        (Stage.CHK, Stage.BEN),
        (Stage.RDY, Stage.SET),
        (Stage.RDY, Stage.BEN),
        (Stage.RDY, Stage.ANS),
    }
)
