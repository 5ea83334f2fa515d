"""The frozen text of a paper: the words that were signed, the signatures, and its place in the chain. Pure.

    {"form": "paper/1", "kind", "title", "number", "position", "previous", "frozen",
     "words": {…}, "words_sha256", "signatures": […]}

`words_sha256` is the hash both people saw before they signed; the hash of the whole is the paper's own, and the next
paper's `previous`. The first paper's `previous` is 64 zeros.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Protocol

from jobs.papers import canonical
from jobs.papers.texts import Json, Signed

FORM = "paper/1"
FIRST = "0" * 64


class Words(Protocol):
    """What `NoteText`, `ReleaseText`, `EstimateText`, `AgreementText`, `InvoiceText` and `ReceiptText` have in common."""

    KIND: ClassVar[str]
    TITLE: ClassVar[str]

    def to_text(self) -> dict[str, Json]: ...


@dataclass(frozen=True, slots=True)
class Frozen:
    """Canonical bytes of a whole paper and their SHA-256."""

    data: bytes
    sha256: str
    words_sha256: str


def words_sha256(words: Words) -> str:
    """The hash of the words alone, shown before signing ("Text fixed 10:58 · 3fa9 1c20 …")."""
    return canonical.sha256(canonical.canonical(words.to_text()))


def frozen(
    words: Words, *, number: str, position: int, previous: str, at: str, signatures: Sequence[Signed] = ()
) -> Frozen:
    """Freeze words and signatures at their place in the chain. `at` is a `texts.moment()`."""
    said = words.to_text()
    digest = canonical.sha256(canonical.canonical(said))
    whole: dict[str, Json] = {
        "form": FORM,
        "kind": words.KIND,
        "title": words.TITLE,
        "number": number,
        "position": position,
        "previous": previous,
        "frozen": at,
        "words": said,
        "words_sha256": digest,
        "signatures": [signed.to_text() for signed in signatures],
    }
    data = canonical.canonical(whole)
    return Frozen(data, canonical.sha256(data), digest)


def faults(text: dict[str, Json]) -> list[str]:
    """What is wrong inside a frozen text: an unknown form, or words that no longer fit their own hash."""
    found: list[str] = []
    if text.get("form") != FORM:
        found.append("The text carried inside is of a form this program does not know.")
    if canonical.sha256(canonical.canonical(text.get("words"))) != text.get("words_sha256"):
        found.append("The words no longer fit the hash that was signed.")
    return found
