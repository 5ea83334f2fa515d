"""Sending letters: claim one, hand it to the mail server, write down what happened.

A letter is claimed by a conditional UPDATE (due → sending), so two workers never send the same one. No transaction is
open while the server is spoken to. When it cannot be known whether a letter is out, it is “perhaps sent” and is never
sent again by itself: the desk decides.
"""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from email.utils import formataddr, parseaddr

from django.conf import settings
from django.core.mail import EmailMessage
from django.db.models import F, Q, QuerySet

from jobs.links.reads import address_of
from jobs.papers.reads import DamagedFileError, file_name, read_pdf
from jobs.updates.letters import LINK
from jobs.updates.models import Message
from jobs.updates.outcome import Outcome, Post, next_try
from shop.packing.reads import is_a_copy
from shop.profile.models import Profile
from shop.profile.reads import profile

log = logging.getLogger(__name__)
Clock = Callable[[], datetime]
LOST_AFTER = timedelta(minutes=2)
BATCH = 20
_STOPPED = "The sender stopped between handing the letter over and writing that down. It may have arrived: ask before sending again."


def sweep(*, clock: Clock, post: Post | None = None, most: int = 500) -> int:
    """Send what is due, over one connection. Returns how many went out. Any number of workers may do this at once.

    A shop that was put back from a safe copy sends nothing until somebody says that it is the shop now.
    """
    if is_a_copy():
        return 0
    perhaps(at=clock())
    _unprintable(at=clock())
    post = post or Post()
    sent = looked_at = 0
    try:
        while looked_at < most:
            ids = list(_due(clock()).order_by("due_at", "pk").values_list("pk", flat=True)[:BATCH])
            if not ids:
                break
            away = post.open()
            if away is not None:
                _put_off(ids, away, at=clock())
                break
            shop = profile()
            sent += sum(send(pk, shop=shop, post=post, clock=clock) for pk in ids)
            looked_at += len(ids)
    finally:
        post.close()
    return sent


def _due(at: datetime) -> QuerySet[Message]:
    printed = Q(paper__isnull=True) | Q(paper__state="made")
    return Message.objects.filter(printed, state="due", due_at__lte=at)


def send(message_id: int, *, shop: Profile, post: Post, clock: Clock) -> bool:
    """Send one letter if it is still due and nobody else has it. True when the server took it."""
    claimed = clock()
    if not Message.objects.filter(pk=message_id, state="due", due_at__lte=claimed).update(
        state="sending", claimed_at=claimed, tries=F("tries") + 1
    ):
        return False
    message = Message.objects.select_related("link", "link__job", "paper", "party").get(pk=message_id)
    if _goes_elsewhere(message, claimed=claimed):
        return False
    try:
        letter = as_email(message, shop)
    except (DamagedFileError, ValueError) as fault:
        outcome = Outcome("failed", f"The letter could not be made up: {fault}")
    else:
        outcome = post.hand_over(letter)
    _write_down(message, outcome, claimed=claimed, at=clock())
    return outcome.state == "sent"


def _goes_elsewhere(message: Message, *, claimed: datetime) -> bool:
    """Whether the address was put right while the letter was with us or waited for another try: it waits again, for the new one."""
    party = message.party
    if message.address.lower() == party.email.lower():
        return False
    to = {"address": party.email} if party.email else {"address": party.phone, "channel": "hand"}
    Message.objects.filter(pk=message.pk, state="sending", claimed_at=claimed).update(
        **to, state="due" if party.email else "byhand", claimed_at=None, tries=message.tries - 1
    )
    return True


def as_email(message: Message, shop: Profile) -> EmailMessage:
    """The letter as it goes out: link filled in, paper beside it. Raises DamagedFileError when the paper cannot be read."""
    letter = EmailMessage(
        subject=message.subject,
        body=filled(message),
        from_email=formataddr((shop.name, parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        to=[message.address],
        reply_to=[shop.email] if shop.email else None,
        headers={"Message-ID": message.message_id, "Auto-Submitted": "auto-generated"},
    )
    if message.paper is not None:
        letter.attach(file_name(message.paper), read_pdf(message.paper), "application/pdf")
    return letter


def filled(message: Message) -> str:
    """The body with the secret link in its place. For the letter itself and its print only."""
    return message.body.replace(LINK, address_of(message.link)) if message.link else message.body


def _write_down(message: Message, outcome: Outcome, *, claimed: datetime, at: datetime) -> None:
    # what the sender knows goes before what a sweep guessed meanwhile; a letter somebody sent again is left alone
    ours = Message.objects.filter(pk=message.pk, claimed_at=claimed, state__in=("sending", "perhaps"))
    if outcome.state == "sent":
        ours.update(state="sent", sent_at=at, failure="")
    elif outcome.state == "later" and (then := next_try(message.tries, at)) is not None:
        ours.update(state="due", due_at=then, claimed_at=None, failure=outcome.words[:300])
    else:
        state = "perhaps" if outcome.state == "perhaps" else "failed"
        ours.update(state=state, failure=outcome.words[:300])


def _put_off(ids: list[int], away: Outcome, *, at: datetime) -> None:
    """The mail server cannot be reached: these letters wait, each by its own count of tries."""
    for message in Message.objects.filter(pk__in=ids, state="due"):
        then = next_try(message.tries + 1, at)
        change = {"state": "due", "due_at": then} if then else {"state": "failed"}
        Message.objects.filter(pk=message.pk, state="due", tries=message.tries).update(
            **change, tries=message.tries + 1, failure=away.words[:300]
        )


def perhaps(*, at: datetime) -> int:
    """Letters whose sender stopped midway: nobody can know, the desk is shown them."""
    lost = Message.objects.filter(state="sending", claimed_at__lt=at - LOST_AFTER)
    return lost.update(state="perhaps", failure=_STOPPED)


def _unprintable(*, at: datetime) -> None:
    stuck = Message.objects.filter(state="due", due_at__lte=at, paper__state="failed").select_related("paper")
    for message in stuck:
        why = f"Its paper could not be printed: {message.paper.failure if message.paper else ''} Print it, then send again."
        Message.objects.filter(pk=message.pk, state="due").update(state="failed", failure=why[:300])
