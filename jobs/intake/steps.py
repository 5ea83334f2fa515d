"""Writing a draft: beginning, saving as it is typed, adding pieces, accepting a value, putting it away unsealed."""

import re
import secrets
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from jobs.book.models import Item, Job
from jobs.book.refusals import Refused, Stale
from jobs.book.stages import Stage
from jobs.book.steps import keep, next_job_number, press, record
from jobs.intake import drafts
from jobs.intake.edits import with_acceptance, with_piece
from jobs.intake.lacking import above_cover, amount_of
from jobs.intake.models import Draft
from shop.clock import time_words
from shop.money import plain
from shop.people.models import Device, Person
from shop.people.roles import Act
from shop.profile.reads import profile

KEY = re.compile(r"[0-9a-f]{12}")
Change = Callable[[drafts.Draft], drafts.Draft]


def new_key() -> str:
    """A short key for a piece or a line: 12 letters of hexadecimal."""
    return secrets.token_hex(6)


def begin(
    *, by: Person, at: datetime, device: Device | None = None, key: str = "", draft: drafts.Draft | None = None
) -> Draft:
    """Begin taking in. Raises Again for a second press."""
    with transaction.atomic():
        pressed = press(key, "intake", at=at) if key else None
        row = Draft.objects.create(
            by=by, device=device, made_at=at, saved_at=at, data=drafts.to_json(draft or drafts.Draft())
        )
        record("intake.begun", by=by, at=at, data={"draft": row.pk})
        if pressed is not None:
            keep(pressed, draft=str(row.key))
    return row


def locked(row: Draft, seen: int | None) -> Draft:
    """The draft's row, locked, if it is still open and as it was seen. Call inside a transaction."""
    held = Draft.objects.select_for_update(no_key=True).get(pk=row.pk)
    if held.visit_id is not None:
        raise Refused("This note is sealed. Nothing in it can be changed; what is found later is written beside it.")
    if held.dropped_at is not None:
        raise Refused("This taking in was given up. Begin a new one.")
    if seen is not None and seen != held.version:
        when = time_words(held.saved_at, profile().zone)
        raise Stale(f"This was changed elsewhere at {when}. Open it again, look, then go on.")
    return held


def _write(held: Draft, draft: drafts.Draft, at: datetime) -> Draft:
    data = drafts.to_json(draft)
    if data != held.data:
        held.data, held.version, held.saved_at = data, held.version + 1, at
        held.save(update_fields=["data", "version", "saved_at"])
    return held


def save(row: Draft, change: Change, *, seen: int | None, by: Person, at: datetime) -> Draft:
    """Keep a change at once. `seen` is the version it was made on; another one raises Stale. `by` must hold the draft.

    A change that changes nothing leaves the version as it is.
    """
    with transaction.atomic():
        held = locked(row, seen)
        _mine(held, by)
        return _write(held, change(drafts.from_json(held.data)), at)


def _mine(held: Draft, by: Person) -> None:
    if held.by_id != by.pk and not by.may(Act.OVERRIDE):
        raise Refused("This is not yours to go on with. Ask whoever began it, or the head luthier.")


def add_piece(
    row: Draft,
    *,
    seen: int | None,
    by: Person,
    at: datetime,
    key: str,
    kind: str = "",
    item: Item | None = None,
    job: Job | None = None,
) -> Draft:
    """Put a new item of a kind, or one the book has, on the list and give it its job number.

    An expected job keeps its own number. A number given here is not used again when the taking in is given up.
    """
    with transaction.atomic():
        pressed = press(key, "piece", at=at)
        held = locked(row, seen)
        _mine(held, by)
        piece = _piece(kind, item, job, number=job.number if job else next_job_number(at))
        _write(held, with_piece(drafts.from_json(held.data), piece), at)
        keep(pressed, draft=str(held.key), piece=piece.key)
    return held


def _piece(kind: str, item: Item | None, job: Job | None, *, number: str) -> drafts.Piece:
    if item is None:
        try:
            return drafts.new_piece(new_key(), kind, number=number)
        except KeyError as fault:
            raise Refused("Choose what it is.") from fault
    known = drafts.new_piece(
        new_key(),
        item.kind,
        number=number,
        item=item.pk,
        size=item.size,
        title=item.title,
        labelled=item.labelled,
        marks=item.marks,
        asset=item.asset,
    )
    if job is None:
        return known
    if job.stage != Stage.EXP or job.closed_at is not None or job.item_id != item.pk:
        raise Refused(f"{job.number} is not expected any more. Look at it on the rails first.")
    return replace(known, job=job.pk, job_kind=job.kind, work=job.work, said=job.said)


def accept_value(
    row: Draft, piece_key: str, *, seen: int | None, by: Person, head: Person, words: str, at: datetime
) -> Draft:
    """The head luthier takes a value above the shop's cover, in writing."""
    if not head.may(Act.OVERRIDE):
        raise Refused("Only the head luthier may accept a value above the shop’s cover.")
    if not words.strip():
        raise Refused("Write on what terms it is accepted: where it is kept, and who insures it.")
    with transaction.atomic():
        held = locked(row, seen)
        _mine(held, by)
        draft = drafts.from_json(held.data)
        try:
            piece = draft.piece(piece_key)
        except KeyError as fault:
            raise Refused("That item is not in the list any more.") from fault
        shop = profile()
        if not above_cover(piece, shop.cover_limit):
            raise Refused("The value is within the shop’s cover; nothing has to be accepted.")
        accepted = drafts.Accepted(
            person=head.pk, name=head.name, words=words.strip()[:200], value=piece.value, at=at.isoformat()
        )
        data = {"draft": held.pk, "number": piece.number, "value": plain(amount_of(piece.value), shop.places)}
        record("intake.accepted", by=head, at=at, data=data)
        return _write(held, with_acceptance(draft, piece_key, accepted), at)


def give_up(row: Draft, *, by: Person, at: datetime) -> None:
    """Nothing is taken in after all: what was typed is wiped, the pictures stay private. Twice is the same as once."""
    with transaction.atomic():
        held = Draft.objects.select_for_update(no_key=True).get(pk=row.pk)
        if held.dropped_at is not None:
            return
        if held.visit_id is not None:
            raise Refused("This note is sealed. The job stays in the book.")
        _mine(held, by)
        held.dropped_at, held.data = at, {}
        held.save(update_fields=["dropped_at", "data"])
        record("intake.given_up", by=by, at=at, data={"draft": held.pk})
