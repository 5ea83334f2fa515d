"""What is read aloud on the telephone, and how an answer came, in words. Pure.

Reading the whole agreement back, and noting who spoke and who read, is common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """One option as it is said aloud. Sums are written already; `letter` is "" where there is only one option."""

    job: str
    item: str
    version: int
    letter: str
    title: str
    work: Sequence[str]
    total: str
    deposit: str = ""
    more: str = ""  # what may come on top without asking, "" for nothing
    ready: str = ""


def read_back(said: Proposal) -> tuple[str, ...]:
    """Sentences to read aloud before “yes” counts: version, option, work, sum with tax, deposit, day."""
    option = f", option {said.letter}, {said.title}" if said.letter else ""
    sentences = [
        f"Job {said.job}, {said.item}: our estimate, version {said.version}{option}.",
        f"This is what we do: {'; '.join(said.work)}.",
        f"It comes to {said.total} in all, tax included.",
    ]
    if said.more:
        sentences.append(f"If more is found inside, up to {said.more} more. Beyond that we ask first.")
    deposit = f"Before we begin we ask for a deposit of {said.deposit}." if said.deposit else "We ask for no deposit."
    ready = f"It should be ready {said.ready}." if said.ready else "The day is still to be agreed."
    return (*sentences, deposit, ready, "Do you agree to this?")


def how_it_came(how: str, *, agreed: bool, by: str = "", number: str = "") -> str:
    """“by telephone, read back by Maris”, “at the counter, signed”, “by purchase order 4711”. `by`: given name."""
    wrote = f", written down by {by}" if by else ""
    if not agreed:
        words = {"link": "by link", "phone": "by telephone", "order": "in writing", "slip": "by the signed slip"}
        return f"{words.get(how, 'at the counter')}{wrote}"
    return {
        "link": "by link, name typed",
        "desk": "at the counter, signed",
        "phone": f"by telephone, read back by {by}" if by else "by telephone",
        "order": f"by purchase order {number}".rstrip() + wrote,
        "slip": f"by the signed slip{wrote}",
    }[how]


def agreed_to(version: int, letter: str, *, options: int) -> str:
    """“version 2, option B”, or “version 1” where it had one option only."""
    return f"version {version}, option {letter}" if options > 1 else f"version {version}"
