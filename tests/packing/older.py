"""An archive as the program of the first release would have packed it. Run in a home of its own, see `make`."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor

from shop.packing import names
from shop.packing.manifest import Manifest
from shop.packing.rows import lines, tables
from shop.packing.writing import written

AT = datetime(2026, 11, 25, 10, 12, tzinfo=UTC)
ENDS = [("jobs", "0002_entry_is_written_once"), ("profile", "0001_initial"), ("sessions", "0001_initial")]


def make(path: str) -> None:
    """Make the tables of then, one job in them, and the archive."""
    MigrationExecutor(connection).migrate(ENDS)
    loader = MigrationExecutor(connection).loader
    then = loader.project_state(ENDS).apps
    with transaction.atomic():
        _fill(then)
    with written(Path(path), passphrase="", at=AT, tick=bool) as archive:
        applied: dict[str, list[str]] = {}
        for app, name in sorted(loader.applied_migrations):
            applied.setdefault(app, []).append(name)
        listed = tuple(
            archive.stream(names.table(model._meta.db_table), lines(model), rows=True) for model in tables(then)
        )
        manifest = Manifest(
            made_at=AT,
            program="0.0.9",
            shop="Marrowfen Strings Workshop",
            time_zone="UTC",
            database=connection.vendor,
            home="shop",
            migrations=applied,
            tables=listed,
            files=archive.stream(names.FILES_LIST, [], rows=True),
            files_size=0,
            keys=(archive.stream(names.SIGNING_KEY, [b"k" * 40]),),
        )
        archive.stream(names.MANIFEST, [manifest.written()])


def _fill(then: Any) -> None:
    profile = then.get_model("profile", "Profile")
    profile.objects.create(id=1, name="Marrowfen Strings Workshop", address="3 Tannery Yard")
    owner = then.get_model("jobs", "Party").objects.create(name="Imelda Rookstone", made_at=AT)
    item = then.get_model("jobs", "Item").objects.create(kind="Vn", title="Violin 4/4", owner=owner, made_at=AT)
    job = then.get_model("jobs", "Job").objects.create(
        number="26-0417", item=item, stage="EXP", opened_at=AT, stage_since=AT
    )
    then.get_model("jobs", "Entry").objects.create(action="job.opened", job=job, at=AT, data={"n": 1})
