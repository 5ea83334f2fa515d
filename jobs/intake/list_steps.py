"""Writing a draft of price-list work: counting, telling pieces apart, numbering them to be read, taking in fully after all."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime

from jobs.book.models import Item, Job
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.book.steps import next_job_number
from jobs.catalogue.reads import words_for
from jobs.intake import drafts
from jobs.intake.counting import apart, as_known, in_full, repriced, with_counts, with_marks, with_reasons
from jobs.intake.models import Draft
from jobs.intake.priced import PHOTO_REASON
from jobs.intake.prices import by_code, offered
from jobs.intake.steps import Change, new_key, save
from shop.people.models import Person
from shop.typed import whole


def write(row: Draft, typed: Mapping[str, str], *, seen: int | None, by: Person, at: datetime) -> Draft:
    """Keep what the page holds: numbers, marks, what is left, which of the owner's things they are. Prices are today's.

    Raises Refused for what is no number, for too many, and Stale for another version.
    """

    def change(draft: drafts.Draft) -> drafts.Draft:
        draft = with_marks(draft, typed)
        for piece in draft.pieces:
            said = typed.get(f"item-{piece.key}")
            if said is not None:
                draft = as_known(draft, piece.key, _known(draft, whole(said)))
        return with_counts(draft, typed, offered(draft, at=at), new_key)

    return save(row, _priced(change, at), seen=seen, by=by, at=at)


def put_apart(row: Draft, piece: str, code: str, *, seen: int | None, by: Person, at: datetime) -> Draft:
    """One work of a piece is for another of its kind."""

    def change(draft: drafts.Draft) -> drafts.Draft:
        if piece not in {one.key for one in draft.pieces}:
            raise Refused("That item is not in the list any more. Look again.")
        return apart(draft, piece, code, new_key())

    return save(row, _priced(change, at), seen=seen, by=by, at=at)


def to_be_read(row: Draft, *, seen: int | None, by: Person, at: datetime) -> Draft:
    """Give every piece its job number, so that the note can be read and signed. Doing it twice is the same as once."""

    def change(draft: drafts.Draft) -> drafts.Draft:
        numbered = tuple(
            piece if piece.number else replace(piece, number=next_job_number(at)) for piece in draft.pieces
        )
        return replace(draft, pieces=numbered)

    return save(row, _priced(change, at), seen=seen, by=by, at=at)


def take_in_fully(row: Draft, *, seen: int | None, by: Person, at: datetime) -> Draft:
    """It needs a closer look: on with all eight steps, the list and the people kept, nothing agreed."""

    def change(draft: drafts.Draft) -> drafts.Draft:
        full = in_full(draft)
        numbered = tuple(piece if piece.number else replace(piece, number=next_job_number(at)) for piece in full.pieces)
        return replace(full, pieces=numbered)

    return save(row, change, seen=seen, by=by, at=at)


def _priced(change: Change, at: datetime) -> Callable[[drafts.Draft], drafts.Draft]:
    """A change, and after it the prices of today and a reason for every view nobody takes."""

    def changed(draft: drafts.Draft) -> drafts.Draft:
        if not draft.from_list:
            raise Refused("This is taken in step by step. Go on there.")
        draft = change(draft)
        kinds = {piece.kind for piece in draft.pieces}
        views = {
            kind: [view.code for view in words_for("view", kind) if kind in view.needed_for.split()]
            for kind in sorted(kinds)
        }
        return with_reasons(repriced(draft, by_code(offered(draft, at=at))), views, PHOTO_REASON)

    return changed


def _known(draft: drafts.Draft, pk: int) -> dict[str, object]:
    """Fields of a piece that is an item of the owner; {} for one that is new to the book."""
    if not pk:
        return {}
    item = Item.objects.filter(pk=pk, owner=draft.role("owner")).first()
    if item is None:
        raise Refused("That item is not the owner’s. Look again.")
    known: dict[str, object] = {
        "item": item.pk, "size": item.size, "title": item.title, "labelled": item.labelled, "marks": item.marks,
        "asset": item.asset,
    }  # fmt: skip
    expected = Job.objects.filter(item=item, stage=Stage.EXP, closed_at=None, visit=None).order_by("pk").first()
    return known | {"job": expected.pk, "number": expected.number} if expected is not None else known
