"""Is this file the paper as it was sealed? If not, what was touched, in words. Pure.

With the book the whole file's hash decides. Without the book the seal decides, and `signature_bytes` closes the gaps
a signature alone leaves open, so one changed byte anywhere, or one added, is refused as well. What the seal alone
cannot tell is whose key it is: pass the shop's `certificate`, or compare the key's digits with the shop.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from jobs.papers import regions
from jobs.papers.canonical import NotCanonicalError, read, sha256, short
from jobs.papers.frozen import faults
from jobs.papers.signature_bytes import SealParts, TouchedError, read_seal, sealed_by
from jobs.papers.texts import Json

_NAMED_AT_MOST = 5


@dataclass(frozen=True, slots=True)
class Verdict:
    """`untouched`, or the `reasons` why not. The rest is what the file says of itself, empty where unreadable."""

    untouched: bool
    reasons: tuple[str, ...] = ()
    sealed_by: str = ""
    key: str = ""
    kind: str = ""
    title: str = ""
    number: str = ""
    text_sha256: str = ""


def _carried(pdf: bytes) -> tuple[dict[str, Json], list[str]]:
    """The text carried inside and what is wrong with it."""
    data = regions.carried_text(pdf)
    if data is None:
        return {}, ["The text carried inside is missing or damaged."]
    wrong = []
    if sha256(data) != regions.written_sha256(pdf):
        wrong.append("The text carried inside was changed: it does not fit the hash printed on the paper.")
    try:
        text = read(data)
    except NotCanonicalError as fault:
        return {}, [*wrong, str(fault)]
    return text, [*wrong, *faults(text)]


def differences(book: Json, file: Json, path: str = "") -> Iterator[str]:
    """Where two texts part ways: "words, jobs, 1, value: the book says “2400.00”, this file “240.00”"."""
    if isinstance(book, dict) and isinstance(file, dict):
        for key in sorted(book.keys() | file.keys()):
            yield from differences(book.get(key, ""), file.get(key, ""), f"{path}, {key}" if path else key)
    elif isinstance(book, list) and isinstance(file, list):
        if len(book) != len(file):
            yield f"{path}: the book has {len(book)}, this file {len(file)}"
        for number, (ours, theirs) in enumerate(zip(book, file, strict=False), start=1):
            yield from differences(ours, theirs, f"{path}, {number}")
    elif book != file:
        yield f"{path}: the book says “{book}”, this file “{file}”"


def _against_book(pdf: bytes, text: dict[str, Json], book_text: bytes | None, book_pdf: bytes | None) -> list[str]:
    found = []
    if book_text is not None and text:
        found += list(differences(read(book_text), text))[:_NAMED_AT_MOST]
    if book_pdf is not None:
        shared = min(len(pdf), len(book_pdf))
        first = next((at for at in range(shared) if pdf[at] != book_pdf[at]), shared)
        if first < len(book_pdf):
            found.append(f"First different byte: {first}, in {regions.where(book_pdf, first)}.")
        else:
            found.append(f"{len(pdf) - len(book_pdf)} bytes were added at the end.")
    return found


def _seal(pdf: bytes, certificate: bytes | None) -> tuple[SealParts | None, list[str]]:
    try:
        seal = read_seal(pdf)
    except TouchedError as fault:
        return None, [str(fault)]
    if seal is None:
        return None, ["It carries no seal that can be read."]
    wrong = []
    if not seal.covers:
        named = regions.damaged(pdf)
        wrong.append(f"Changed after sealing: {', '.join(named)}." if named else "The file was changed after sealing.")
    if certificate is not None and seal.certificate != certificate:
        wrong.append(f"It was sealed with another key ({short(sha256(seal.certificate))}), not with this shop's.")
    return seal, wrong


def check(
    pdf: bytes,
    *,
    book_sha256: str | None = None,
    certificate: bytes | None = None,
    book_text: bytes | None = None,
    book_pdf: bytes | None = None,
) -> Verdict:
    """Judge a file. `book_sha256` is the book's hash of the whole file; `book_text` and `book_pdf` help to name what differs.

    `certificate` (DER) is the shop's own, where it is known. Cost: about a millisecond per 100 kB.
    """
    if not pdf.startswith(b"%PDF-"):
        return Verdict(False, ("It is not a PDF.",))
    seal, wrong = _seal(pdf, certificate)
    text, inside = _carried(pdf) if seal is not None or wrong else ({}, [])
    reasons = [*wrong, *inside]
    if book_sha256 is not None and sha256(pdf) == book_sha256:
        reasons = []
    elif book_sha256 is not None:
        reasons = [
            "It is not the file the book holds.",
            *reasons,
            *_against_book(pdf, text, book_text, book_pdf),
        ]
    return Verdict(
        untouched=not reasons,
        reasons=tuple(reasons),
        sealed_by=sealed_by(seal.certificate) if seal else "",
        key=short(sha256(seal.certificate)) if seal else "",
        kind=str(text.get("kind", "")),
        title=str(text.get("title", "")),
        number=str(text.get("number", "")),
        text_sha256=regions.written_sha256(pdf),
    )
