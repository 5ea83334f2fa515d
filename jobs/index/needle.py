"""What somebody typed into the box, read in every way it may be meant. Pure."""

from dataclasses import dataclass

from jobs.index.words import LONGEST, chunks, phone_run, runs, spellings
from jobs.tags.codes import read_part

LONGEST_TYPED, MOST_WORDS, LEAST_CODE = 200, 6, 3
CODE, CODE_END = "#", "~"  # before a tag's letters, and before the same with its second half first


@dataclass(frozen=True, slots=True)
class Needle:
    """`words`: each must begin a word, in any of its spellings. `whole`: or all that was typed is one telephone number.

    `code`: the beginnings of a tag's letters. `exact`: the words that, met whole, are a number or asset number.
    """

    words: tuple[tuple[str, ...], ...] = ()
    whole: tuple[str, ...] = ()
    code: tuple[str, ...] = ()
    exact: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.words or self.whole or self.code)


def read(typed: str, *, loose: bool = False) -> Needle:
    """Read what was typed. `loose` takes words apart at dashes and between letters and digits: “KV101” is KV and 101."""
    text = typed.replace("\x00", "")[:LONGEST_TYPED]
    phone = phone_run(text)
    words = tuple(_loose(text) if loose else _spellings(text, with_phones=not phone))[:MOST_WORDS]
    letters = read_part(text)
    exact = tuple(word for word in words[0] if any(sign.isdigit() for sign in word)) if len(words) == 1 else ()
    if len(words) == 1:
        words, phone = ((*words[0], *sorted(phone)),), set()
    return Needle(
        words=words,
        whole=tuple(sorted(phone)),
        code=(CODE + letters, CODE_END + letters) if len(letters) >= LEAST_CODE else (),
        exact=exact,
    )


def code_words(code: str) -> set[str]:
    """What a tag is found by: its eight letters, or its last four."""
    low = code.lower()
    return {CODE + low, CODE_END + low[4:] + low[:4]}


def code_of(word: str) -> str:
    """A tag's letters back from one of its words."""
    letters = word[1:].upper()
    return letters if word.startswith(CODE) else letters[4:] + letters[:4]


def _spellings(text: str, *, with_phones: bool) -> list[tuple[str, ...]]:
    plain, *other = (["".join(parts)[:LONGEST] for parts in chunks(spelt)] for spelt in spellings(text))
    # letters spelt out never change how many words there are
    ways = [dict.fromkeys(same) for same in zip(plain, *other, strict=True)]
    return [
        (*way, *sorted(phone_run(next(iter(way))))) if with_phones and len(ways) > 1 else tuple(way) for way in ways
    ]


def _loose(text: str) -> list[tuple[str, ...]]:
    found = [run[:LONGEST] for parts in chunks(text) for part in parts for run in runs(part)]
    return [(run,) for run in dict.fromkeys(found)]
