"""One way to write a text, so that one text has one hash: RFC 8785 canonical JSON and SHA-256. Pure."""

import hashlib
import json
from typing import Any, cast

import rfc8785

from jobs.papers.texts import Json

SHORT_DIGITS = 16


class NotCanonicalError(ValueError):
    """A text that cannot be frozen, or bytes that are not the one way to write what they say."""


def _no_fractions(value: object, path: str) -> None:
    if isinstance(value, float):
        raise NotCanonicalError(f"{path} holds a binary fraction. Money and millimetres are written as strings.")
    if isinstance(value, dict):
        for key, one in value.items():
            _no_fractions(one, f"{path}.{key}")
    elif isinstance(value, list | tuple):
        for number, one in enumerate(value):
            _no_fractions(one, f"{path}[{number}]")


def canonical(text: Json) -> bytes:
    """The RFC 8785 bytes of a text. Fractions, lone surrogates and numbers beyond 2^53 are refused (`NotCanonicalError`)."""
    _no_fractions(text, "text")
    try:
        return rfc8785.dumps(cast(Any, text))
    except (rfc8785.CanonicalizationError, UnicodeError) as fault:
        raise NotCanonicalError(f"This text cannot be frozen: {fault}.") from fault


def read(data: bytes) -> dict[str, Json]:
    """The text behind canonical bytes; `NotCanonicalError` when they are not exactly the canonical form of an object."""
    try:
        text = json.loads(data)
    except (ValueError, RecursionError) as fault:
        raise NotCanonicalError("The text carried inside cannot be read.") from fault
    if not isinstance(text, dict) or canonical(text) != data:
        raise NotCanonicalError("The text carried inside is not in its one canonical form.")
    return text


def sha256(data: bytes) -> str:
    """SHA-256 as 64 lower-case hexadecimal digits (FIPS 180-4)."""
    return hashlib.sha256(data).hexdigest()


def short(digest: str) -> str:
    """The first 16 digits in groups of four, as printed for people to compare: "3fa9 1c20 77ab 0d41".

    16 digits are 64 bits: enough to tell papers apart by eye, while every check uses all 256.
    """
    head = digest[:SHORT_DIGITS]
    return " ".join(head[start : start + 4] for start in range(0, len(head), 4))
