"""Strokes from a tablet, checked before anyone calls them a signature. Pure."""

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from jobs.book.refusals import Refused
from jobs.papers.texts import PAD_HEIGHT, PAD_WIDTH, Stroke

SHORTEST = 120  # units of a pad 1000 wide: a dot or a slip of the finger stays below
MOST_POINTS = 6000
_EMPTY = "The pad is empty. Sign with a finger above the line."
_DOT = "That is only a dot. Sign with a finger above the line."
_BROKEN = "The signature did not arrive whole. Wipe and sign again."


def read_strokes(sent: object) -> tuple[Stroke, ...]:
    """Strokes as a tablet sends them, [[[x, y, ms], …], …] on a pad 1000 × 400; `Refused` when it is no signature.

    Points off the pad are brought to its edge. A finger must have gone at least an eighth of the pad's width in all.
    """
    if not isinstance(sent, list) or not sent:
        raise Refused(_EMPTY)
    strokes = tuple(_stroke(one) for one in sent if one)
    if not strokes:
        raise Refused(_EMPTY)
    if sum(len(stroke) for stroke in strokes) > MOST_POINTS:
        raise Refused("That is more than a signature. Wipe and sign again.")
    if sum(hypot(b[0] - a[0], b[1] - a[1]) for stroke in strokes for a, b in pairwise(stroke)) < SHORTEST:
        raise Refused(_DOT)
    return strokes


def _stroke(sent: object) -> Stroke:
    if not isinstance(sent, list):
        raise Refused(_BROKEN)
    return tuple(_point(one) for one in sent)


def _point(sent: object) -> tuple[int, int, int]:
    if not isinstance(sent, list) or len(sent) != 3:
        raise Refused(_BROKEN)
    x, y, milliseconds = (_whole(one) for one in sent)
    return min(max(x, 0), PAD_WIDTH), min(max(y, 0), PAD_HEIGHT), max(milliseconds, 0)


def _whole(number: object) -> int:
    if isinstance(number, bool) or not isinstance(number, int | float) or not -1e9 < number < 1e9:
        raise Refused(_BROKEN)
    return round(number)


def plain(strokes: Sequence[Stroke]) -> list[list[list[int]]]:
    """Strokes as the database keeps them."""
    return [[list(point) for point in stroke] for stroke in strokes]
