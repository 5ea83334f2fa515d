"""What the job page shows of a job's letters."""

from dataclasses import dataclass
from datetime import datetime

from jobs.book.models import Job
from jobs.updates.models import Message


@dataclass(frozen=True, slots=True)
class LetterLine:
    """One letter."""

    subject: str
    to: str
    state: str
    at: datetime
    failure: str


def letters_part(job: Job) -> list[LetterLine]:
    """Newest first. One query."""
    letters = Message.objects.filter(job=job).select_related("party").order_by("-made_at", "-pk")
    return [
        LetterLine(letter.subject, letter.party.name, letter.get_state_display(), letter.sent_at or letter.due_at, letter.failure)
        for letter in letters
    ]
