"""Two versions of the terms held against each other, paragraph by paragraph. Pure."""

from dataclasses import dataclass
from difflib import SequenceMatcher


@dataclass(frozen=True, slots=True)
class Piece:
    """One paragraph: “same”, “added”, “removed” or “changed” (then `before` holds how it read)."""

    how: str
    words: str
    before: str = ""


def paragraphs(text: str) -> list[str]:
    """Paragraphs as they are kept: parted by empty lines, blanks within evened out."""
    parts = text.replace("\r\n", "\n").replace("\r", "\n").split("\n\n")
    return [" ".join(part.split()) for part in parts if part.strip()]


def compared(old: str, new: str) -> list[Piece]:
    """What became of each paragraph, in the order of the new text."""
    before, after = paragraphs(old), paragraphs(new)
    pieces: list[Piece] = []
    for how, a, b, c, d in SequenceMatcher(a=before, b=after, autojunk=False).get_opcodes():
        if how == "equal":
            pieces += [Piece("same", words) for words in after[c:d]]
            continue
        both = min(b - a, d - c) if how == "replace" else 0
        pieces += [Piece("changed", after[c + n], before[a + n]) for n in range(both)]
        pieces += [Piece("removed", words) for words in before[a + both : b]]
        pieces += [Piece("added", words) for words in after[c + both : d]]
    return pieces


def summed(pieces: list[Piece]) -> str:
    """“1 paragraph added, 2 changed.”"""
    counts = [(sum(piece.how == how for piece in pieces), how) for how in ("added", "changed", "removed")]
    said = [f"{count} {how}" for count, how in counts if count]
    if not said:
        return "Nothing is different."
    count, _, how = said[0].partition(" ")
    said[0] = f"{count} paragraph{'' if count == '1' else 's'} {how}"
    return f"{', '.join(said)}."
