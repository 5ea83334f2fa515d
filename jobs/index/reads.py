"""Finding: the words that begin as typed, the best first. One query for everything."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db import connection

from jobs.index.asking import LOOKED_AT, question
from jobs.index.models import KINDS
from jobs.index.needle import Needle, code_of, read

SHOWN = 8  # of each kind


@dataclass(frozen=True, slots=True)
class Group:
    """What of one kind was found: ids, the best first, and how many more. `least` says there are even more than that."""

    ids: tuple[int, ...] = ()
    more: int = 0
    least: bool = False


@dataclass(frozen=True, slots=True)
class Letters:
    """A tag: its item, its letters, and whether it is in use."""

    item: int
    code: str
    live: bool


@dataclass(frozen=True, slots=True)
class Found:
    """What was found, kind by kind; `more_tags` beyond those shown."""

    jobs: Group = field(default_factory=Group)
    items: Group = field(default_factory=Group)
    parties: Group = field(default_factory=Group)
    tags: tuple[Letters, ...] = ()
    more_tags: int = 0

    def __bool__(self) -> bool:
        return bool(self.jobs.ids or self.items.ids or self.parties.ids or self.tags)


def find(typed: str, *, reach: bool) -> Found:
    """Whatever begins as typed. With `reach` also by telephone, e-mail, address, and a minor's name.

    One query; a second only when nothing is found and the words can be taken apart. None for no word at all.
    """
    needle = read(typed)
    found = _ask(needle, reach=reach)
    if not found and needle:
        loose = read(typed, loose=True)
        if loose.words != needle.words:
            found = _ask(loose, reach=reach)
    return found


def _ask(needle: Needle, *, reach: bool) -> Found:
    if not needle:
        return Found()
    sql, values = question(needle, reach=reach)
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        rows = cursor.fetchall()
    by_kind: dict[str, list[tuple[int, str, bool]]] = {kind: [] for kind in KINDS}
    # each part comes sorted, but a union promises no order
    for kind, of, here, word, _, _ in sorted(rows, key=lambda row: (row[5], row[2], row[4], row[1]), reverse=True):
        by_kind[kind].append((of, word, bool(here)))
    tags = tuple(dict.fromkeys(Letters(of, code_of(word), here) for of, word, here in by_kind["T"]))
    return Found(
        jobs=_group(by_kind["J"]),
        items=_group(by_kind["I"]),
        parties=_group(by_kind["P"]),
        tags=tags[:SHOWN],
        more_tags=max(0, len(tags) - SHOWN),
    )


def _group(rows: Sequence[tuple[int, str, bool]]) -> Group:
    ids = tuple(dict.fromkeys(of for of, _, _ in rows))
    return Group(ids[:SHOWN], max(0, len(ids) - SHOWN), len(rows) == LOOKED_AT)
