"""Small archives made by hand, to be damaged."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from shop.packing.canonical import line
from shop.packing.manifest import Manifest
from shop.packing.writing import Archive, written

AT = datetime(2026, 11, 25, 2, 30, tzinfo=UTC)
ROWS = [line({"id": n, "words": f"row {n}"}) for n in range(200)]
PICTURE = bytes(range(256)) * 900
Change = Callable[[Manifest], Manifest]


def small(
    path: Path,
    *,
    passphrase: str = "",
    change: Change = lambda made: made,
    more: dict[str, bytes] | None = None,
    picture: bytes = PICTURE,
) -> Manifest:
    """An archive of one table, one picture and two keys. `change` bends its manifest, `more` puts files beside it."""
    with written(path, passphrase=passphrase, at=AT, tick=bool) as archive:
        manifest = change(_filled(archive, picture))
        for name, data in (more or {}).items():
            archive.stream(name, [data])
        archive.stream("manifest.json", [manifest.written()])
    return manifest


def _filled(archive: Archive, data: bytes) -> Manifest:
    table = archive.stream("tables/jobs_word.jsonl", ROWS, rows=True)
    picture = archive.stream("files/photos/2026/11/a.jpg", [data], deflate=False)
    said = line({"name": picture.name, "size": picture.size, "sha256": picture.sha256})
    return Manifest(
        made_at=AT,
        program="0.1.0",
        shop="Marrowfen Strings Workshop",
        time_zone="Europe/London",
        database="sqlite",
        home="shop",
        migrations={"jobs": ["0001_initial"]},
        tables=(table,),
        files=archive.stream("files.jsonl", [said], rows=True),
        files_size=picture.size,
        keys=(archive.stream("keys/secret.key", [b"s3cret"]), archive.stream("keys/seal.pem", [b"pem" * 40])),
    )


def renamed(old: str, new: str) -> Change:
    """A manifest that calls its table something else."""
    return lambda made: replace(
        made, tables=tuple(replace(each, name=new) if each.name == old else each for each in made.tables)
    )
