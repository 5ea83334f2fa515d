"""Makes a home ready before its parts start: tables, vocabulary, then the sample shop or the real one.

    python -m shop.starting.prepare demo | demo-again | shop

The answers of a real shop's first run come from the environment.
"""

import os
import sys
from datetime import UTC, datetime

import django
from django.core.management import call_command
from django.db import OperationalError

django.setup()  # before any model is read

from shop.starting import opening  # noqa: E402
from shop.starting.parts import FAULT, NOT_OPENED, READY, REFUSED  # noqa: E402


def main(kind: str) -> int:
    """Prepare for "demo" (fill it), "demo-again" (it is filled) or "shop"; one of the codes of `parts`."""
    try:
        call_command("migrate", interactive=False, verbosity=0)
    except OperationalError as error:
        print(f"The database does not answer: {str(error).strip()}", file=sys.stderr)
        return FAULT
    call_command("collectstatic", interactive=False, verbosity=0)
    call_command("prepare")
    if kind == "shop":
        return _open()
    code = _fill() if kind == "demo" else READY
    if code == READY:
        call_command("ways_in")
    return code


def _fill() -> int:
    if opening.people_exist():
        print("The database holds people already; the sample shop wants an empty one.", file=sys.stderr)
        return REFUSED
    print("Filling the sample shop.", flush=True)
    call_command("seed_demo", photos=os.environ.get("SHOP_DEMO_PHOTOS", "all"))
    return READY


def _open() -> int:
    if opening.is_open():
        return READY
    answers = opening.answers_in(os.environ)
    if answers is None:
        return NOT_OPENED
    faults = opening.faults_in(answers)
    for fault in faults:
        print(fault, file=sys.stderr)
    if faults:
        return REFUSED
    opening.open_shop(answers, at=datetime.now(UTC))
    return READY


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
