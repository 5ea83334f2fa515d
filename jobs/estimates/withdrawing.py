"""Taking back an answer that was written down wrongly. Both are kept; the estimate waits for its answer again."""

from datetime import datetime

from jobs.book.models import Job
from jobs.book.refusals import Refused, Stale
from jobs.book.steps import record
from jobs.estimates.models import Answer, Estimate, Refusal, Said, WithdrawnAnswer
from shop.people.models import Person


def take_back(job: Job, answer_id: int, *, reason: str, by: Person, at: datetime) -> WithdrawnAnswer:
    """Keep an answer as withdrawn and open its estimate again, inside the caller's transaction and the job's lock.

    Nobody may have worked on it or been sent an invoice for it: `jobs.moves.withdrawing` sees to that.
    """
    reason = " ".join(reason.split())
    if not reason:
        raise Refused("Write what was wrong about the answer.")
    if len(reason) > 200:
        raise Refused("The reason has more than 200 letters. Shorten it.")
    held = Answer.objects.filter(pk=answer_id, estimate__job=job).first()
    if held is None:
        raise Stale("That answer has been taken back already. Look at the page again.")
    if held.how == "link":
        raise Refused(
            "The owner gave this answer by link; nobody of the shop wrote it down. Send a new version instead."
        )
    estimate = Estimate.objects.get(pk=held.estimate_id)
    said = {
        field.attname: getattr(held, field.attname) for field in Said._meta.get_fields() if hasattr(field, "attname")
    }
    kept = WithdrawnAnswer.objects.create(
        **said, estimate=estimate, was=held.pk, reason=reason, withdrawn_by=by, withdrawn_at=at
    )
    held.delete()
    settled = Refusal.objects.filter(estimate=estimate).first()
    if settled is not None:
        settled.delete()  # what was settled stands in its entry
    newer = job.estimates.exclude(state="draft").filter(version__gt=estimate.version).exists()
    estimate.state = "replaced" if newer else "sent"
    estimate.save(update_fields=["state"])
    data = {
        "estimate": estimate.pk,
        "version": estimate.version,
        "answer": kept.was,
        "withdrawn": kept.pk,
        "approved": kept.approved,
        "how": kept.how,
        "party": kept.party_id,
        "option": kept.option.letter if kept.option else "",
        "reason": reason,
    }
    record("answer.withdrawn", by=by, at=at, job=job, data=data)
    return kept
