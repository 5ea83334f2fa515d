"""Writing letters down, taking them back, telling by hand. Sending again: again.py; sending itself: sending.py."""

import secrets
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction

from jobs.book.models import Entry, Job, Party
from jobs.book.nudge import nudge
from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.links.models import Link
from jobs.links.reads import Opened, Why
from jobs.links.steps import link_for, renew
from jobs.papers.models import Paper
from jobs.updates.letters import Letter
from jobs.updates.models import Message
from jobs.updates.quiet import is_quiet
from jobs.updates.reads import News
from shop.people.models import Person
from shop.prepared import Prepared

FRESH_EVERY = timedelta(minutes=10)
FRESH_A_DAY = 5
HOWS = {"telephone": "by telephone", "post": "by post", "person": "in person"}


def new_message_id() -> str:
    """A Message-ID (RFC 5322 §3.6.4), made once and kept through every try, so that a double can be recognised."""
    return f"<{secrets.token_hex(16)}@{settings.MAIL_DOMAIN}>"


def write_letter(
    letter: Letter,
    *,
    party: Party,
    job: Job | None,
    entry: Entry,
    due_at: datetime,
    paper: Paper | None = None,
) -> Message:
    """Store a letter of an entry, once. By e-mail where there is an address, else for the desk to tell by hand.

    Call inside a transaction. While `quiet()` it is kept as told at the entry's own time and nothing goes out.
    """
    before = _stored.first(entry.pk, party.pk, letter.kind)
    if before is not None:
        return before
    link: Link | None = None
    if letter.linked and job is not None:
        link = link_for("owner", job_id=job.pk, party_id=party.pk, at=entry.at)
    state = "due" if party.email else "byhand"
    if is_quiet():
        state = "sent" if party.email else "told"
    message = Message.objects.create(
        entry=entry,
        party=party,
        kind=letter.kind,
        job=job,
        channel="email" if party.email else "hand",
        address=party.email or party.phone,
        subject=letter.subject,
        body=letter.body,
        link=link,
        paper=paper,
        message_id=new_message_id(),
        state=state,
        made_at=entry.at,
        due_at=due_at,
        sent_at=entry.at if is_quiet() else None,
    )
    if state == "due" and due_at <= entry.at:
        nudge("updates.sweep")
    return message


_stored = Prepared(lambda entry, party, kind: Message.objects.filter(entry=entry, party=party, kind=kind))


def drop_letters_of(entry: Entry, *, at: datetime) -> bool:
    """Take back the unsent letters of an entry, inside the caller's transaction. False when one has gone out."""
    # locked first, so that no worker claims one between the look and the change
    states = set(Message.objects.select_for_update(no_key=True).filter(entry=entry).values_list("state", flat=True))
    if states - {"due", "byhand", "failed", "dropped"}:
        return False
    Message.objects.filter(entry=entry).exclude(state="dropped").update(state="dropped", seen_at=at)
    return True


def drop_overtaken(news: Iterable[News], *, before: Entry, at: datetime) -> None:
    """News of an earlier stage that nobody has been told yet is not told any more once there is newer news."""
    waits = ("due", "byhand")
    old = [one.pk for one in news if one.state in waits and one.entry is not None and one.entry < before.pk]
    if old:
        # a worker may have claimed one since: that one is told
        Message.objects.filter(pk__in=old, state__in=waits).update(state="dropped", seen_at=at)


def tell(message: Message, *, how: str, by: Person, at: datetime) -> None:
    """Write down that a letter was told by hand: by telephone, by post or in person. Twice is the same as once."""
    if how not in HOWS:
        raise Refused("Say how it was told: by telephone, by post or in person.")
    with transaction.atomic():
        held = Message.objects.select_for_update(of=("self",), no_key=True).select_related("job").get(pk=message.pk)
        if held.state == "told":
            return
        if held.state not in {"byhand", "failed", "perhaps"}:
            raise Refused("This letter goes by e-mail by itself. Look at the list again.")
        held.state, held.told_how, held.sent_at, held.seen_by, held.seen_at = "told", how, at, by, at
        held.save(update_fields=["state", "told_how", "sent_at", "seen_by", "seen_at"])
        record("letter.told", by=by, at=at, job=held.job, data={"message": held.pk, "how": how})


def arrived(message: Message, *, by: Person, at: datetime) -> None:
    """Somebody has asked: a letter that was perhaps sent did arrive."""
    with transaction.atomic():
        if Message.objects.filter(pk=message.pk, state="perhaps").update(
            state="sent", sent_at=message.claimed_at or at, seen_by=by, seen_at=at, failure=""
        ):
            record("letter.arrived", by=by, at=at, job=message.job, data={"message": message.pk})


def ask_fresh_link(opened: Opened, *, at: datetime) -> None:
    """Have a fresh link sent to the address on file, if the token was ours and not asked for too often.

    Says nothing about it: whoever holds an old address learns neither whether it was a link nor where the letter goes.
    """
    link = opened.link
    if link is None or opened.why is Why.SHUT:
        return
    with transaction.atomic():
        job = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=link.job_id)
        asked = Entry.objects.filter(action="link.asked", job=job, data__link=link.pk)
        if (
            asked.filter(at__gt=at - FRESH_EVERY).exists()
            or asked.filter(at__gt=at - timedelta(days=1)).count() >= FRESH_A_DAY
        ):
            return
        if opened.why is Why.RAN_OUT:
            renew(link, at=at)
        record("link.asked", by=None, at=at, job=job, data={"link": link.pk, "party": link.party_id})
