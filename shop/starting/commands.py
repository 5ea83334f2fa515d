"""Which command of `manage.py` starts what."""

import os
import sys
from collections.abc import Callable

from django.core.management import execute_from_command_line

from shop.starting import demo, serve, suite, unpack
from shop.starting.home import CannotStartError

OURS: dict[str, tuple[Callable[[list[str]], int], str]] = {
    "demo": (demo.main, "fill a sample shop and open it on this computer"),
    "serve": (serve.main, "open a real shop"),
    "unpack": (unpack.main, "put a safe copy of a shop back"),
    "test": (suite.main, "run every test"),
}


def run(argv: list[str]) -> int:
    """Run the command named in `argv`; its exit code."""
    name = argv[1] if len(argv) > 1 else "help"
    try:
        if name in OURS:
            return OURS[name][0](argv[2:])
        if name in {"help", "--help", "-h"} and len(argv) < 3:
            for ours, (_, words) in OURS.items():
                print(f"  {ours:<8}{words}")
            print(flush=True)
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
        execute_from_command_line(argv)
    except CannotStartError as error:
        print(f"\n{error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130
    return 0
