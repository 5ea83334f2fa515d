"""Stage changes that follow from what happened in lower slices."""

from jobs.book.models import Entry, Job
from jobs.book.stages import Stage
from jobs.moves.steps import move

_EARLY = frozenset({Stage.IN, Stage.EXA, Stage.ANS})
MOVES_ON: dict[str, tuple[frozenset[Stage], Stage]] = {
    "visit.placed": (frozenset({Stage.EXP}), Stage.IN),
    "estimate.sent": (frozenset({Stage.EXA}), Stage.ANS),
    "estimate.approved": (frozenset({Stage.ANS}), Stage.QUE),
    "payment.taken": (frozenset({Stage.ANS, Stage.IN}), Stage.QUE),
    "refusal.settled": (_EARLY, Stage.RDY),
    "invoice.issued": (_EARLY, Stage.RDY),
    "answer.withdrawn": (frozenset({Stage.QUE, Stage.BEN, Stage.RDY}), Stage.ANS),
    "release.signed": (frozenset({Stage.RDY}), Stage.HOME),
}


def follow_moves(entry: Entry) -> None:
    """Hang the job where the entry leads, if it still hangs where that makes sense. The gate decides."""
    if entry.job_id is None:
        return
    from_stages, to = MOVES_ON[entry.action]
    if entry.action == "refusal.settled" and entry.data["reassemble"]:
        to = Stage.QUE
    reason = "the answer was taken back" if entry.action == "answer.withdrawn" else ""
    job = Job.objects.get(pk=entry.job_id)
    if job.closed_at is None and Stage(job.stage) in from_stages:
        move(job.pk, to, by=entry.by, at=entry.at, reason=reason)
