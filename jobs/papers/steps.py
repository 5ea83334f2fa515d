"""Freezing a paper in the chain, and making its sealed PDF afterwards."""

import errno
import logging
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import Q

from jobs.book.models import Job, Party, Visit
from jobs.book.nudge import nudge
from jobs.book.refusals import Refused
from jobs.book.steps import next_in, record
from jobs.papers.canonical import sha256
from jobs.papers.frozen import FIRST, Words, frozen, words_sha256
from jobs.papers.models import ChainHead, Paper, PaperPhoto, Signature, paper_store
from jobs.papers.pictures import pictures
from jobs.papers.reads import read_pdf
from jobs.papers.seal import ensure_key, seal
from jobs.papers.signatures import plain
from jobs.papers.texts import NoteText, Signed, moment
from jobs.papers.typeset import typeset
from jobs.photos.models import Photo
from shop.people.models import Person
from shop.profile.reads import profile

log = logging.getLogger(__name__)
TRIES = 5
LOST_AFTER = timedelta(minutes=3)  # a worker that died; printing takes well under a second
PAUSE = timedelta(seconds=30)  # times the tries so far
_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EROFS})
_LETTERS = {
    "note": "N",
    "estimate": "E",
    "agreement": "A",
    "invoice": "I",
    "credit": "C",
    "receipt": "R",
    "takings": "D",
    "release": "G",
}


@dataclass(frozen=True, slots=True)
class Signing:
    """A signature and whose it is: a party on the owner's side, or a person of the shop."""

    signed: Signed
    party: Party | None = None
    person: Person | None = None


