"""`manage.py seed_demo`: fill an empty, prepared book with the sample shop."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from jobs.book.models import Job, Party
from jobs.catalogue.models import Word
from jobs.custody.models import Location
from jobs.management.demo.orders import HOW_MANY
from jobs.management.demo.pictures import PaintingError
from jobs.management.demo.telling import tell
from shop.people.models import Person
from shop.profile.models import Profile, Terms


class Command(BaseCommand):
    """Tells forty jobs and everybody in them through the project's own steps, at past times. No letter goes out."""

    help = "Fill an empty book with the sample shop: its people, owners, and forty jobs with all that happened to them."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--photos", choices=HOW_MANY, default="all", help="how many photographs are painted (default: all)"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        if any(kind.objects.exists() for kind in (Person, Party, Job, Profile)):
            raise CommandError(
                "The book is not empty: it holds people or jobs. The sample shop is only filled into an empty one; "
                "choose another home, or start `demo --fresh`."
            )
        if not all(kind.objects.exists() for kind in (Word, Location, Terms)):
            raise CommandError("The book is not prepared yet. Run `manage.py migrate` and `manage.py prepare` first.")
        try:
            tell(now=timezone.now(), how_many=options["photos"], say=self._say)
        except PaintingError as fault:
            raise CommandError(str(fault)) from fault

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()
