"""What was found: lines of the note, and findings after it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from jobs.book.models import Job
from jobs.condition.models import ConditionLine, Finding
from jobs.condition.scales import FRESHNESS, SEVERITY, STABILITY
from shop.units import mm_words


@dataclass(frozen=True, slots=True)
class LineShown:
    """One line as a page reads it. `extent` is words, “33 mm”, or ""."""

    number: int
    term: str
    more: str
    where: str
    extent: str
    severity: str
    stability: str
    freshness: str
    photo_id: int | None


@dataclass(frozen=True, slots=True)
class FindingShown:
    """Something found after signing."""

    words: str
    by: str
    at: datetime
    photo_id: int | None


def lines_of(job: Job, *, parts: dict[str, str] | None = None) -> list[LineShown]:
    """The lines of a job's note, in order. One query. `parts` are the catalogue's words by code."""
    return [_line(line, parts or {}) for line in ConditionLine.objects.filter(job=job)]


def lines_by_job(jobs: Iterable[int]) -> dict[int, list[LineShown]]:
    """The lines of several jobs, by job id. One query."""
    found: dict[int, list[LineShown]] = {}
    for line in ConditionLine.objects.filter(job__in=list(jobs)).order_by("job_id", "number"):
        found.setdefault(line.job_id, []).append(_line(line, {}))
    return found


def _line(line: ConditionLine, parts: dict[str, str]) -> LineShown:
    return LineShown(
        number=line.number,
        term=line.term_words,
        more=line.words,
        where=", ".join(words for words in (parts.get(line.part, ""), line.where) if words),
        extent=extent_words(line.extent_mm),
        severity=SEVERITY[line.severity].lower(),
        stability=STABILITY[line.stability].lower(),
        freshness=FRESHNESS[line.freshness].lower(),
        photo_id=line.photo_id,
    )


def findings_of(job: Job) -> list[FindingShown]:
    """What was found after the note was signed, oldest first. One query."""
    return findings_by_job([job.pk]).get(job.pk, [])


def findings_by_job(jobs: Iterable[int]) -> dict[int, list[FindingShown]]:
    """The same of several jobs, by job id. One query."""
    shown: dict[int, list[FindingShown]] = {}
    for one in Finding.objects.filter(job__in=list(jobs)).select_related("by").order_by("at", "pk"):
        shown.setdefault(one.job_id, []).append(FindingShown(one.words, one.by.short, one.at, one.photo_id))
    return shown


def extent_words(extent: Decimal | None) -> str:
    """“33 mm”, or nothing."""
    return "" if extent is None else mm_words(extent)
