"""What an archive says of itself: one JSON file, in plain names. Pure.

A program refuses an archive of a later `format`, and one whose `migrations` it does not know.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from shop.packing import names
from shop.packing.faults import CannotUnpackError, DamagedError

FORMAT = 1
LONGEST = 64 * 1024 * 1024  # bytes of a manifest; a shop's is some kilobytes


@dataclass(frozen=True, slots=True)
class Entry:
    """One file inside: its name, its bytes, their SHA-256 in hex. `rows` for tables and for the list of files."""

    name: str
    size: int
    sha256: str
    rows: int = 0


@dataclass(frozen=True, slots=True)
class Manifest:
    """`tables` holds one entry a table, `files` is the entry of the list of files, `files_size` their bytes together.

    `missing` names files that rows speak of and the store did not have.
    """

    made_at: datetime
    program: str
    shop: str
    time_zone: str
    database: str
    home: str
    migrations: Mapping[str, Sequence[str]]
    tables: tuple[Entry, ...]
    files: Entry
    files_size: int
    keys: tuple[Entry, ...]
    missing: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        """Rows of all tables."""
        return sum(each.rows for each in self.tables)

    @property
    def applied(self) -> list[tuple[str, str]]:
        """Every applied migration as (app, name)."""
        return [(app, name) for app, applied in self.migrations.items() for name in applied]

    def written(self) -> bytes:
        """The manifest as it lies in the archive: indented, for people too."""
        said = {"format": FORMAT, **asdict(self), "made_at": self.made_at.isoformat()}
        return json.dumps(said, indent=1, ensure_ascii=False).encode() + b"\n"


def read(data: bytes) -> Manifest:
    """The manifest in `data`. Raises CannotUnpackError for a newer one, DamagedError for what is none."""
    try:
        said = json.loads(data)
        number = said["format"]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise DamagedError("The archive is damaged: manifest.json cannot be read.") from None
    if number != FORMAT:
        raise CannotUnpackError(
            f"The archive was made by a newer program (its format is {number}, this program reads {FORMAT}).\n"
            "Update this program first, then unpack."
        )
    try:
        made = _made(said)
    except (ValueError, KeyError, TypeError, AttributeError):
        raise DamagedError("The archive is damaged: manifest.json does not say all it should.") from None
    inside = [*made.tables, made.files, *made.keys]
    sound = all(names.is_safe(each.name) and each.size >= 0 for each in inside)
    if not sound or len({each.name for each in inside}) != len(inside):
        raise DamagedError("The archive is not one of this program: its manifest names files that have no place here.")
    return made


def _made(said: dict[str, Any]) -> Manifest:
    return Manifest(
        made_at=datetime.fromisoformat(said["made_at"]),
        program=str(said["program"]),
        shop=str(said["shop"]),
        time_zone=str(said["time_zone"]),
        database=str(said["database"]),
        home={"shop": "shop", "demo": "demo"}[said["home"]],
        migrations={str(app): [str(name) for name in applied] for app, applied in said["migrations"].items()},
        tables=tuple(_entry(each) for each in said["tables"]),
        files=_entry(said["files"]),
        files_size=int(said["files_size"]),
        keys=tuple(_entry(each) for each in said["keys"]),
        missing=tuple(str(each) for each in said["missing"]),
    )


def _entry(said: dict[str, Any]) -> Entry:
    return Entry(str(said["name"]), int(said["size"]), str(said["sha256"]), int(said.get("rows", 0)))


def file_entry(line: bytes) -> Entry:
    """One line of the list of files. Raises DamagedError."""
    try:
        made = _entry(json.loads(line))
    except (ValueError, KeyError, TypeError, RecursionError):
        raise DamagedError("The archive is damaged: files.jsonl cannot be read.") from None
    if not made.name.startswith("files/") or not names.is_safe(made.name) or made.size < 0:
        raise DamagedError(f"The archive is not one of this program: “{made.name[:80]}” has no place here.")
    return made
