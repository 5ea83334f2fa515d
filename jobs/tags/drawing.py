"""Hang-tags as a PDF: 62 × 100 mm each, black only, one page for each tag. Pure but for the setting of type.

What never stands on a tag: a value, a telephone number, the name of a minor.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.papers.lettering import printable
from jobs.papers.texts import Json, to_text
from jobs.papers.typeset import set_in_type
from jobs.tags.codes import grouped
from jobs.tags.symbols import symbol


@dataclass(frozen=True, slots=True, kw_only=True)
class TagText:
    """What stands on one tag. `number` is the job's, large; `owner` a surname or body, empty for a minor.

    `taken_in` is in words ("16 November"); `url` is what the square code holds; `kind` picks the silhouette.
    """

    number: str
    item: str
    code: str
    url: str
    shop: str
    address: str = ""
    owner: str = ""
    taken_in: str = ""
    kind: str = ""


def _drawn(tag: TagText) -> dict[str, Json]:
    words = printable(to_text(tag))
    square = symbol(tag.url)
    runs: list[Json] = [[*run] for run in square.runs]
    return {"words": words, "code": grouped(tag.code), "side": len(square.modules), "runs": runs}


def tags_pdf(tags: Sequence[TagText], *, at: datetime) -> bytes:
    """One PDF of as many pages as tags, about 10 ms a page."""
    pages: list[Json] = [_drawn(tag) for tag in tags]
    return set_in_type("tag", {"tags": pages}, at=at)
