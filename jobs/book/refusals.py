"""How a step says no. Pure: the words are for the person at the screen."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


class Refused(Exception):
    """A step that was not done. Its text may be shown as it is."""

    @property
    def words(self) -> str:
        return str(self.args[0]) if self.args else "That could not be done."


class Stale(Refused):
    """Someone else changed the job in the meantime (answer 409)."""


class ClosedThen(Refused):
    """The shop is closed on the day that was chosen. It may be said anyway, or `instead` taken."""

    def __init__(self, words: str, *, instead: date | None) -> None:
        super().__init__(words)
        self.instead = instead


class HeldBy(Refused):
    """What was typed belongs to another party, whose page can be opened."""

    def __init__(self, words: str, *, party: int, name: str) -> None:
        super().__init__(words)
        self.party, self.name = party, name


class Again(Exception):
    """A press that was made before. `made` holds what the first press made."""

    def __init__(self, made: dict[str, object]) -> None:
        super().__init__("pressed before")
        self.made = made


@dataclass(frozen=True, slots=True)
class Fault:
    """A refused press as a page shows it: in which part, in which words, and what had been typed there."""

    where: str = ""
    words: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)
