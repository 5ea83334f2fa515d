"""A move as its form asks for it: to rest with an end, or on before the end, in one press and one transaction."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from jobs.bench.rest_reads import asked_of
from jobs.bench.waits import Asked, lay
from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.moves.steps import Moved, move
from shop.people.models import Person
from shop.profile.reads import profile


def hang_to_rest(
    job: Job, asked: Asked, *, by: Person, at: datetime, seen: int | None, key: str, reason: str = ""
) -> Moved:
    """Hang a job on Glue, varnish, settling and say until when. Raises what `lay` and `move` raise; then neither is done."""
    with transaction.atomic():
        # first the wait, then the move: whether a move may be taken back is read from the last entry
        lay(Job.objects.select_for_update(no_key=True).get(pk=job.pk), asked, by=by, at=at, zone=profile().zone)
        return move(job.pk, Stage.CUR, by=by, at=at, seen=seen, key=key, reason=reason)


def move_as_asked(
    job: Job, to: Stage, form: Mapping[str, str], *, by: Person, at: datetime, seen: int, key: str
) -> Moved:
    """A move from a form: `reason`, `anyway` for the head luthier, and what `asked_in` reads of a rest."""
    reason = form.get("reason", "")
    if to is Stage.CUR and form.get("rest"):
        asked = asked_of(job, dict(form.items()), shop=profile(), at=at)
        return hang_to_rest(job, asked, by=by, at=at, seen=seen, key=key, reason=reason)
    return move(job.pk, to, by=by, at=at, seen=seen, key=key, reason=reason, anyway=form.get("anyway") == "1")
