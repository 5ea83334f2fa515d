"""The door of the sample shop: what is brought in with its note, what is expected, what goes home."""

from dataclasses import replace
from datetime import datetime, timedelta
from hashlib import sha256

from django.db import transaction

from jobs.book.kinds import title_of
from jobs.book.models import Party
from jobs.book.parties import make_item, open_job
from jobs.catalogue.reads import views_for
from jobs.custody.giving import things_of
from jobs.handover.steps import hand_over
from jobs.intake import drafts
from jobs.intake import steps as intake
from jobs.intake.models import Draft
from jobs.intake.sealing import take_in
from jobs.intake.signs import Signs
from jobs.management.demo.book import Told
from jobs.management.demo.orders import began_at, line_key, moments, shots_of, view_key
from jobs.management.demo.sample import FoundRow, PieceRow, VisitRow
from jobs.management.demo.timeline import Event
from jobs.papers.texts import Signed
from jobs.photos.steps import make, receive
from shop.people.models import Person

NO_PHOTO = "this sample was filled without photographs"
NO_CLOSE_UP = "cannot be shown in a picture"


def visit(told: Told, event: Event) -> None:
    """Somebody brings something: a draft, its photographs, both signatures, one sealed note, and its places."""
    row: VisitRow = event.more[0]
    by, depositor = told.people[row.by], told.parties[row.depositor]
    player = told.row(row.pieces[0].job).player
    draft = drafts.Draft(
        depositor=depositor.pk,
        owner=told.owner_of(row.pieces[0].job).pk,
        player=told.parties[player].pk if player else None,
        pieces=tuple(_piece(told, piece) for piece in row.pieces),
    )
    held = intake.begin(by=by, at=began_at(row, event.at), draft=draft)
    _photograph(told, held, row, event.at, by=by)
    held, draft = _accepted(told, held, draft, row, at=event.at - timedelta(minutes=2))
    sealed = take_in(
        draft,
        row=held,
        signs=Signs(
            receiver=told.signed("receiver", by.name, event.at),
            depositor=None if row.unsigned else _signed(told, row, depositor, event.at),
            unsigned=row.unsigned,
        ),
        places={_piece_key(piece.job): told.places[_first_place(told, piece)].pk for piece in row.pieces},
        by=by,
        at=event.at,
        key=told.key(),
    )
    for piece, job in zip(row.pieces, sealed.jobs, strict=True):
        told.jobs[piece.job] = job.pk
        told.items[told.row(piece.job).item] = job.item


def _first_place(told: Told, piece: PieceRow) -> str:
    # what has gone home hung on one hook before
    return piece.place or told.row(piece.job).place or "R1-8"


def _signed(told: Told, row: VisitRow, depositor: Party, at: datetime) -> Signed:
    name = row.signs or (f"for {depositor.name}" if depositor.body else depositor.name)
    return told.signed("depositor", name, at)


def _piece_key(n: int) -> str:
    return sha256(f"sample piece {n}".encode()).hexdigest()[:12]


def _line_key(n: int, place: int) -> str:
    return sha256(f"sample line {n} {place}".encode()).hexdigest()[:12]


def _piece(told: Told, piece: PieceRow) -> drafts.Piece:
    row = told.row(piece.job)
    thing = told.sample.items[row.item]
    known = told.items.get(row.item)
    views, close_ups = shots_of(piece, how_many=told.how_many)
    why = piece.why if told.how_many == "all" else NO_PHOTO
    words, net = row.agreed or ("", "")
    return replace(
        drafts.new_piece(_piece_key(piece.job), thing["kind"], number=told.number(piece.job)),
        item=known.pk if known else None,
        size=thing["size"],
        title=thing.get("title", ""),
        labelled=thing.get("labelled", ""),
        marks=thing.get("marks", ""),
        asset=thing.get("asset", ""),
        job_kind=row.kind,
        work=row.work,
        said=row.said,
        tension=piece.tension,
        agreed_words=words,
        agreed_net=net,
        left=piece.left,
        home=piece.home,
        found=tuple(_line(piece.job, n, line, shot=n in close_ups) for n, line in enumerate(piece.found)),
        nothing_found=not piece.found,
        why_no_view=tuple((view.code, why) for view in views_for(thing["kind"]) if view.code not in views),
        value_answer="stated" if piece.value else "not stated",
        value=piece.value,
        basis=piece.basis,
        own_cover=piece.cover,
    )


def _line(n: int, place: int, line: FoundRow, *, shot: bool) -> drafts.Found:
    return drafts.Found(
        key=_line_key(n, place),
        term=line.term,
        words=line.more,
        part=line.part,
        where=line.where,
        extent=line.mm,
        severity=line.bad,
        stability=line.steady,
        freshness=line.fresh,
        no_photo="" if shot else NO_CLOSE_UP if not line.shot else NO_PHOTO,
    )


def _photograph(told: Told, held: Draft, row: VisitRow, sealed: datetime, *, by: Person) -> None:
    shots = []
    for piece in row.pieces:
        views, close_ups = shots_of(piece, how_many=told.how_many)
        shots += [(view_key(piece.job, view), _piece_key(piece.job), view) for view in views]
        shots += [(line_key(piece.job, n), _line_key(piece.job, n), "") for n in close_ups]
    for (key, slot, view), at in zip(shots, moments(row, sealed, len(shots)), strict=True):
        photo = receive(
            told.photo(key),
            purpose="intake" if view else "line",
            by=by,
            at=at,
            send_key=told.key(),
            sitting=held.key,
            slot=slot,
            view=view,
        )
        make(photo.pk, at=at)


def _accepted(
    told: Told, held: Draft, draft: drafts.Draft, row: VisitRow, *, at: datetime
) -> tuple[Draft, drafts.Draft]:
    """With the head luthier's written yes to what is worth more than the shop's cover."""
    for piece in row.pieces:
        if piece.accepted:
            key = _piece_key(piece.job)
            by, head = told.people[row.by], told.people["S1"]
            held = intake.accept_value(held, key, seen=held.version, by=by, head=head, words=piece.accepted, at=at)
            draft = drafts.from_json(held.data)
    return held, draft


def expect(told: Told, event: Event) -> None:
    """Somebody telephones: a job that is expected, perhaps following another."""
    row, by = told.row(event.job), told.people[event.who]
    owner = told.owner_of(event.job)
    after = told.job(int(event.more[0])) if event.more else None
    thing = told.sample.items.get(row.item)
    kind, size = row.thing or ((thing["kind"], thing["size"]) if thing else ("Ot", ""))
    with transaction.atomic():
        item = told.items.get(row.item) or make_item(
            kind=kind,
            size=size,
            title=title_of(kind, size),
            marks=thing.get("marks", "") if thing else "",
            owner=owner,
            by=by,
            at=event.at,
        )
        job = open_job(
            item=item,
            by=by,
            at=event.at,
            kind=row.kind,
            work=row.work,
            said=row.said,
            linked_to=after,
            number=told.number(event.job),
            roles=[(owner, role) for role in ("owner", "depositor", "payer", "approver", "collector")],
        )
    told.jobs[event.job] = job.pk


def hand(told: Told, event: Event) -> None:
    """Its things ticked one by one, the collector signs, and it goes home."""
    job, owner = told.job(event.job), told.owner_of(event.job)
    name = event.more[0] if event.more else owner.name
    hand_over(
        [job.pk],
        ticked=[thing.key for thing in things_of(job)],
        collector=owner,
        collector_name=name,
        identity_note="known to us",
        signed=told.signed("collector", name, event.at),
        by=told.people[event.who],
        at=event.at,
        key=told.key(),
    )
