"""Putting right what was written down wrongly: of a party, of an item, of a job. Both values are always kept."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator, validate_email
from django.db import IntegrityError, transaction

from jobs.book.kinds import CORRECTED, ITEM_KINDS, PARTY_ROLES, title_of
from jobs.book.models import Correction, Item, Job, JobParty, Party
from jobs.book.parties import phone_e164
from jobs.book.refusals import HeldBy, Refused, Stale
from jobs.book.steps import record
from shop.people.models import Person

OF_PARTY = ("name", "email", "phone", "address")
OF_ITEM = ("kind", "size", "title", "labelled", "marks", "asset")
# whoever brought it in signed the note as such, and who plays it is nobody's key: those two stay
CHANGEABLE = ("owner", "payer", "approver", "collector")
_MOST = {"name": 160, "address": 1000, "size": 24, "title": 80, "labelled": 160, "marks": 160, "asset": 40}


def correct_party(
    party_id: int, wanted: Mapping[str, str], *, seen: Mapping[str, str], by: Person, at: datetime, region: str = "GB"
) -> list[Correction]:
    """Put a party's name, e-mail, telephone or address right. Returns what was changed, in the order of OF_PARTY.

    `seen` is what the corrector looked at: where it is no longer what stands there, somebody else was quicker and `Stale`
    says what stands there now. `HeldBy` names the party that has the e-mail or telephone already.
    """
    with transaction.atomic():
        party = Party.objects.select_for_update(no_key=True).get(pk=party_id)
        changes = _changes(
            party, {what: _proper(what, wanted[what], region) for what in OF_PARTY if what in wanted}, seen
        )
        for what, value in changes.items():
            if what in {"email", "phone"} and value:
                _free(party, what, value)
        return _correct(party, changes, by=by, at=at)


def correct_item(
    item_id: int, wanted: Mapping[str, str], *, seen: Mapping[str, str], by: Person, at: datetime
) -> list[Correction]:
    """Put an item's kind, size, title, label text, marks or asset number right. As `correct_party`.

    A title that only said kind and size follows them, unless another was written.
    """
    with transaction.atomic():
        item = Item.objects.select_for_update(no_key=True).get(pk=item_id)
        values = {what: _proper(what, wanted[what], "") for what in OF_ITEM if what in wanted}
        if values.get("kind", item.kind) not in ITEM_KINDS:
            raise Refused("Choose what kind of thing it is.")
        if values.get("title", item.title) == item.title == title_of(item.kind, item.size):
            values["title"] = title_of(values.get("kind", item.kind), values.get("size", item.size))
        return _correct(item, _changes(item, values, seen), by=by, at=at)


def _proper(what: str, value: str, region: str) -> str:
    if what == "address":
        value = "\n".join(line.strip() for line in value.splitlines() if line.strip())
    else:
        value = " ".join(value.split())
    if what == "phone":
        return phone_e164(value, region)
    if what == "email":
        return _address(value)
    if what in {"name", "title"} and not value:
        raise Refused("Write a name first.")
    fitting({what: value})
    return value


def fitting(values: Mapping[str, str]) -> None:
    """Refuse a text that is longer than the book holds."""
    for what, value in values.items():
        if len(value) > _MOST.get(what, len(value)):
            raise Refused(f"The {CORRECTED[what]} is too long. Write it in {_MOST[what]} letters.")


def _address(email: str) -> str:
    email = email.lower()
    if not email:
        return ""
    try:
        MaxLengthValidator(254)(email)
        validate_email(email)
    except ValidationError as fault:
        raise Refused(f"“{email[:80]}” is not an e-mail address. Look at it again.") from fault
    return email


def _changes(thing: Party | Item, wanted: Mapping[str, str], seen: Mapping[str, str]) -> dict[str, str]:
    changes = {}
    for what, value in wanted.items():
        now = getattr(thing, what)
        if value == now:
            continue  # already so, whoever did it
        looked_at = seen.get(what, now)
        # a browser sends lines with CR LF, and only what was touched was meant to be changed
        if value == _lines(looked_at):
            continue
        if _lines(looked_at) != _lines(now):
            raise Stale(_overtaken(thing, what, now))
        changes[what] = value
    return changes


def _lines(value: str) -> str:
    return "\n".join(value.split("\n")).replace("\r", "").strip()


def _overtaken(thing: Party | Item, what: str, now: str) -> str:
    last = thing.corrections.filter(what=what).select_related("by").order_by("-pk").first()
    who = last.by.short if last else "Someone"
    return f"{who} has just changed the {CORRECTED[what]} to “{now or 'nothing'}”. Look again, then choose."


def _free(party: Party, what: str, value: str) -> None:
    other = Party.objects.filter(**{f"{what}__iexact": value}).exclude(pk=party.pk).first()
    if other is not None:
        raise HeldBy(
            f"That {CORRECTED[what]} is written down for {other.name} already. Look at it again, or open {other.name}.",
            party=other.pk,
            name=other.name,
        )


def _correct(thing: Party | Item, changes: Mapping[str, str], *, by: Person, at: datetime) -> list[Correction]:
    if not changes:
        return []
    of = {"party": thing} if isinstance(thing, Party) else {"item": thing}
    made = [
        Correction.objects.create(what=what, before=getattr(thing, what), after=value, by=by, at=at, **of)
        for what, value in changes.items()
    ]
    for what, value in changes.items():
        setattr(thing, what, value)
    try:
        with transaction.atomic():
            thing.save(update_fields=list(changes))
    except IntegrityError as fault:
        # written down for someone else between our look and now
        raise Stale("That was written down for someone else just now. Look again, then choose.") from fault
    for one in made:
        data = {"correction": one.pk, "what": one.what}
        if isinstance(thing, Item):
            record("item.corrected", by=by, at=at, item=thing, data=data)
        else:
            record("party.corrected", by=by, at=at, data={**data, "party": thing.pk})
    return made


def put_on_item(job_id: int, item: Item, *, reason: str, by: Person, at: datetime, seen: int) -> Job:
    """Put an open job on the item it was meant for; the one it was opened on keeps its own past.

    What was found on the thing in hand (condition lines, findings, notes, accessories) is the job's and stays with it.
    Signed papers stay as they are. Call inside a transaction.
    """
    job = locked_open(job_id, seen=seen)
    if not reason.strip():
        raise Refused("Write how it came to the wrong item.")
    if item.pk == job.item_id:
        raise Refused(f"{job.number} is on that item already.")
    was = job.item
    job.item, job.revision = item, job.revision + 1
    job.save(update_fields=["item", "revision"])
    data = {"from": was.pk, "to": item.pk, "reason": reason.strip()[:200]}
    record("job.put_on_item", by=by, at=at, job=job, item=item, data=data)
    # on the other item's own trail as well, without the job: it has nothing to do with it any more
    record("item.job_taken_off", by=by, at=at, item=was, data={**data, "job": job.pk})
    return job


def change_party(
    job_id: int, was: Party, to: Party, roles: Iterable[str], *, reason: str, by: Person, at: datetime, seen: int
) -> Job:
    """Put another party in place of one, in some of its roles on an open job. Call inside a transaction.

    Where the owner changes and the item was written down for the old one, the item changes its owner too.
    """
    job = locked_open(job_id, seen=seen)
    wanted = [role for role in CHANGEABLE if role in set(roles)]
    if not wanted:
        raise Refused("Tick what is to be changed: owner, payer, who may approve, who may collect.")
    if not reason.strip():
        raise Refused("Write how the wrong one came to stand there.")
    if was.pk == to.pk:
        raise Refused(f"That is {to.name} already. Choose someone else.")
    held = {one.role: one for one in JobParty.objects.filter(job=job, party=was)}
    gone = [role for role in wanted if role not in held]
    if gone:
        raise Stale(f"{was.name} is not “{PARTY_ROLES[gone[0]]}” here any more. Look again, then choose.")
    JobParty.objects.filter(job=job, party=was, role__in=wanted).delete()
    # the limit of an approver was meant for the right one
    right = [JobParty(job=job, party=to, role=role, ceiling=held[role].ceiling) for role in wanted]
    JobParty.objects.bulk_create(right, ignore_conflicts=True)
    job.revision += 1
    job.save(update_fields=["revision"])
    data = {"from": was.pk, "to": to.pk, "roles": wanted, "reason": reason.strip()[:200]}
    record("job.party_changed", by=by, at=at, job=job, item=job.item, data=data)
    if "owner" in wanted and job.item.owner_id in {None, was.pk}:
        Item.objects.filter(pk=job.item_id).update(owner=to)
        record("item.owner_changed", by=by, at=at, item=job.item, data={"from": job.item.owner_id, "to": to.pk})
        job.item.owner = to
    return job


def locked_open(job_id: int, *, seen: int) -> Job:
    """An open job with its item, locked. Raises Stale when it is no longer as it was seen, Refused when it is closed."""
    # locked without its item: PostgreSQL drops a row whose join no longer fits once it has waited for it
    job = Job.objects.select_for_update(no_key=True).get(pk=job_id)
    if job.closed_at is not None:
        raise Refused("This job is closed: what it says stays. Open a new one, or write a note.")
    if seen != job.revision:
        raise Stale("This changed in the meantime. Look again, then choose.")
    return job
