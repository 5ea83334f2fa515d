"""Names inside an archive, and what of a home is packed. Pure.

    manifest.json           what is in it, with sizes and hashes
    tables/<table>.jsonl    rows in the order of their keys
    files.jsonl             name, size and hash of every photo and paper
    files/<store>/<name>    photos, papers
    keys/<name>             seal, secret key and whatever else the home keeps

A name from an archive is only used once `is_safe` has said so: it never leads out of its folder.
"""

import re
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

MANIFEST = "manifest.json"
FILES_LIST = "files.jsonl"
SIGNING_KEY = "keys/secret.key"
_TABLE = re.compile(r"tables/[a-z0-9_]{1,63}\.jsonl")
_PART = re.compile(r"[^\\\x00-\x1f:]{1,200}")

# what a home holds besides keys: packed another way, or made anew by a start
NOT_KEYS = frozenset(
    {
        "files",  # through the shop's stores, wherever they are
        "copies",
        "home.json",  # says where this one listens
        "running.lock",
        "broker",  # the queue only nudges; the rows are the truth
        "beat-schedule",
        "static",
        "log",
        "letters",  # the sample shop's mail sink
        "ways-in.json",
    }
)


def table(name: str) -> str:
    """Where a table's rows are."""
    return f"tables/{name}.jsonl"


def is_safe(name: str) -> bool:
    """Whether a name of an archive is one that `pack` could have written."""
    if name in {MANIFEST, FILES_LIST} or _TABLE.fullmatch(name):
        return True
    top, *rest = name.split("/")
    if not rest or not all(_PART.fullmatch(part) and part not in {".", ".."} for part in rest):
        return False
    if top == "files":
        return len(rest) > 1
    return top == "keys" and _is_key(rest[0])


def _is_key(name: str) -> bool:
    """Whether a file or folder of a home is packed as it is; databases are packed as rows."""
    return name not in NOT_KEYS and not name.startswith((".", "beat-schedule")) and ".sqlite3" not in name


def keys_in(home: Path, *, but: Path) -> Iterator[tuple[str, Path]]:
    """The home's own files by their name in an archive, in order; `but` is the folder of copies. Links are left out."""
    for top in sorted(home.iterdir()):
        if not _is_key(top.name) or top.resolve() == but.resolve():
            continue
        for path in [top] if top.is_file() else sorted(top.rglob("*")):
            if path.is_file() and not path.is_symlink() and not top.is_symlink():
                yield f"keys/{PurePosixPath(path.relative_to(home))}", path
