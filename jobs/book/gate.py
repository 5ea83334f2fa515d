"""The gate: what it must know of a job, and whether a move of the table is open. Pure.

Guards are the trade's (common practice, no source). `may_move` answers with nothing when a move is open, or with a reason
in words a person can act on. Every screen offers the same moves with the same reasons.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from jobs.book import declined
from jobs.book.stages import BACK, HOLDS, MOVES, PLACE, Stage


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
    settled: bool = False  # … and somebody said what follows
    reassemble: bool = False  # … it was opened, and is put together again
    awaits: bool = False  # the newest estimate sent has no answer yet
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
    resting: str = ""  # what must come first by the clock, “the clamps are off, 15:30”; "" when nothing must
    holds: tuple[str, ...] = field(default=())  # kinds laid over it

    @property
    def declined(self) -> bool:
        """The owner declined and nothing else is agreed."""
        return self.refused and not self.approved


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
    if facts.declined:
        return declined.to_the_bench(settled=facts.settled, reassemble=facts.reassemble)
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
    if facts.declined:
        billed = facts.invoice_issued or facts.nothing_to_pay
        return declined.to_ready_unworked(settled=facts.settled, reassemble=facts.reassemble, billed=billed)
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
    if stage is Stage.CUR and facts.resting:
        return f"Not before {facts.resting}."
    if stage is Stage.RDY and to is Stage.ANS:
        return "" if facts.awaits else "No estimate waits for an answer. Write one and send it first."
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


def closes_as(facts: Facts) -> str:
    """How a job that is given back is closed: gone home, or refused and returned."""
    return "refused" if facts.declined else "home"


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
