"""Stage changes that follow from what happened in lower slices."""

from jobs.book.models import Entry, Job
from jobs.book.stages import Stage
from jobs.moves.steps import move

MOVES_ON: dict[str, tuple[frozenset[Stage], Stage]] = {
    "visit.placed": (frozenset({Stage.EXP}), Stage.IN),
    "estimate.sent": (frozenset({Stage.EXA}), Stage.ANS),
    "estimate.approved": (frozenset({Stage.ANS}), Stage.QUE),
    "payment.taken": (frozenset({Stage.ANS}), Stage.QUE),
    "release.signed": (frozenset({Stage.RDY}), Stage.HOME),
}


def follow_moves(entry: Entry) -> None:
    """Hang the job where the entry leads, if it still hangs where that makes sense. The gate decides."""
    if entry.job_id is None:
        return
    from_stages, to = MOVES_ON[entry.action]
    job = Job.objects.get(pk=entry.job_id)
    if job.closed_at is None and Stage(job.stage) in from_stages:
        move(job.pk, to, by=entry.by, at=entry.at, reason="")
