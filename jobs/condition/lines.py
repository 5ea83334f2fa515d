"""A condition line before it is written. Pure."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLine:
    """One thing found at intake: `term` and `part` are catalogue codes, `term_words` what the note said."""

    term_words: str
    severity: str
    term: str = ""
    words: str = ""
    part: str = ""
    where: str = ""
    extent_mm: Decimal | None = None
    stability: str = "unknown"
    freshness: str = "unknown"
    photo_id: int | None = None
