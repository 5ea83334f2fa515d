"""How a note is signed."""

from dataclasses import dataclass

from jobs.papers.texts import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class Signs:
    """How a note was signed. `unsigned` says why the depositor did not; `depositor` is then their refusal, or None."""

    receiver: Signed
    depositor: Signed | None = None
    unsigned: str = ""
    show_photos: bool = False
