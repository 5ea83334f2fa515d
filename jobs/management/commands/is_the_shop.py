"""`manage.py is_the_shop`: a shop put back from a safe copy is the shop from now on, and its letters go out."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from jobs.updates.restored_steps import take_up


class Command(BaseCommand):
    """Says it, once."""

    help = "Say that this shop, put back from a safe copy, is the shop from now on: letters to owners go out."

    def handle(self, *_args: Any, **_options: Any) -> None:
        count = take_up(by=None, at=timezone.now())
        if count is None:
            self.stdout.write("It is the shop already.")
        else:
            self.stdout.write(
                f"This is the shop now. Letters that were waiting then, for the desk to ask about: {count}."
            )
