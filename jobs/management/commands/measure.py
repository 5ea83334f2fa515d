"""`manage.py measure [NAME …] [--json]`: figures against yardsticks of the same run, in a throw-away shop."""

import json
import os
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection
from django.test.utils import override_settings, setup_test_environment, teardown_test_environment

from jobs.management.measuring import pages, papers, photos, rush, search
from jobs.management.measuring.figures import Figure

Measure = Callable[[], list[Figure]]
FIGURES: dict[str, Measure] = {
    "board": pages.board,
    "board-poll": pages.board_poll,
    "scan": pages.scan,
    "move": pages.moves,
    "photos": photos.photos,
    "papers": papers.papers,
    "search": search.search,
    "rush": partial(rush.rush, 20),
}


class Command(BaseCommand):
    """Measures; nothing of the real shop is touched."""

    help = "Measure speed as ratios, in a throw-away shop."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("names", nargs="*", metavar="NAME", help=f"one or more of: {', '.join(FIGURES)}")
        parser.add_argument("--json", action="store_true", help="print a JSON list")
        parser.add_argument("--seconds", type=float, default=20, help="how long the rush lasts (20)")

    def handle(self, *_args: Any, **options: Any) -> None:
        names: list[str] = options["names"] or list(FIGURES)
        unknown = [name for name in names if name not in FIGURES]
        if unknown:
            raise CommandError(f"There is no figure called {', '.join(unknown)}. There are: {', '.join(FIGURES)}.")
        figures: dict[str, Measure] = {**FIGURES, "rush": partial(rush.rush, options["seconds"])}
        found = [figure for name in names for figure in self._in_a_fresh_shop(figures[name])]
        if options["json"]:
            self.stdout.write(json.dumps([figure.as_json() for figure in found], indent=2))
        else:
            for one in found:
                against = f", {one.ratio:.2f} of {one.yardstick}" if one.ratio is not None else f" ({one.yardstick})"
                met = "met" if one.met else "NOT MET"
                self.stdout.write(f"{one.name}: {one.figure:.3f} {one.unit}{against}; target {one.target}: {met}")
        if not all(figure.met for figure in found):
            raise SystemExit(1)

    def _in_a_fresh_shop(self, measure: Measure) -> list[Figure]:
        before = connection.settings_dict["NAME"]
        setup_test_environment(debug=False)
        with tempfile.TemporaryDirectory(prefix="shop-measure-") as folder:
            on_file = connection.vendor == "sqlite"
            name = str(Path(folder) / "measure.sqlite3") if on_file else f"shop_measure_{os.getpid()}"
            connection.settings_dict["TEST"]["NAME"] = name
            connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
            try:
                with override_settings(STATIC_ROOT=folder):  # whitenoise warns of a missing folder
                    return measure()
            finally:
                connection.creation.destroy_test_db(before, verbosity=0)
                teardown_test_environment()
