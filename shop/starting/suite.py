"""`manage.py test`: every test, in random order. Arguments go on to pytest."""

import os
import sys

from shop.starting.parts import ROOT


def main(argv: list[str]) -> int:
    """Become pytest on everything, or on what `argv` names. Does not return."""
    # two at a time pays for the whole suite only; tests/together.py says what stays on one
    whole = all(word.startswith("-") for word in argv)
    side_by_side = ["-n", "2", "--dist", "loadscope"] if whole and (os.cpu_count() or 1) > 1 else []
    os.chdir(ROOT)
    os.execv(sys.executable, [sys.executable, "-m", "pytest", *side_by_side, *argv])
