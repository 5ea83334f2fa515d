"""Writes a checked archive into the home of this process.

python -m shop.starting.putting_back ARCHIVE
"""

import os
import sys
from pathlib import Path

import django
from django.conf import settings
from django.core.management import call_command
from django.db import OperationalError

django.setup()  # before any model is read

from shop.packing.faults import CannotUnpackError  # noqa: E402
from shop.packing.reading import opened  # noqa: E402
from shop.packing.unpacking import put_back  # noqa: E402
from shop.starting.parts import FAULT, READY  # noqa: E402


def main(path: Path) -> int:
    """Put the archive back; one of the codes of `parts`."""
    try:
        with opened(path, passphrase=settings.COPIES_PASSPHRASE) as archive:
            print(put_back(archive, say=lambda words: print(words, flush=True)), flush=True)
    except CannotUnpackError as fault:
        print(f"\n{fault}", file=sys.stderr)
        return FAULT
    except OperationalError as fault:
        print(f"\nThe database does not answer: {str(fault).strip()}", file=sys.stderr)
        return FAULT
    if os.environ.get("SHOP_AS_THE_SHOP"):
        call_command("is_the_shop")
    return READY


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
