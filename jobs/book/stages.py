"""The one table of stages, the moves between them, and the gate. Pure.

Stage order, names and guards are the trade's (common practice, no source). `may_move` answers with nothing when a move
is open, or with a reason in words a person can act on. Every screen offers the same moves with the same reasons.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
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
    Stage.RDY: (Stage.HOME, Stage.SET, Stage.BEN),
    Stage.HOME: (),
}
# From EXP and RDY a job may also be closed without going home (see CLOSINGS).
CLOSE_FROM: dict[Stage, tuple[str, ...]] = {
    Stage.EXP: ("nocome",),
    Stage.RDY: ("unclaimed", "written", "lost", "refused"),
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
    }
)


@dataclass(frozen=True, slots=True)
class Facts:
    """What the gate needs to know of a job. `moves` gathers it; nothing here touches a database."""

    note_sealed: bool = False  # condition note frozen and signed, or its reason recorded
    tag_bound: bool = False
    place_known: bool = False
    assigned: bool = False
    examiner_named: bool = False
    estimate_saved: bool = False
    estimate_sent: bool = False
    approved: bool = False  # an approved version, or price-list work agreed at the desk
    refused: bool = False  # the owner declined the newest version
    nothing_needed: bool = False  # examined, nothing to do
    deposit_due: str = ""  # amount still asked before work may begin, "" when none
    clock_running: tuple[str, ...] = ()  # who has a running clock on it
    worked: bool = False
    checked_by: str = ""  # who passed the second check, "" when nobody since the last work
    invoice_issued: bool = False
    nothing_to_pay: bool = False
    paid_or_on_account: bool = False
    released: bool = False  # items ticked one by one and release signed
    loaner_out: bool = False
    holds: tuple[str, ...] = field(default=())  # kinds laid over it


def _blocking(facts: Facts, *kinds: str) -> str:
    laid = [kind for kind in facts.holds if kind in kinds]
    return f"Lift the tape first: it waits for {', '.join(HOLDS[kind] for kind in laid)}." if laid else ""


def _in(facts: Facts) -> str:
    if not facts.note_sealed:
        return "The condition note is not signed. Take it in at the desk, or write down why it is unsigned."
    if not facts.tag_bound:
        return "No tag is bound to it. Print its tag first."
    if not facts.place_known:
        return "Nobody has said where it is. Choose its place first."
    return ""


def _exa(facts: Facts) -> str:
    return _blocking(facts, "quarantine") or (
        "" if facts.examiner_named or facts.assigned else "Nobody is named to examine it. Give it to someone first."
    )


def _ans(facts: Facts) -> str:
    return (
        "" if facts.estimate_sent else "No estimate has been sent. Write one and send it; then it waits for the answer."
    )


def _que(facts: Facts) -> str:
    if facts.refused and not facts.approved:
        return "" if facts.worked else "The owner declined. Take it to Ready to collect instead."
    if not facts.approved:
        return "The owner has not agreed to anything yet. Send an estimate, or write down what was agreed at the desk."
    if facts.deposit_due:
        return f"The deposit of {facts.deposit_due} has not been paid. Take it first."
    return ""


def _ben(facts: Facts) -> str:
    return (
        _blocking(facts, "parts", "wood", "outside", "permit", "dispute", "quarantine")
        or _que(facts)
        or ("" if facts.assigned else "Nobody has it. Give it to someone first.")
    )


def _stopped(facts: Facts) -> str:
    if facts.clock_running:
        return f"The clock of {' and '.join(facts.clock_running)} is running. Stop it first."
    return ""


def _chk(facts: Facts) -> str:
    return _stopped(facts) or ("" if facts.worked else "No bench time is written down. Work on it first.")


def _rdy(facts: Facts) -> str:
    if not facts.checked_by:
        return "The second check is not passed. Someone who did not do the work must make it."
    if not (facts.invoice_issued or facts.nothing_to_pay):
        return "The final invoice is not issued. Issue it first."
    return _blocking(facts, "dispute")


def _rdy_unworked(facts: Facts) -> str:
    if facts.worked:
        return _rdy(facts)
    if not (facts.refused or facts.nothing_needed):
        return "Write down that nothing is needed, or the owner’s refusal, first."
    return ""


def _home(facts: Facts) -> str:
    if facts.loaner_out:
        return "Our loan instrument is still out. Take it back first."
    reason = _blocking(facts, "dispute")
    if reason:
        return reason
    if not (facts.paid_or_on_account or facts.nothing_to_pay):
        return "It is not paid. Take the payment, or write down why it goes on account."
    if not facts.released:
        return "It has not been handed over. Tick each thing and let the collector sign."
    return ""


_GUARDS: dict[Stage, Callable[[Facts], str]] = {
    Stage.IN: _in,
    Stage.EXA: _exa,
    Stage.ANS: _ans,
    Stage.QUE: _que,
    Stage.BEN: _ben,
    Stage.CUR: _stopped,
    Stage.SET: _stopped,
    Stage.CHK: _chk,
    Stage.RDY: _rdy,
    Stage.HOME: _home,
}


def may_move(stage: Stage, to: Stage, facts: Facts) -> str:
    """Return "" when the move is open, else the reason in words."""
    if to == stage:
        return "It hangs there already."
    if to not in MOVES[stage]:
        allowed = [PLACE[code].name for code in MOVES[stage]]
        if not allowed:
            return "It has gone home. A settling visit opens a new job."
        return f"Not from {PLACE[stage].name}. From here it may go to {_listed(allowed)}."
    if stage is Stage.RDY and to is not Stage.HOME and not (facts.worked or facts.approved):
        return "Nothing was ever agreed to be done. Write an estimate in a new job first."
    if to is Stage.BEN and stage in {Stage.SET, Stage.CHK, Stage.RDY, Stage.CUR}:
        return _blocking(facts, "quarantine")
    if to is Stage.SET and stage in {Stage.CHK, Stage.RDY}:
        return _blocking(facts, "quarantine")
    if to is Stage.EXA and stage is Stage.ANS:
        return ""
    if to is Stage.QUE and stage is Stage.BEN:
        return _stopped(facts)
    if to is Stage.ANS and stage is Stage.QUE:
        return ""
    if to is Stage.ANS and stage is Stage.BEN:
        return _stopped(facts) or _ans(facts)
    if to is Stage.RDY and stage in {Stage.IN, Stage.EXA, Stage.ANS}:
        return _rdy_unworked(facts)
    return _GUARDS[to](facts)


def needs_reason(stage: Stage, to: Stage) -> bool:
    """Whether this move goes back and must say why."""
    return (stage, to) in BACK


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


@dataclass(frozen=True, slots=True)
class Offer:
    """One stage a job may hang on next, or why not."""

    to: Stage
    name: str
    reason: str  # "" when open
    back: bool  # must say why

    @property
    def open(self) -> bool:
        return not self.reason


def offers(stage: Stage, facts: Facts) -> tuple[Offer, ...]:
    """Every next stage of the table with its answer, in rail order."""
    return tuple(
        Offer(to, PLACE[to].name, may_move(stage, to, facts), needs_reason(stage, to))
        for to in sorted(MOVES[stage], key=list(Stage).index)
    )
