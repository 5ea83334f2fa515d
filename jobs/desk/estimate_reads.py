"""What the job page shows of a job's estimates."""

from dataclasses import dataclass
from datetime import date

from jobs.book.models import Job
from jobs.estimates.models import Estimate


@dataclass(frozen=True, slots=True)
class EstimatePart:
    """The newest version; version 0 when none was ever written."""

    version: int = 0
    state: str = ""
    expires_on: date | None = None


def estimate_part(job: Job) -> EstimatePart:
    """One query."""
    newest = Estimate.objects.filter(job=job).order_by("-version").first()
    if newest is None:
        return EstimatePart()
    return EstimatePart(newest.version, newest.get_state_display(), newest.expires_on)
