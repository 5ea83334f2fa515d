"""What the job page and the letters page show of letters."""

from dataclasses import dataclass
from datetime import datetime

from jobs.book.models import Job
from jobs.estimates.models import Question
from jobs.estimates.reads import open_questions
from jobs.updates.letters import LINK
from jobs.updates.models import Message
from jobs.updates.on_paper import Call, calls_in
from jobs.updates.reads import by_hand, lately_told, not_sent, tried_again
from jobs.updates.sending import filled

SHOWN = 40
_NO_LINK = "(the owner’s own link stands here)"


@dataclass(frozen=True, slots=True)
class LetterLine:
    """One letter."""

    subject: str
    to: str
    state: str
    at: datetime
    failure: str


@dataclass(frozen=True, slots=True)
class LettersPage:
    """Everything the desk has to do about letters, and what went out lately."""

    questions: list[Question]
    by_hand: list[Call]
    not_sent: list[Message]
    tried_again: list[Message]
    told: list[Message]

    @property
    def to_post(self) -> list[int]:
        """Letters that wait and have an address to be posted to."""
        return [call.letter.pk for call in self.by_hand if call.can_be_posted]

    @property
    def sentence(self) -> str:
        """“2 questions, 3 to tell by hand, 1 not sent.”"""
        counts = (
            (len(self.questions), "question", "questions"),
            (len(self.by_hand), "to tell by hand", "to tell by hand"),
            (len(self.not_sent), "not sent for certain", "not sent for certain"),
        )
        said = [f"{count} {one if count == 1 else many}" for count, one, many in counts if count]
        return f"{', '.join(said)}." if said else "Nothing waits for you."


def letters_part(job: Job) -> list[LetterLine]:
    """Newest first. One query."""
    letters = Message.objects.filter(job=job).select_related("party").order_by("-made_at", "-pk")
    return [
        LetterLine(
            letter.subject,
            letter.party.name,
            letter.get_state_display(),
            letter.sent_at or letter.due_at,
            letter.failure,
        )
        for letter in letters
    ]


def letters_page() -> LettersPage:
    """Five queries."""
    return LettersPage(
        questions=open_questions(),
        by_hand=calls_in(by_hand()),
        not_sent=list(not_sent()),
        tried_again=list(tried_again()),
        told=list(lately_told()[:SHOWN]),
    )


def body_to_print(message: Message) -> str:
    """The letter on paper. Only what is told by hand carries the link: a letter by e-mail keeps it to its reader."""
    if message.state in {"byhand", "told"}:
        return filled(message)
    return message.body.replace(LINK, _NO_LINK)
