"""A second check and what follows from it, in one press and one transaction."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from jobs.bench.checks import check
from jobs.bench.models import Check
from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.moves.steps import move
from shop.people.models import Person


def judge(
    job: Job,
    *,
    ticks: Mapping[str, str],
    here: set[int],
    back_to: Stage | None,
    words: str,
    by: Person,
    at: datetime,
    seen: int,
    key: str,
) -> Check:
    """Pass the second check (`back_to` None), or send the job back there with what and why.

    Raises what `check` and `move` raise; then neither has happened.
    """
    with transaction.atomic():
        made = check(job, ticks=ticks, here=here, passed=back_to is None, words=words, by=by, at=at, key=key)
        if back_to is not None:
            move(job.pk, back_to, by=by, at=at, seen=seen, reason=words)
    return made
