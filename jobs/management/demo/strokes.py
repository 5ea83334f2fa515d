"""A name written by a finger, as a tablet would send it: strokes of (x, y, milliseconds) on a pad 1000 × 400. Pure.

No letter shapes: each letter is a swing of the hand whose height follows the letter's own (tall, small, hanging), which
is how a quick signature looks. The same name and seed give the same strokes.
"""

import random
from dataclasses import dataclass
from math import cos, pi, sin

from jobs.papers.texts import PAD_HEIGHT, PAD_WIDTH

_TALL, _HANGING, _WIDE = set("bdfhklt"), set("gjpqy"), set("mw")
_BASE = 244.0
_POINTS = 11  # for each swing
_EVERY = 12  # milliseconds from point to point

Points = list[list[int]]


@dataclass(slots=True)
class _Pen:
    """One hand's habits: how large, leaning, round and soon tired it writes."""

    hand: random.Random
    small: float
    lean: float
    round: float
    tires: float
    rise: float

    @classmethod
    def held_by(cls, hand: random.Random) -> "_Pen":
        one = hand.uniform
        return cls(hand, one(30, 58), one(-0.12, 0.42), one(0.16, 0.5), one(0.2, 0.85), one(-0.07, 0.03))

    def near(self) -> float:
        """About one: no two letters are alike."""
        return self.hand.uniform(0.72, 1.25)

    def base(self, x: float) -> float:
        """The line written on."""
        return _BASE + self.rise * x

    def point(self, x: float, y: float, clock: int) -> list[int]:
        """One point, a little unsteady, on the pad."""
        x, y = x + self.hand.uniform(-1.2, 1.2), y + self.hand.uniform(-1.2, 1.2)
        return [round(min(max(x, 0), PAD_WIDTH)), round(min(max(y, 0), PAD_HEIGHT)), clock]


def signature(name: str, seed: int = 0) -> list[Points]:
    """Strokes of a name: one for each of its first three words, sometimes a line below, within the pad.

    The name makes the hand; another `seed` is another time of signing.
    """
    pen = _Pen.held_by(random.Random(name))
    pen.hand = hand = random.Random(f"{name}/{seed}")
    words = [word for word in name.split() if word.strip(".,")][:3]
    wide = sum(_width(letter) for word in words for letter in word) + 1.6 * len(words)
    step = min(hand.uniform(38, 56), 820.0 / max(wide, 1))
    x, clock, strokes = 70.0 + hand.uniform(0, 40), 0, list[Points]()
    for word in words:
        stroke, x, clock = _word(word, x, clock, step=step, pen=pen)
        strokes.append(stroke)
        x, clock = x + hand.uniform(0.4, 1.3) * step, clock + hand.randint(180, 420)
    if hand.random() < 0.4:
        strokes.append(_line_below(x, clock, pen=pen))
    return strokes


def _width(letter: str) -> float:
    return 1.5 if letter.lower() in _WIDE or letter.isupper() else 0.8


def _word(word: str, x: float, clock: int, *, step: float, pen: _Pen) -> tuple[Points, float, int]:
    stroke: Points = []
    for place, letter in enumerate(word):
        reach = 3.0 if letter.isupper() else 2.1 if letter in _TALL else 1.0
        up, down = pen.small * reach * pen.near(), pen.small * pen.near() * (1.5 if letter in _HANGING else 0.05)
        # the end of a word runs out flat, as a quick hand lets it
        tired = 1.0 - pen.tires * place / max(len(word), 6)
        wide = step * _width(letter)
        for n in range(_POINTS):
            turn = 2 * pi * n / _POINTS
            lift = (1 - cos(turn)) / 2 * up * tired
            along = wide * n / _POINTS + sin(turn) * wide * pen.round + pen.lean * lift
            fall = down * tired * max(0.0, -sin(turn))
            stroke.append(pen.point(x + along, pen.base(x + along) - lift + fall, clock))
            clock += _EVERY + pen.hand.randint(-3, 4)
        x += wide
    return stroke, x, clock


def _line_below(x: float, clock: int, *, pen: _Pen) -> Points:
    start = 110.0
    return [
        pen.point(start + (x - start) * n / 14, pen.base(x) + 62 - 10 * sin(pi * n / 14), clock + n * _EVERY)
        for n in range(15)
    ]
