"""What happened to a job, in sentences. Pure: one table from an entry's action to its words.

A sentence follows the name of whoever did it: “Tobiah” + “moved it from Bench queue to On the bench”.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from jobs.book.stages import CLOSINGS, HOLDS, PLACE, Stage

Data = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Names:
    """Names behind the ids that entries hold."""

    people: Mapping[int, str] = field(default_factory=dict)
    places: Mapping[int, str] = field(default_factory=dict)


def _stage(code: object) -> str:
    return PLACE[Stage(str(code))].name


def _why(data: Data) -> str:
    reason = str(data.get("reason") or "").strip()
    return f": {reason}" if reason else ""


def _moved(data: Data, names: Names) -> str:
    return f"moved it from {_stage(data['from'])} to {_stage(data['to'])}{_why(data)}"


def _unmoved(data: Data, names: Names) -> str:
    return f"took the move back: it hangs on {_stage(data['to'])} again"


def _closed(data: Data, names: Names) -> str:
    return f"closed it as {CLOSINGS.get(data['as'], data['as'])}{_why(data)}"


def _assigned(data: Data, names: Names) -> str:
    to = data.get("to")
    return f"gave it to {names.people.get(to, 'someone')}" if to else "took it from whoever had it; nobody has it now"


def _promised(data: Data, names: Names) -> str:
    if not data.get("to"):
        return "took the promised day away"
    was = f", before that {data['from']}" if data.get("from") else ""
    return f"promised it for {data['to']} ({data['sure']}){was}"


def _hold(verb: str) -> "Say":
    return lambda data, names: f"{verb} tape: {HOLDS.get(data['kind'], data['kind'])}"


def _seen(data: Data, names: Names) -> str:
    place = names.places.get(data.get("location") or 0, "")
    return f"put it on {place}" if place else "saw it go home"


def _plain(words: str) -> "Say":
    return lambda data, names: words


Say = Callable[[Data, Names], str]

SENTENCES: dict[str, Say] = {
    "job.opened": _plain("opened the job"),
    "job.moved": _moved,
    "job.unmoved": _unmoved,
    "job.closed": _closed,
    "job.assigned": _assigned,
    "job.promised": _promised,
    "job.nothing_needed": lambda data, names: f"found nothing to do: {data.get('words', '')}",
    "hold.laid": _hold("laid"),
    "hold.lifted": _hold("lifted"),
    "item.seen": _seen,
}


def sentence(action: str, data: Data, names: Names) -> str:
    """The words for one entry. An action without a row is said by its own name, never hidden."""
    say = SENTENCES.get(action)
    return say(data, names) if say else action.replace(".", " ").replace("_", " ")
