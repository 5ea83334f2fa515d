"""What a person typed, made fit for print, and the type it is set in. Pure.

The carried text keeps every character as it was typed; only the printed copy is tidied: no control characters, no
hidden turns of the direction of writing, composed letters, and places where an endless word may break.
"""

import re
import unicodedata
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import typst

from jobs.papers.texts import Json

# packages that ship the fonts (all under the SIL Open Font License 1.1), with the folder inside
FONT_PACKAGES = (("manimgx_fonts", ""), ("fontpkg_noto_serif", "files"), ("noto_cjk_sans_jp_regular", ""))
SUBSTITUTE = "□"
LONGEST_WORD = 22

# controls but the line feed; marks that turn or hide writing; private use, and what Unicode calls no character
_UNPRINTABLE = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ue000-\uf8ff"
    "\U000e0000-\U000e0fff\U000f0000-\U0010ffff\ufffe\uffff]"
)
_ENDLESS = re.compile(rf"[^\s\u200b]{{{LONGEST_WORD}}}(?=\S)")
_HASH = re.compile("[0-9a-f]{64}")
_JOINERS = re.compile("[\u200c\u200d\ufe00-\ufe0f]")
_NAMED = re.compile(r'the text `"((?:[^"\\]|\\.)*)"` could not be displayed')
_ESCAPED = re.compile(r"\\u\{([0-9a-f]{1,6})\}")


@cache
def fonts() -> typst.Fonts:
    """The type of every paper, read once in a process (about 20 ms)."""
    folders = []
    for package, inside in FONT_PACKAGES:
        spec = find_spec(package)
        if spec is None or not spec.submodule_search_locations:
            raise FileNotFoundError(f"The fonts of the package {package} are not installed.")
        folders.append(str(Path(spec.submodule_search_locations[0]) / inside))
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=folders)


def printable(value: Json) -> Json:
    """The same text, every string fit for print."""
    if isinstance(value, str):
        if _HASH.fullmatch(value):
            return value
        tidy = _UNPRINTABLE.sub(" ", unicodedata.normalize("NFC", value))
        return _ENDLESS.sub(lambda found: f"{found[0]}\u200b", tidy)
    if isinstance(value, list):
        return [printable(one) for one in value]
    if isinstance(value, dict):
        return {key: printable(one) for key, one in value.items()}
    return value


def refused_letters(message: str) -> str:
    """The letters a typst fault says no font has."""
    named = "".join(_NAMED.findall(message))
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), named)


def substituted(value: Json, letters: str) -> Json:
    """The text with those letters shown as an empty square; plain Latin ones stay, and so do digits."""
    marked = {ord(letter): SUBSTITUTE for letter in letters if ord(letter) > 0x24F and not _JOINERS.match(letter)}
    gone = {ord(letter): "" for letter in letters if _JOINERS.match(letter)}
    return _translated(value, marked | gone)


def _translated(value: Json, table: dict[int, str]) -> Json:
    if isinstance(value, str):
        return value.translate(table)
    if isinstance(value, list):
        return [_translated(one, table) for one in value]
    if isinstance(value, dict):
        return {key: _translated(one, table) for key, one in value.items()}
    return value