def freeze(
    words: Words,
    *,
    by: Person | None,
    at: datetime,
    job: Job | None = None,
    visit: Visit | None = None,
    also: Sequence[Job] = (),
    signatures: Sequence[Signing | Signed] = (),
    photos: Iterable[Photo] = (),
    number: str = "",
    seen_sha256: str = "",
) -> Paper:
    """Freeze words and signatures as the next paper of the book, inside the caller's transaction.

    A paper over several jobs is given them as `also`, and no `job`. `number` is given for what has its own series
    (invoices), else the next of the kind: "N26-0012". `seen_sha256` is
    `words_sha256(words)` as it was shown before signing; when the words changed since, the step is refused.
    A signature comes bare or as a `Signing` that says whose it is. `photos` are those the words name. The PDF is made
    after commit, see `print_paper`. At most 22 statements.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("A paper is frozen in the transaction of what it says.")
    if seen_sha256 and seen_sha256 != words_sha256(words):
        raise Refused("The text changed after it was read. Look at it again, then sign.")
    laid = {photo.sha256: photo for photo in photos}
    signings = [one if isinstance(one, Signing) else Signing(one) for one in signatures]
    if isinstance(words, NoteText) and {one.sha256 for one in words.pictures} != laid.keys():
        raise ValueError("A note names exactly the photos it is given.")
    ChainHead.objects.get_or_create(pk=1)
    head = ChainHead.objects.select_for_update(no_key=True).get(pk=1)
    number = number or f"{_LETTERS[words.KIND]}{at:%y}-{next_in(f'paper-{words.KIND}-{at:%Y}'):04}"
    held = frozen(
        words,
        number=number,
        position=head.position + 1,
        previous=head.sha256 or FIRST,
        at=moment(at, profile().zone),
        signatures=[one.signed for one in signings],
    )
    paper = Paper.objects.create(
        kind=words.KIND,
        number=number,
        job=job,
        visit=visit,
        text=held.data.decode(),
        text_sha256=held.sha256,
        previous_sha256=head.sha256 or FIRST,
        position=head.position + 1,
        at=at,
        by=by,
    )
    paper.also.set(also)
    head.position, head.sha256 = paper.position, held.sha256
    head.save(update_fields=["position", "sha256"])
    PaperPhoto.objects.bulk_create(PaperPhoto(paper=paper, photo=one, sha256=key) for key, one in laid.items())
    Signature.objects.bulk_create(_row(paper, one, at) for one in signings)
    record(
        "paper.frozen",
        by=by,
        at=at,
        job=job,
        visit=visit,
        data={"paper": paper.pk, "kind": paper.kind, "number": number},
    )
    nudge("papers.print", paper.pk)
    return paper


def _row(paper: Paper, one: Signing, at: datetime) -> Signature:
    signed = one.signed
    return Signature(
        paper=paper,
        role=signed.role,
        name=signed.name,
        party=one.party,
        person=one.person,
        strokes=plain(signed.strokes),
        how=signed.how,
        reason=signed.reason,
        witness=signed.witness,
        at=datetime.fromisoformat(signed.at) if signed.at else at,
        device_at=datetime.fromisoformat(signed.device_at) if signed.device_at else None,
    )


def print_paper(paper_id: int, *, at: datetime) -> bytes | None:
    """Make, seal and keep a paper's PDF, once. Returns its bytes, or None while another is making it or it failed.

    May be called from a page right after commit, by the worker, or by both at once: one of them makes the file.
    Typesetting and sealing (about 50 ms) happen outside any transaction.
    """
    claimed = (
        Paper.objects.filter(pk=paper_id)
        .filter(Q(state="due") | Q(state="making", claimed_at__lt=at - LOST_AFTER))
        .update(state="making", claimed_at=at)
    )
    paper = Paper.objects.get(pk=paper_id)
    if not claimed:
        return read_pdf(paper) if paper.state == "made" else None
    try:
        return _made(paper, at)
    except Exception as fault:
        # whatever went wrong, the text is safe in the book: it is tried again, and the desk sees why
        log.exception("Paper %s could not be printed", paper_id)
        _put_back(paper, fault)
        return None


def _made(paper: Paper, at: datetime) -> bytes:
    shop = profile()
    key = ensure_key(settings.SHOP_HOME, shop.name, at)
    pdf = typeset(paper.kind, paper.text.encode(), pictures(paper, at=at))
    sealed = seal(pdf, key, reason=f"{paper.get_kind_display()} {paper.number}".capitalize(), at=at)
    name = _stored(f"{paper.at:%Y}/{paper.kind}-{paper.position}-{os.urandom(4).hex()}.pdf", sealed)
    with transaction.atomic():
        kept = Paper.objects.filter(pk=paper.pk, state="making", claimed_at=paper.claimed_at).update(
            state="made", pdf=name, pdf_sha256=sha256(sealed), made_at=at, failure=""
        )
        if kept:
            record(
                "paper.made",
                by=None,
                at=at,
                job=paper.job,
                visit=paper.visit,
                data={"paper": paper.pk, "kind": paper.kind},
            )
    if kept:
        return sealed
    paper_store().delete(name)  # given up for lost and made by another in the meantime
    return read_pdf(Paper.objects.get(pk=paper.pk))


def _stored(name: str, pdf: bytes) -> str:
    try:
        return paper_store().save(name, ContentFile(pdf))
    except OSError:
        paper_store().delete(name)  # a full disk keeps a part of it, which would fill it for good
        raise


def _put_back(paper: Paper, fault: Exception) -> None:
    # a store that is full is no fault of the paper: it is printed once there is room again
    full = isinstance(fault, OSError) and fault.errno in _NO_ROOM
    tries = paper.tries if full else paper.tries + 1
    Paper.objects.filter(pk=paper.pk, state="making", claimed_at=paper.claimed_at).update(
        state="failed" if tries >= TRIES else "due", tries=tries, failure=f"{type(fault).__name__}: {fault}"[:200]
    )


def try_again(paper: Paper, *, by: Person | None, at: datetime) -> None:
    """Let a paper that failed be printed anew."""
    with transaction.atomic():
        if not Paper.objects.filter(pk=paper.pk, state="failed").update(state="due", tries=0, claimed_at=None):
            raise Refused("This paper did not fail: it is printed, or is being printed now.")
        record("paper.again", by=by, at=at, job=paper.job, visit=paper.visit, data={"paper": paper.pk})
        nudge("papers.print", paper.pk)


def reprinted(paper: Paper, *, by: Person, at: datetime) -> None:
    """Write down that a paper was printed once more: always the same sealed file."""
    if paper.state != "made":
        raise Refused("This paper is not printed yet.")
    with transaction.atomic():
        data = {"paper": paper.pk, "kind": paper.kind, "number": paper.number}
        record("paper.reprinted", by=by, at=at, job=paper.job, visit=paper.visit, data=data)


def sweep(*, at: datetime, limit: int = 20) -> int:
    """Print what a lost nudge or a dead worker left lying. Returns how many were tried."""
    rested = Q(tries=0) | Q(claimed_at__isnull=True)
    for tries in range(1, TRIES):
        rested |= Q(tries=tries, claimed_at__lt=at - tries * PAUSE)
    waiting = Q(state="due") & rested | Q(state="making", claimed_at__lt=at - LOST_AFTER)
    lying = list(Paper.objects.filter(waiting).order_by("pk").values_list("pk", flat=True)[:limit])
    for paper_id in lying:
        print_paper(paper_id, at=at)
    return len(lying)
