"""Makes one archive of the whole shop while it runs.

The rows come from one moment of the database. The files they speak of were written and seen to the disk before their
rows were committed, are never changed, and are not deleted while a row names them; so they are copied after that moment,
and a file that came later does no harm. The queue is left out: its messages only nudge, and what they are about stands in
rows. Sessions are left out: whoever works in a restored shop signs in anew.
"""

import tomllib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryFile

from django.conf import settings
from django.db import connection, connections
from django.db.migrations.executor import MigrationExecutor

from shop.packing import names
from shop.packing.canonical import line
from shop.packing.faults import CannotPackError
from shop.packing.manifest import Entry, Manifest
from shop.packing.rows import lines, tables
from shop.packing.snapshot import one_moment
from shop.packing.stores import named, stores
from shop.packing.writing import Archive, Readable, written
from shop.profile.models import Profile

Say = Callable[[str], None]
Tick = Callable[[], object]


def make(path: Path, *, passphrase: str, home: str, copies: Path, say: Say, tick: Tick) -> Manifest:
    """Write the archive of this shop to `path`, a new file; what it holds.

    `home` is what kind of shop it is ("shop" or "demo"), `copies` the folder that is left out, `say` hears how far
    it is, and `tick` is called for every piece.
    Memory stays the same however many photos there are, but for about 150 bytes a file. Raises OSError when it cannot be
    written, CannotPackError when the database and the program do not fit.
    """
    _check_migrations()
    missing: list[str] = []
    with written(path, passphrase=passphrase, at=datetime.now(UTC), tick=tick) as archive, TemporaryFile() as listing:
        with one_moment() as using:
            made_at = datetime.now(UTC)
            migrations = _applied(using)
            listed = [_table(archive, model, using, say) for model in tables()]
            wanted = sorted(set(named(using)))
            shop = Profile.objects.using(using).filter(pk=1).first()
        size = 0
        for entry in _files(archive, wanted, missing, say):
            listing.write(line({"name": entry.name, "size": entry.size, "sha256": entry.sha256}))
            size += entry.size
        listing.seek(0)
        manifest = Manifest(
            made_at=made_at,
            program=program(),
            shop=shop.name if shop else "",
            time_zone=shop.time_zone if shop else "UTC",
            database=connection.vendor,
            home=home,
            migrations=migrations,
            tables=tuple(listed),
            files=archive.stream(names.FILES_LIST, listing, rows=True),
            files_size=size,
            keys=tuple(_keys(archive, copies)),
            missing=tuple(missing),
        )
        archive.stream(names.MANIFEST, [manifest.written()])
    return manifest


def program() -> str:
    """This program's version."""
    said = tomllib.loads((settings.ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return str(said["project"]["version"])


def _check_migrations() -> None:
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise CannotPackError("The database is of an older program than this one.\nStart the shop once, then pack.")
    strange = sorted(set(executor.loader.applied_migrations) - set(executor.loader.disk_migrations))
    if strange:
        raise CannotPackError(f"The database is of a newer program ({'.'.join(strange[0])}).\nPack with that program.")


def _applied(using: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for app, name in sorted(MigrationExecutor(connections[using]).loader.applied_migrations):
        found.setdefault(app, []).append(name)
    return found


def _table(archive: Archive, model: type, using: str, say: Say) -> Entry:
    name = model._meta.db_table  # type: ignore[attr-defined]
    say(f"rows: {name}")
    return archive.stream(names.table(name), lines(model, using), rows=True)


def _files(archive: Archive, wanted: list[tuple[str, str]], missing: list[str], say: Say) -> Iterator[Entry]:
    """Copy the files in, in the order of names. One that is not there, or cannot be read to its end, is named in `missing`."""
    found = stores()
    for number, (store, name) in enumerate(wanted, start=1):
        say(f"files: {number:,} of {len(wanted):,}")
        inside = f"files/{store}/{name}"
        if not names.is_safe(inside):
            missing.append(inside)
            continue
        try:
            source = found[store].open(name, "rb")
        except OSError:
            missing.append(inside)
            continue
        with source:
            yield archive.add(inside, _Whole(source, inside, missing))


class _Whole:
    """A file of a store whose disk may fail in the middle of it."""

    def __init__(self, source: Readable, name: str, missing: list[str]) -> None:
        self._source, self._name, self._missing = source, name, missing

    def read(self, size: int = -1, /) -> bytes:
        try:
            return self._source.read(size)
        except OSError:
            self._missing.append(self._name)
            return b""


def _keys(archive: Archive, copies: Path) -> Iterator[Entry]:
    """The secret key as it is used now, and what else the home keeps."""
    yield archive.stream(names.SIGNING_KEY, [settings.SECRET_KEY.encode()])
    for name, path in names.keys_in(settings.SHOP_HOME, but=copies):
        if name != names.SIGNING_KEY:
            with path.open("rb") as source:
                yield archive.add(name, source)
