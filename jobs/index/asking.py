"""The one statement that finds: SQLite and PostgreSQL are asked in the same words."""

from collections.abc import Iterable, Sequence

from jobs.book.kinds import ITEM_KINDS, SIZES
from jobs.index.models import ANYONE, DESK, IndexWord
from jobs.index.needle import Needle
from jobs.index.words import words_of

Value = str | int | bool
Asked = tuple[str, list[Value]]

LOOKED_AT = 300  # words of each kind, the best first: how many things they lead to is said exactly below that
# Of what has gone home, at most this many words are weighed, the last in the index's own order. So a whole word shows its
# newest; only a beginning shared by more than this many old things may miss a newer one. What is here is all weighed.
GONE = 1000
_LAST = "\U0010ffff"  # no word holds it: every word that begins as `x` lies from `x` to `x` + this
_TABLE = IndexWord._meta.db_table

# `index_by_words` answers the first, `index_words_of_one` the second, on both databases (`measure search` shows it)
_BEGINS = (
    f'SELECT w."of", w.here, w."rank", w.word FROM {_TABLE} w'  # noqa: S608 - no value is written into it
    " WHERE w.kind = %s AND w.here = %s AND w.word >= %s AND w.word < %s AND w.shows <= %s"
)
_ALSO = (
    f' AND EXISTS (SELECT 1 FROM {_TABLE} a WHERE a."of" = w."of" AND a.kind = w.kind'  # noqa: S608
    " AND a.shows <= %s AND ("
)
_WAY = "a.word >= %s AND a.word < %s"
_LATEST = ' ORDER BY w.word DESC, w."rank" DESC LIMIT '
_ROW = 'SELECT %s AS kind, f."of", f.here, f.word, f."rank", CASE WHEN f.word IN ('
_BEST = ') f ORDER BY met DESC, f.here DESC, f."rank" DESC, f."of" DESC LIMIT '

_COMMON = frozenset(
    word
    for text in (*ITEM_KINDS.values(), *(size for sizes in SIZES.values() for size in sizes))
    for word in words_of(text)
)


def question(needle: Needle, *, reach: bool) -> Asked:
    """SQL and values; rows are (kind, id, here, word, rank, met), of each kind at most `LOOKED_AT`, the best first."""
    shows = DESK if reach else ANYONE
    asked = [_best(kind, _ways(kind, needle, shows), needle.exact) for kind in "JIP" if needle.words or needle.whole]
    if needle.code:
        asked.append(_best("T", [way for word in needle.code for way in _beginning("T", word, shows)], ()))
    parts = (" ".join(("SELECT * FROM (", sql, f") g{at}")) for at, (sql, _) in enumerate(asked))
    return " UNION ALL ".join(parts), [value for _, values in asked for value in values]


def _best(kind: str, ways: Sequence[Asked], exact: Sequence[str]) -> Asked:
    known = exact or ("",)
    places = ", ".join(["%s"] * len(known))
    found = " UNION ALL ".join(f"SELECT * FROM ({sql}) p{at}" for at, (sql, _) in enumerate(ways))  # noqa: S608
    sql = "".join((_ROW, places, ") THEN 1 ELSE 0 END AS met FROM (", found, _BEST, str(LOOKED_AT)))
    return sql, [kind, *known, *(value for _, given in ways for value in given)]


def _ways(kind: str, needle: Needle, shows: int) -> list[Asked]:
    """All words, the rarest looked up and the others asked of what it leads to; or the whole as one number."""
    found = [way for word in needle.whole for way in _beginning(kind, word, shows)]
    if needle.words:
        first, *others = sorted(needle.words, key=_rare)
        also = "".join((_ALSO + " OR ".join([_WAY] * len(other)) + "))") for other in others)
        more: list[Value] = []
        for other in others:
            more += [shows, *(edge for word in other for edge in (word, word + _LAST))]
        found += [way for word in first for way in _beginning(kind, word, shows, also, more)]
    return found


def _beginning(kind: str, word: str, shows: int, also: str = "", more: Sequence[Value] = ()) -> list[Asked]:
    here, gone = ([kind, at_hand, word, word + _LAST, shows, *more] for at_hand in (True, False))
    return [(_BEGINS + also, here), ("".join((_BEGINS, also, _LATEST, str(GONE))), gone)]


def _rare(spellings: Iterable[str]) -> tuple[bool, int]:
    """Sorts what is likely to lead to few things first: no word of the trade, and long."""
    word = next(iter(spellings))
    return any(common.startswith(word) for common in _COMMON), -len(word)
