#!/usr/bin/env python3
"""Starts everything: `demo`, `serve`, `test`, and Django's own commands.

Readable to any Python, so that one too old is told so in words. What the project needs is installed into `.venv` from
the pinned, hashed requirements the first time, and looked at in passing every other time.
"""

import sys

if sys.version_info < (3, 11):
    sys.exit(
        "This needs Python 3.11 or newer; %s is %d.%d.\n"
        "Install a newer Python (its package is often called python3.11 or later), then start again with it:\n"
        "    python3.11 %s" % (sys.executable, sys.version_info[0], sys.version_info[1], " ".join(sys.argv))
    )

from pathlib import Path

from shop import bootstrap

if __name__ == "__main__":
    bootstrap.enter(Path(__file__).resolve().parent, sys.argv)

    from shop.starting.commands import run

    sys.exit(run(sys.argv))
