"""Sealing the note: the one transaction that turns a draft into a visit, its jobs and a frozen paper; then the places."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.book.models import Item, Job, Party, Visit
from jobs.book.parties import lay_hold, make_item, open_job, take_up
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.steps import keep, press, record
from jobs.condition.lines import NewLine
from jobs.condition.steps import add_lines
from jobs.custody.steps import see, still_open
from jobs.intake import drafts
from jobs.intake.agreeing import agree, queue
from jobs.intake.lacking import amount_of, millimetres_of
from jobs.intake.models import Draft
from jobs.intake.notes import Laid, lay_out, note_text, term_of, with_consent
from jobs.intake.reads import Sitting, sit
from jobs.intake.signs import Signs
from jobs.intake.steps import begin, locked
from jobs.intake.words import NOT_STATED
from jobs.papers.frozen import words_sha256
from jobs.papers.models import Paper
from jobs.papers.steps import Signing, freeze
from jobs.photos.steps import file_with_job
from jobs.tags.reads import live_tag
from jobs.tags.steps import bind
from shop.money import plain
from shop.people.models import Device, Person


@dataclass(frozen=True, slots=True)
class Sealed:
    """What sealing made."""

    visit: Visit
    paper: Paper
    jobs: tuple[Job, ...]


def seal(row: Draft, *, seen: int, seen_sha256: str, signs: Signs, by: Person, at: datetime, key: str) -> Sealed:
    """Seal a complete draft: visit, items, jobs, condition lines, photos, tags, holds and the frozen note, or nothing.

    `seen` and `seen_sha256` are the draft's version and the hash of the words as they were shown to both. Raises Again
    when it was sealed before, Stale when the words changed since, Refused with the first thing that is missing. The PDF
    is printed after commit, see `jobs.papers.steps.print_paper`.
    """
    with transaction.atomic():
        pressed = press(key, "seal", at=at)
        held = Draft.objects.select_for_update(no_key=True).get(pk=row.pk)
        if held.visit_id is not None:
            raise Again({"visit": held.visit_id})
        held = locked(held, None)
        if held.version != seen:
            raise Stale("The text changed after it was read. Read it again, then sign.")
        sitting = sit(held, receiver=by, at=at)
        if sitting.lacks:
            # a list that came into force meanwhile is another text than the one both have read
            raise (Stale if sitting.draft.from_list else Refused)(sitting.lacks[0].words)
        shown = note_text(sitting.draft, sitting.beside)
        if words_sha256(shown) != seen_sha256:
            raise Stale("The text changed after it was read. Read it again, then sign.")
        _check(signs)
        visit = Visit.objects.create(
            depositor=sitting.parties[sitting.draft.role("depositor") or 0],
            received_by=by,
            at=at,
            terms_version=sitting.beside.terms_version,
            photo_use=signs.show_photos,
            unsigned_reason=signs.unsigned[:200],
        )
        laid = lay_out(sitting.draft, sitting.beside)
        jobs = [_open(piece, sitting, visit, laid, by=by, at=at) for piece in sitting.draft.pieces]
        photos = {photo.pk: photo for photo in sitting.photos}
        paper = freeze(
            with_consent(shown, show_photos=signs.show_photos, unsigned=signs.unsigned),
            by=by,
            at=at,
            visit=visit,
            signatures=_signings(signs, visit.depositor, by),
            photos=[photos[one.shot.photo_id] for one in laid],
        )
        if sitting.draft.from_list and not signs.unsigned:
            agree(sitting, jobs, paper, signs, by=by, at=at)
        held.visit = visit
        held.save(update_fields=["visit"])
        data = {"paper": paper.pk, "jobs": [job.pk for job in jobs], "signed": not signs.unsigned}
        record("note.sealed", by=by, at=at, visit=visit, data=data)
        keep(pressed, visit=visit.pk, paper=paper.pk)
    return Sealed(visit, paper, tuple(jobs))


def _check(signs: Signs) -> None:
    if signs.depositor is None and not signs.unsigned.strip():
        raise Refused("Whoever brings it in has not signed. Let them sign, or write down why not.")
    if signs.depositor is not None and signs.depositor.how == "refused" and not signs.unsigned.strip():
        raise Refused("Write down why it is not signed.")
    if len(signs.unsigned) > 200:
        raise Refused("The reason is too long. Write it in 160 letters.")
    if signs.receiver.how == "refused":
        raise Refused("Whoever takes it in must sign.")


def _signings(signs: Signs, depositor: Party | None, by: Person) -> Sequence[Signing]:
    theirs = [Signing(signs.depositor, party=depositor)] if signs.depositor else []
    return [*theirs, Signing(signs.receiver, person=by)]


def _open(
    piece: drafts.Piece, sitting: Sitting, visit: Visit, laid: Sequence[Laid], *, by: Person, at: datetime
) -> Job:
    draft, words = sitting.draft, sitting.words
    owner = sitting.parties[draft.role("owner") or 0]
    item = _item(piece, owner, by=by, at=at)
    roles = [(sitting.parties[pk], role) for role in drafts.ROLES if (pk := draft.role(role)) is not None]
    stated = piece.value_answer == "stated"
    facts: dict[str, Any] = {
        "kind": piece.job_kind,
        "work": piece.work.strip(),
        "said": piece.said.strip(),
        "tension": piece.tension,
        "not_examined": piece.not_examined.strip(),
        "missing_views": _untaken(piece, sitting),
        "value_stated": amount_of(piece.value) if stated else None,
        "value_basis": piece.basis if stated else NOT_STATED,
        "agreed_words": piece.agreed_words.strip(),
        "agreed_net": amount_of(piece.agreed_net) if piece.agreed_net.strip() else None,
        "roles": roles,
        "accessories": piece.accessories,
    }
    if piece.job is not None:
        job = take_up(piece.job, item=item, visit=visit, by=by, at=at, **facts)
    else:
        job = open_job(item=item, visit=visit, by=by, at=at, number=piece.number, **facts)
    shots = {one.shot.slot: one.shot.photo_id for one in laid if not one.shot.view}
    add_lines(job, [_line(found, words.by_code("term"), shots.get(found.key)) for found in piece.found])
    for slot in (piece.key, *(found.key for found in piece.found)):
        file_with_job(sitting.row.key, slot, job=job, by=by, at=at)
    if live_tag(item) is None:
        bind(item, by=by, at=at, job=job)
    if piece.accepted is not None and stated:
        accepted = {"value": plain(amount_of(piece.value), sitting.shop.places), "words": piece.accepted.words}
        head = Person.objects.get(pk=piece.accepted.person)
        record("value.accepted", by=head, at=at, job=job, visit=visit, data=accepted)
    quarantine = words.quarantined(found.term for found in piece.found)
    if quarantine:
        lay_hold(job, "quarantine", ", ".join(quarantine), by=by, at=at)
    return job


def _untaken(piece: drafts.Piece, sitting: Sitting) -> dict[str, str]:
    taken = sitting.seen.taken.get(piece.key, frozenset())
    return {view: why for view, why in piece.reasons.items() if view not in taken}


def _item(piece: drafts.Piece, owner: Party, *, by: Person, at: datetime) -> Item:
    if piece.item is not None:
        return Item.objects.get(pk=piece.item)
    return make_item(
        kind=piece.kind,
        size=piece.size.strip(),
        title=piece.title.strip(),
        labelled=piece.labelled.strip(),
        marks=piece.marks.strip(),
        asset=piece.asset.strip(),
        owner=owner,
        by=by,
        at=at,
    )


def _line(found: drafts.Found, terms: Mapping[str, str], photo_id: int | None) -> NewLine:
    term, more = term_of(found, terms)
    return NewLine(
        term=found.term if found.term in terms else "",
        term_words=term,
        words=more,
        part=found.part,
        where=found.where.strip(),
        extent_mm=millimetres_of(found.extent),
        severity=found.severity,
        stability=found.stability,
        freshness=found.freshness,
        photo_id=photo_id,
    )


def place(row: Draft, places: Mapping[str, int | None], *, by: Person, at: datetime, key: str) -> Visit:
    """Say where each piece of a sealed note hangs (location ids by piece key), and wipe the draft: it is with the book now.

    Raises Again when that was done before.
    """
    with transaction.atomic():
        pressed = press(key, "place", at=at)
        held = Draft.objects.select_for_update(of=("self",), no_key=True).select_related("visit").get(pk=row.pk)
        if held.visit is None:
            raise Refused("The note is not sealed yet. Seal it first, then say where it hangs.")
        if held.placed_at is not None:
            raise Again({"visit": held.visit.pk})
        jobs = {job.number: job for job in held.visit.jobs.select_related("item")}
        found = still_open([pk for pk in places.values() if pk is not None])
        draft = drafts.from_json(held.data)
        for piece in draft.pieces:
            job, location = jobs[piece.number], found.get(places.get(piece.key) or 0)
            if location is None:
                raise Refused(f"Choose where {job.number}, {piece.name.lower()}, hangs.")
            see(job.item, location, by=by, at=at, how="intake", job=job)
            record("visit.placed", by=by, at=at, job=job, visit=held.visit, data={"location": location.pk})
            if draft.from_list:
                queue(job, by=by, at=at)
        held.placed_at, held.data = at, {}
        held.save(update_fields=["placed_at", "data"])
        keep(pressed, visit=held.visit.pk)
    return held.visit


def take_in(
    draft: drafts.Draft,
    *,
    signs: Signs,
    places: Mapping[str, int | None],
    by: Person,
    at: datetime,
    key: str,
    row: Draft | None = None,
    device: Device | None = None,
) -> Sealed:
    """A whole intake at one moment: begin (or go on with `row`, whose key the photos name), seal, place.

    `draft` must be complete: every piece has its number, needed views have a photo in the sitting or a reason.
    """
    with transaction.atomic():
        held = row or begin(by=by, at=at, device=device)
        held.data, held.saved_at = drafts.to_json(draft), at
        held.save(update_fields=["data", "saved_at"])
        sitting = sit(held, receiver=by, at=at)
        if sitting.lacks:
            raise Refused(sitting.lacks[0].words)
        digest = words_sha256(note_text(draft, sitting.beside))
        sealed = seal(held, seen=held.version, seen_sha256=digest, signs=signs, by=by, at=at, key=key)
        place(held, places, by=by, at=at, key=f"{key}-place")
    return sealed
