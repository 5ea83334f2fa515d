"""What owners ask instead of answering, and who has seen it."""

from datetime import datetime, timedelta

from django.db import transaction

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.estimates.models import Question
from shop.people.models import Person

ASKS_A_DAY = 20


def ask(job: Job, *, party: Party, words: str, at: datetime, key: str = "") -> Question:
    """Keep an owner's question for the desk. At most twenty a day from one party."""
    words = words.strip()
    if not words:
        raise Refused("Write your question first.")
    if len(words) > 2000:
        raise Refused("That is longer than 2,000 letters. Say it in fewer, or telephone us.")
    with transaction.atomic():
        pressed = press(key, "question.ask", at=at) if key else None
        lately = Question.objects.filter(job=job, party=party, at__gt=at - timedelta(days=1))
        if lately.count() >= ASKS_A_DAY:
            raise Refused("We have many questions from you today and will answer them. Please telephone us.")
        asked = Question.objects.create(job=job, party=party, words=words, at=at)
        record("question.asked", by=None, at=at, job=job, data={"question": asked.pk, "party": party.pk})
        if pressed is not None:
            keep(pressed, question=asked.pk)
    return asked


def seen(question: Question, *, by: Person, at: datetime) -> None:
    """Someone of the shop has dealt with a question. Twice is the same as once."""
    with transaction.atomic():
        if Question.objects.filter(pk=question.pk, seen_at__isnull=True).update(seen_at=at, seen_by=by):
            record("question.seen", by=by, at=at, job=question.job, data={"question": question.pk})
