"""Puts an archive back into an empty home: rows, files, keys, and proves them equal before anybody works with them.

An archive of an older program is loaded into the tables of its own time (the migrations it names), proven equal there, and
then brought forward by the migrations since. One of a newer program is refused.
"""

import hashlib
import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from django.apps.registry import Apps
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.core.files.storage import Storage
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from shop.packing import names, steps
from shop.packing.faults import CannotUnpackError
from shop.packing.manifest import Entry, Manifest
from shop.packing.reading import Opened
from shop.packing.rows import Model, clear, hashed, load, reset_numbers, tables
from shop.packing.stores import is_empty, stores
from shop.packing.writing import PIECE

Say = Callable[[str], None]
Node = tuple[str, str]


@dataclass(frozen=True, slots=True)
class PutBack:
    """What was put back and proven equal."""

    tables: int
    rows: int
    files: int

    def __str__(self) -> str:
        return f"equal: {self.tables:,} tables, {self.rows:,} rows, {self.files:,} files"


def put_back(archive: Opened, *, say: Say) -> PutBack:
    """Put a checked archive into this process's empty home, database and stores. Raises CannotUnpackError.

    What it has written when it raises is of no use: the caller clears the home.
    """
    manifest = archive.manifest
    _check_known(manifest)
    _check_empty()
    found = _tables_of_its_time(manifest)
    say("Writing the rows.")
    _load(archive, found)
    say("Writing the photos and papers.")
    files = sum(1 for entry in archive.files() if _put(archive, entry))
    _keys(archive)
    say("Comparing.")
    for entry in manifest.tables:
        if hashed(found[entry.name]) != entry:
            raise CannotUnpackError(f"{entry.name} is not equal to what was packed. Nothing was put in use.")
    call_command("migrate", interactive=False, verbosity=0)
    steps.mark_restored(manifest.made_at, at=datetime.now(UTC))
    return PutBack(len(manifest.tables), manifest.rows, files)


def _check_known(manifest: Manifest) -> None:
    known = MigrationExecutor(connection).loader.disk_migrations
    strange = [node for node in manifest.applied if node not in known]
    if strange:
        raise CannotUnpackError(
            f"The archive was made by a newer program ({manifest.program}; this one does not know "
            f"{'.'.join(strange[0])}).\nUpdate this program first, then unpack."
        )


def _check_empty() -> None:
    held = connection.introspection.table_names()
    if held:
        raise CannotUnpackError(
            f"The database holds tables already, such as {held[0]}.\nNothing is put over an existing shop: name an empty database."
        )
    for name, store in stores().items():
        if not is_empty(store):
            raise CannotUnpackError(
                f"The store “{name}” holds files already.\nNothing is put over an existing shop: name an empty one."
            )


def _tables_of_its_time(manifest: Manifest) -> dict[str, Model]:
    """Make the tables as they were when the archive was made; the models of then by their file's name."""
    applied = set(manifest.applied)
    executor = MigrationExecutor(connection)
    graph = executor.loader.graph
    if not applied <= graph.nodes.keys():
        raise CannotUnpackError("The archive is of a program so old that its tables can no longer be made here.")
    ends = sorted(node for node in applied if not _followed(graph.node_map[node].children, applied, node[0]))
    executor.migrate(ends)
    registry: Apps = MigrationExecutor(connection).loader.project_state(ends).apps
    found = {names.table(model._meta.db_table): model for model in tables(registry)}
    strange = [entry.name for entry in manifest.tables if entry.name not in found]
    if strange:
        raise CannotUnpackError(f"The archive has {strange[0]}, and its program had no such table.")
    return found


def _followed(children: set[object], applied: set[Node], app: str) -> bool:
    keys = {getattr(child, "key", child) for child in children}
    return any(key in applied and key[0] == app for key in keys)


def _load(archive: Opened, found: dict[str, Model]) -> None:
    name = ""
    try:
        with transaction.atomic():
            clear(found.values())
            for entry in archive.manifest.tables:
                name = entry.name
                load(found[name], archive.lines(entry))
            name = "rows that name each other"
            reset_numbers(list(found.values()))
    except (DatabaseError, ValidationError, ValueError, TypeError) as fault:
        raise CannotUnpackError(f"The database does not take {name}: {fault}".strip()) from fault


def _put(archive: Opened, entry: Entry) -> bool:
    """Put one file into its store, and read it back."""
    _, alias, name = entry.name.split("/", 2)
    store = stores().get(alias)
    if store is None:
        raise CannotUnpackError(f"The archive has files for a store “{alias}”, which this program does not have.")
    try:
        with archive.open(entry) as source:
            kept = store.save(name, File(source, name=name))
        same = kept == name and _digest(store, name) == entry.sha256
    except OSError as fault:
        raise CannotUnpackError(f"{entry.name} cannot be written: {fault.strerror or fault}.") from fault
    if not same:
        raise CannotUnpackError(f"{entry.name} is not equal to what was packed. Nothing was put in use.")
    return True


def _digest(store: Storage, name: str) -> str:
    sha = hashlib.sha256()
    with store.open(name, "rb") as source:
        while piece := source.read(PIECE):
            sha.update(piece)
    return sha.hexdigest()


def _keys(archive: Opened) -> None:
    for entry in archive.manifest.keys:
        path: Path = settings.SHOP_HOME / entry.name.removeprefix("keys/")
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        number = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(number, "wb") as out:
            out.write(archive.read(entry))
