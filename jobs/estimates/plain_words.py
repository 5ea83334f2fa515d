"""Words that frighten or mean nothing to an owner, and what to say instead. Pure (common practice, no source).

Kept out of everything an owner reads: “sink” and “worm”, the shop's own codes and numbers of cracks, a child's name.
"""

import re
from collections.abc import Iterable

_INSTEAD: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"\bwood-?worms?\b", re.I), "wood insects"),
    (re.compile(r"\bworm[- ]?(?:holes?|eaten|galler(?:y|ies))\b", re.I), "insect damage"),
    (re.compile(r"\bworm\w*\b", re.I), "insects"),
    (re.compile(r"\b(?:sinks?|sinking|sunk(?:en)?)\b", re.I), "lost height"),
)
# an operation's code, or a crack by its number
_CODES = re.compile(r"\b(?:[A-Z]{2,3}\d{1,2}|cr-[a-z]+(?:-[a-z]+)?|[Cc]racks? (?:no\.? ?|#)?\d+(?! ?mm))\b")


def plain(text: str) -> str:
    """A text of the shop's own in words for owners."""
    for pattern, instead in _INSTEAD:
        text = pattern.sub(instead, text)
    return text


def to_avoid(text: str, *, children: Iterable[str] = ()) -> list[str]:
    """What an owner should not read, each as a sentence on what to write instead."""
    found: list[str] = []
    for pattern, instead in _INSTEAD:
        found += [f"Instead of “{hit}” say “{instead}”." for hit in pattern.findall(text)]
        text = pattern.sub("", text)
    found += [f"“{hit}” says nothing to an owner: say what and where it is." for hit in _CODES.findall(text)]
    for name in children:
        parts = name.split()
        given = [part for part in parts[: max(1, len(parts) - 1)] if len(part) > 1]
        if any(re.search(rf"\b{re.escape(part)}\b", text, re.I) for part in given):
            found.append("A child’s name does not belong here: write “the player”.")
    return found
