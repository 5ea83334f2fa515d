"""What people are called across the bench. Pure."""

from collections.abc import Collection

MOST = 40


def called_by(name: str, taken: Collection[str]) -> str:
    """The shortest name that nobody else is called by: “Jorin”, else “Jorin P”, “Jorin Pe” …, else “Jorin 2”.

    `taken` holds the others' in lower case.
    """
    words = name.split() or ["somebody"]
    given, family = words[0][: MOST - 5], words[-1] if len(words) > 1 else ""
    tries = [given, *(f"{given} {family[:length]}"[:MOST] for length in range(1, len(family) + 1))]
    return next((one for one in tries if one.lower() not in taken), "") or _numbered(given, taken)


def _numbered(given: str, taken: Collection[str]) -> str:
    number = 2
    while f"{given} {number}".lower() in taken:
        number += 1
    return f"{given} {number}"
