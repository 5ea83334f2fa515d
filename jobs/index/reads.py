"""Finding: the words that begin as typed, the best first. One query for everything."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db import connection

from jobs.book.kinds import ITEM_KINDS, SIZES
from jobs.index.models import ANYONE, DESK, HERE, KINDS, IndexWord
from jobs.index.needle import Needle, code_of, read
from jobs.index.words import words_of

SHOWN = 8  # of each kind
LOOKED_AT = 300  # words of each kind, best first: how many things they lead to is said exactly below that
_LAST = "\U0010ffff"  # no word holds it: every word that begins as `x` lies from `x` to `x` + this
_TABLE = IndexWord._meta.db_table

# On both databases `index_by_word` answers the first, `index_word_once` the second (shown by `measure search`).
_BEGIN = f'SELECT w."of", w."rank", w."word" FROM {_TABLE} w WHERE w.kind = %s AND w.word >= %s AND w.word < %s AND w.shows <= %s'  # noqa: S608
_ALSO = f' AND EXISTS (SELECT 1 FROM {_TABLE} a WHERE a.kind = w.kind AND a."of" = w."of" AND a.shows <= %%s AND (%(ways)s))'  # noqa: S608
_WAY = "a.word >= %s AND a.word < %s"
_BEST = 'SELECT %(kind)s AS kind, f."of", f."word", CASE WHEN f."word" IN (%(exact)s) THEN 1 ELSE 0 END AS met, f."rank" FROM (%(found)s) f ORDER BY met DESC, f."rank" DESC, f."of" DESC LIMIT %(most)s'

_COMMON = frozenset(
    word
    for text in (*ITEM_KINDS.values(), *(size for sizes in SIZES.values() for size in sizes))
    for word in words_of(text)
)


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
    by_kind: dict[str, list[tuple[int, str, int]]] = {kind: [] for kind in KINDS}
    for kind, of, word, _, rank in sorted(rows, key=lambda row: (-row[3], -row[4], -row[1])):
        by_kind[kind].append((of, word, rank))
    tags = tuple(dict.fromkeys(Letters(of, code_of(word), rank >= HERE) for of, word, rank in by_kind["T"]))
    return Found(
        jobs=_group(by_kind["J"]),
        items=_group(by_kind["I"]),
        parties=_group(by_kind["P"]),
        tags=tags[:SHOWN],
        more_tags=max(0, len(tags) - SHOWN),
    )


def _group(rows: Sequence[tuple[int, str, int]]) -> Group:
    ids = tuple(dict.fromkeys(of for of, _, _ in rows))
    return Group(ids[:SHOWN], max(0, len(ids) - SHOWN), len(rows) == LOOKED_AT)


def question(needle: Needle, *, reach: bool) -> tuple[str, list[str | int]]:
    """The one statement for a needle, and its values in their order."""
    shows = DESK if reach else ANYONE
    parts: list[str] = []
    values: list[str | int] = []
    for kind in "JIP":
        _best(parts, values, kind, _ways(kind, needle, shows), needle.exact)
    if needle.code:
        _best(parts, values, "T", [_beginning("T", word, shows) for word in needle.code], ())
    return " UNION ALL ".join(f"SELECT * FROM ({part}) g{at}" for at, part in enumerate(parts)), values  # noqa: S608


Asked = tuple[str, list[str | int]]


def _best(parts: list[str], values: list[str | int], kind: str, ways: list[Asked], exact: Sequence[str]) -> None:
    if not ways:
        return
    known = exact or ("",)
    parts.append(
        _BEST
        % {
            "kind": f"'{kind}'",
            "exact": ", ".join(["%s"] * len(known)),
            "found": " UNION ALL ".join(sql for sql, _ in ways),
            "most": LOOKED_AT,
        }
    )
    values += [*known, *(value for _, given in ways for value in given)]


def _beginning(kind: str, word: str, shows: int) -> Asked:
    return _BEGIN, [kind, word, word + _LAST, shows]


def _ways(kind: str, needle: Needle, shows: int) -> list[Asked]:
    """All words, the rarest looked up and the others asked of what it leads to; or the whole as one number."""
    found = [_beginning(kind, word, shows) for word in needle.whole]
    if needle.words:
        first, *others = sorted(needle.words, key=_rare)
        also = "".join(_ALSO % {"ways": " OR ".join([_WAY] * len(other))} for other in others)
        more: list[str | int] = []
        for other in others:
            more += [shows, *(edge for word in other for edge in (word, word + _LAST))]
        for word in first:
            sql, given = _beginning(kind, word, shows)
            found.append((sql + also, [*given, *more]))
    return found


def _rare(spellings: Iterable[str]) -> tuple[bool, int]:
    """Sorts what is likely to lead to few things first: no word of the trade, and long."""
    word = next(iter(spellings))
    return any(common.startswith(word) for common in _COMMON), -len(word)
