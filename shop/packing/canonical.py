"""One spelling for every value of a row, whichever database it was read from. Pure.

A row is one line of JSON in the canonical form of RFC 8785 (keys sorted, shortest numbers, no blanks), with one addition:
whole numbers beyond 2^53 keep all their digits, since a database's do. What JSON has no type for is text:

    moment    "2026-11-25T10:12:00.000000Z", always UTC, always six digits
    day, time "2026-11-25", "10:12:00.000000"
    amount    "120.500", with as many places as its column has
    duration  microseconds as a whole number
    UUID      "0f8fad5b-d9cb-469f-a165-70867728950e"
    bytes     base64 (RFC 4648 §4)
    NaN, ±∞   "NaN", "Infinity", "-Infinity"
"""

import base64
import math
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import rfc8785

SAFE = 2**53 - 1
_DIGITS_END = 10**21  # ECMAScript writes numbers from here on with an exponent
_MICROSECOND = timedelta(microseconds=1)


def plain(value: Any) -> Any:
    """A column's value as JSON has it. Raises TypeError for what no column holds, ValueError for a moment without a zone."""
    if value is None or isinstance(value, bool | int | dict | list):
        return value
    if isinstance(value, str):
        return str(value)  # a file's name and a choice are subclasses
    if isinstance(value, float):
        return value if math.isfinite(value) else {"inf": "Infinity", "-inf": "-Infinity"}.get(str(value), "NaN")
    if isinstance(value, Decimal):
        return f"{value if value else abs(value):f}"
    if isinstance(value, datetime):
        if value.tzinfo is None:
            raise ValueError("A moment without a zone is not a moment.")
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ").rjust(27, "0")
    return _seldom(value)


def _seldom(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat(timespec="microseconds")
    if isinstance(value, timedelta):
        return value // _MICROSECOND
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, bytes | bytearray | memoryview):
        return base64.b64encode(bytes(value)).decode()
    raise TypeError(f"No column of the shop holds a {type(value).__name__}.")


def line(row: dict[str, Any]) -> bytes:
    """One row of plain values as a line, ended by a line feed."""
    return dumps(row) + b"\n"


def dumps(value: Any) -> bytes:
    """RFC 8785, with whole numbers of any size."""
    try:
        return rfc8785.dumps(value)
    except rfc8785.IntegerDomainError:
        return _long(value)


def _long(value: Any) -> bytes:
    if isinstance(value, dict):
        keys = sorted(value, key=lambda key: key.encode("utf-16-be"))
        return b"{" + b",".join(rfc8785.dumps(key) + b":" + _long(value[key]) for key in keys) + b"}"
    if isinstance(value, list | tuple):
        return b"[" + b",".join(map(_long, value)) + b"]"
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > SAFE:
        return _digits(value)
    return rfc8785.dumps(value)


def _digits(number: int) -> bytes:
    """All digits; but what one database keeps as 1e+22 and the other as its 23 digits is 1e+22 in both."""
    if abs(number) >= _DIGITS_END and abs(number) < 10**308:
        near = float(number)
        if Decimal(repr(near)) == number:
            return rfc8785.dumps(near)
    return b"%d" % number
