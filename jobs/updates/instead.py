"""When another party takes a wrong one's place on a job: what the wrong one may no longer open, and who is told instead."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from jobs.book.models import Entry, Job, Party
from jobs.estimates.models import Estimate
from jobs.estimates.reads import MAY_ANSWER, who_answers
from jobs.links.models import Link
from jobs.links.steps import close
from jobs.updates import letters
from jobs.updates.following import follow_updates
from jobs.updates.models import Message
from jobs.updates.reads import about, roles_of, sender_of
from jobs.updates.steps import write_letter
from shop.clock import days_words, local
from shop.people.models import Person
from shop.profile.reads import profile

_UNSENT = ("due", "byhand", "failed")


@dataclass(frozen=True, slots=True)
class Turned:
    """How many letters to the wrong party are not sent any more, and whether its link was shut."""

    dropped: int
    shut: bool


def turn_to(job: Job, was: Party, to: Party, *, entry: Entry, by: Person, at: datetime) -> Turned:
    """Shut the wrong party's link, drop its letters, and tell the right one what is still news. Inside a transaction.

    A link goes with being the owner or approver; the copy of the note stays due to whoever brought it in and signed.
    """
    roles = roles_of(job)
    held = {role for role, party in roles.held if party.pk == was.pk}
    shut = False
    if not held & set(MAY_ANSWER):
        for link in Link.objects.filter(job=job, party=was, closed_at__isnull=True):
            close(link, at=at)
            shut = True
    dropped = _drop(job, was, held, by=by, at=at)
    stages = [one for one in dropped if one.kind.startswith("stage-") and one.entry is not None]
    if stages and stages[-1].entry is not None:
        follow_updates(stages[-1].entry)  # it looks who is to be told now
    _estimate(job, to, entry)
    return Turned(len(dropped), shut)


def _drop(job: Job, was: Party, held: Collection[str], *, by: Person, at: datetime) -> list[Message]:
    # locked first, so that no worker claims one between the look and the change
    waiting = Message.objects.select_for_update(of=("self",), no_key=True).filter(
        job=job, party=was, state__in=_UNSENT, seen_at=None
    )
    due = [
        one
        for one in waiting.select_related("entry").order_by("pk")
        if not (one.kind == "note" and "depositor" in held)
        and not (one.kind in {"invoice", "credit"} and "payer" in held)
    ]
    Message.objects.filter(pk__in=[one.pk for one in due]).update(state="dropped", seen_by=by, seen_at=at)
    return due


def _estimate(job: Job, to: Party, entry: Entry) -> None:
    """An estimate that waits for an answer is news to whoever may answer it now."""
    open_now = Estimate.objects.filter(job=job, state="sent").order_by("-version").first()
    if open_now is None or open_now.expires_on is None or to not in who_answers(job):
        return
    shop = profile()
    if open_now.expires_on < local(entry.at, shop.zone).date():
        return
    letter = letters.estimate(
        about(job, to),
        sender_of(shop),
        options=open_now.options.count(),
        until=days_words(open_now.expires_on),
        version=open_now.version,
    )
    write_letter(letter, party=to, job=job, entry=entry, due_at=entry.at)
