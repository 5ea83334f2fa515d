"""Words as they are looked for: folded, split, and read back from whatever somebody types. Pure.

Folding is the compatibility caseless form of the Unicode Standard (section 3.13, D146, on the forms of UAX #15), then
accents and a few letters that carry their stroke inside (ø, ł, đ …) fall away. Marks that make another sound in their
script stay: the voicing of kana, nukta, virama, vowel signs.
"""

import re
import unicodedata
from collections.abc import Iterator

LONGEST = 40  # a word is cut here, when it is kept and when it is sought
LEAST_PHONE = 4  # digits in a row of a telephone number

_STROKES = str.maketrans(
    {
        "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ŋ": "n", "ħ": "h",
        "ŧ": "t", "ĸ": "k", "ƒ": "f", "ɓ": "b", "ɗ": "d", "ə": "e", "ǝ": "e", "\u2044": "/", "’": "'", "ʼ": "'",
    }
)  # fmt: skip
# spelt out where a keyboard lacks the letter (common practice in German and the Nordic languages)
_SPELT = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ø": "oe", "å": "aa"})
_JOIN = frozenset("-'.@_&+/\u2010\u2012\u2013\u2014\u2212\u00b7")
_INSIDE = frozenset("/.")  # stays between digits: 3/4, 15.5
_RUNS = re.compile(r"[0-9][0-9/.]*|[^0-9]+")
_PHONE = re.compile(r"[+(]?[0-9][0-9 ()+./\u00a0-]*")
_UNBROKEN = (  # scripts written without gaps between words
    (0x0E00, 0x0EFF), (0x1000, 0x109F), (0x1100, 0x115F), (0x1780, 0x17FF), (0x3040, 0x30FF), (0x3400, 0x9FFF),
    (0x20000, 0x3FFFD),
)  # fmt: skip
_MOST_STARTS = 24


def fold(text: str) -> str:
    """The form two spellings share. Folding twice is the same as once."""
    form = unicodedata.normalize
    plain = form("NFKD", form("NFKD", form("NFD", text).casefold()).casefold())
    return "".join(_signs(plain)).translate(_STROKES)


def _signs(text: str) -> Iterator[str]:
    for sign in text:
        category = unicodedata.category(sign)
        if category == "Nd":
            yield str(unicodedata.decimal(sign))
        elif category not in {"Cf", "Mn"} or (category == "Mn" and not _is_accent(sign)):
            yield sign


def _is_accent(mark: str) -> bool:
    # classes 10 to 36 are the points of Hebrew, Arabic and Syriac, 200 and above sit over or under a letter (UAX #44)
    weight = unicodedata.combining(mark)
    return 10 <= weight <= 36 or weight >= 200 or 0xFE00 <= ord(mark) <= 0xFE0F


def chunks(text: str) -> list[list[str]]:
    """What stands between gaps, each in its parts: “Smith-Jones, 3/4” is [[smith, jones], [3/4]]."""
    found: list[list[str]] = []
    parts: list[str] = []
    part = ""
    folded = fold(text) + " "
    for at, sign in enumerate(folded):
        if unicodedata.category(sign)[0] in "LNM":
            part += sign
            continue
        if sign in _INSIDE and part[-1:].isdigit() and folded[at + 1].isdigit():
            part += sign
            continue
        if part:
            parts.append(part)
            part = ""
        if sign not in _JOIN and parts:
            found.append(parts)
            parts = []
    return found


def spellings(text: str) -> tuple[str, ...]:
    """A text, and once more with ä, ö, ü, ø, å spelt out when it has any."""
    other = unicodedata.normalize("NFC", text).casefold().translate(_SPELT)
    return (text, other) if other != unicodedata.normalize("NFC", text).casefold() else (text,)


def runs(part: str) -> list[str]:
    """Letters and digits apart: “kv101” is kv and 101; 3/4 stays."""
    return _RUNS.findall(part)


def words_of(text: str) -> set[str]:
    """Every word a text is found by: whole chunks without their dashes, their parts, and runs of letters and digits."""
    return {word for spelt in spellings(text) for word in _spelt(spelt)}


def _spelt(text: str) -> set[str]:
    found: set[str] = set()
    for parts in chunks(text):
        found.add("".join(parts))
        for part in parts:
            found.update((part, *_starts(part)))
            apart = runs(part)
            found.update(apart)
            found.update(bare for run in apart if run[0] == "0" and (bare := run.lstrip("0")))
    return {word[:LONGEST] for word in found}


def _starts(part: str) -> list[str]:
    """A name written without gaps is found from each of its signs on."""
    places = [at for at, sign in enumerate(part) if at and any(low <= ord(sign) <= high for low, high in _UNBROKEN)]
    return [part[at:] for at in places[:_MOST_STARTS]]


def number_words(number: str) -> set[str]:
    """How a job's number is said: “26-0417” is 0417, 417, 26-0417 and 26-417."""
    year, _, short = number.partition("-")
    if not short:
        return words_of(number)
    bare = short.lstrip("0") or short
    return {fold(word)[:LONGEST] for word in (year + short, year + bare, short, bare)}


def phone_words(phone: str) -> set[str]:
    """Each end of a number in E.164 (ITU-T, at most 15 digits), marked with +, so that any run of 4 digits begins one."""
    digits = "".join(sign for sign in phone if sign.isdecimal())
    return {f"+{digits[at:]}"[:LONGEST] for at in range(max(0, len(digits) - LEAST_PHONE + 1))}


def email_words(email: str) -> set[str]:
    """An address as a whole, its name, and its host without the ending (com, org) that half the world shares."""
    name, _, host = email.partition("@")
    whole = {"".join(part for parts in chunks(text) for part in parts)[:LONGEST] for text in (email, host)}
    return (whole | words_of(name) | words_of(host.rpartition(".")[0])) - {""}


def phone_run(typed: str) -> set[str]:
    """A typed telephone number or a piece of one as `phone_words` keeps it, however it is written: +44 (0)20, 0044, 020."""
    text = fold(typed).strip()
    if not _PHONE.fullmatch(text):
        return set()
    digits = "".join(sign for sign in text.replace("(0)", "") if sign.isdecimal())
    # a leading 0 or 00 is dialled, and no part of the number, except in the few places where it is
    return {f"+{run}"[:LONGEST] for run in (digits, digits.lstrip("0")) if len(run) >= LEAST_PHONE}
