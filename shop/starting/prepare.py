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

READY = 0
FAULT = 1
NOT_OPENED = 3  # a real shop with answers wanting
REFUSED = 4  # answers that will not do; each has been said


def main(kind: str) -> int:
    """Prepare for "demo" (fill it), "demo-again" (it is filled) or "shop"; one of the codes above."""
    django.setup()
    # these need Django to be set up before they are read
    from shop.starting import opening  # noqa: PLC0415

    try:
        call_command("migrate", interactive=False, verbosity=0)
    except OperationalError as error:
        print(f"The database does not answer: {error}", file=sys.stderr)
        return FAULT
    call_command("prepare")
    if kind == "demo":
        if opening.people_exist():
            print("The database holds people already; the sample shop wants an empty one.", file=sys.stderr)
            return REFUSED
        print("Filling the sample shop.", flush=True)
        call_command("seed_demo")
    if kind != "shop" or opening.is_open():
        return READY
    answers = opening.answers_in(os.environ)
    if answers is None:
        return NOT_OPENED
    faults = opening.faults_in(answers)
    for fault in faults:
        print(fault, file=sys.stderr)
    if not faults:
        opening.open_shop(answers, at=datetime.now(UTC))
    return REFUSED if faults else READY
