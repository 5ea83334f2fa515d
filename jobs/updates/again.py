"""Letters that went to the wrong address: putting the address right, and sending again what went astray."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import Q, QuerySet

from jobs.book.corrections import correct_party
from jobs.book.models import Correction, Party
from jobs.book.nudge import nudge
from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.links.models import Link
from jobs.links.reads import STAYS, ends_at
from jobs.links.steps import renew
from jobs.updates.models import Message
from jobs.updates.steps import new_message_id
from shop.people.models import Person

WENT = ("sent", "perhaps", "failed")


def correct_owner(
    party_id: int, wanted: Mapping[str, str], *, seen: Mapping[str, str], by: Person, at: datetime, region: str = "GB"
) -> list[Correction]:
    """Put a party's name, e-mail, telephone or address right (as `correct_party`), and what hangs on it.

    Every link that was sent to the old e-mail stops: a stranger may hold it. Letters not sent yet go to the new one.
    """
    with transaction.atomic():
        made = correct_party(party_id, wanted, seen=seen, by=by, at=at, region=region)
        for one in made:
            if one.what == "email" and one.before:
                _stop_links(party_id, one.before, at=at)
            if one.what in {"email", "phone"} and one.before:
                _turn_waiting(Party.objects.get(pk=party_id), one.before)
    return made


def _stop_links(party_id: int, before: str, *, at: datetime) -> None:
    written = Message.objects.filter(party=party_id, address=before, link__isnull=False)
    held = Link.objects.select_related("job").filter(pk__in=written.values("link"), closed_at__isnull=True)
    for link in held:
        end = ends_at(link)
        if end is None or end > at:
            renew(link, at=at)


def _turn_waiting(party: Party, before: str) -> None:
    waiting = Message.objects.filter(party=party, address=before)
    waiting.filter(state="byhand").update(address=party.email or party.phone)
    if party.email:
        waiting.filter(state="due").update(address=party.email)
    else:
        waiting.filter(state="due").update(address=party.phone, channel="hand", state="byhand")


def astray(party: Party, *, at: datetime) -> QuerySet[Message]:
    """Letters on open or lately closed jobs that went to another e-mail than the party has now. One query."""
    if not party.email:
        return Message.objects.none()
    alive = Q(job__closed_at__isnull=True) | Q(job__closed_at__gt=at - STAYS)
    went = Message.objects.filter(alive, party=party, channel="email", state__in=WENT, sent_again__isnull=True)
    return went.exclude(address=party.email).select_related("job", "link").order_by("made_at", "pk")


def send_again(message: Message, *, by: Person, at: datetime, address: str = "") -> Message:
    """Send a letter again that failed, was perhaps sent, or went to an address that was wrong.

    To the same address it is the same letter: same row, same Message-ID, so that a mail program that has it already can
    tell. To a corrected address it is a new row; the party's e-mail is corrected too, and the link in the first letter
    stops, since a stranger may hold it.
    """
    address = address.strip().lower()
    with transaction.atomic():
        held = (
            Message.objects.select_for_update(of=("self",), no_key=True)
            .select_related("job", "party", "link")
            .get(pk=message.pk)
        )
        address = address or held.party.email or held.address
        _may_go_again(held, address)
        if address == held.address:
            _due_again(held, at=at)
            sent, corrected = held, False
        else:
            correct_owner(held.party_id, {"email": address}, seen={}, by=by, at=at)
            sent, corrected = _readdressed(held, address, by=by, at=at), True
        data = {"message": sent.pk, "was": held.pk, "corrected": corrected}
        record("letter.again", by=by, at=at, job=held.job, data=data)
        nudge("updates.sweep")
    return sent


def send_astray(party: Party, *, by: Person, at: datetime) -> int:
    """Send everything again that went to an address the party does not have any more. Returns how many letters."""
    with transaction.atomic():
        found = list(astray(party, at=at))
        for letter in found:
            send_again(letter, by=by, at=at)
    return len(found)


def _may_go_again(held: Message, address: str) -> None:
    if held.sent_again.exists():
        raise Refused("This letter was sent again already. Look at the list again.")
    if held.state in {"failed", "perhaps"}:
        return
    if held.state != "sent":
        raise Refused("This letter is not waiting to be sent again. Look at the list again.")
    if address == held.address:
        raise Refused("This letter went to that address. Put the e-mail right first, then send it again.")


def _due_again(held: Message, *, at: datetime) -> None:
    held.state, held.due_at, held.tries, held.claimed_at, held.failure = "due", at, 0, None, ""
    held.save(update_fields=["state", "due_at", "tries", "claimed_at", "failure"])


def _readdressed(held: Message, address: str, *, by: Person, at: datetime) -> Message:
    held.seen_by, held.seen_at = by, at
    held.save(update_fields=["seen_by", "seen_at"])
    return Message.objects.create(
        job=held.job,
        party=held.party,
        kind=held.kind,
        channel="email",
        address=address,
        subject=held.subject,
        body=held.body,
        link=held.link,
        paper=held.paper,
        message_id=new_message_id(),
        made_at=at,
        due_at=at,
        again_of=held,
    )
