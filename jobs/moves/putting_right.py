"""Putting a job right that was opened on the wrong item or under the wrong party, and a photo that is on the wrong job."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from jobs.bench.steps import notes_go_along
from jobs.book import corrections
from jobs.book.kinds import ITEM_KINDS
from jobs.book.models import Entry, Item, Job, Party
from jobs.book.parties import make_item
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press
from jobs.condition.steps import findings_go_along
from jobs.custody.steps import see
from jobs.moves.facts import found_of
from jobs.papers.models import PaperPhoto
from jobs.photos import filing
from jobs.photos.models import Photo
from jobs.updates.instead import Turned, turn_to
from shop.people.models import Person


@dataclass(frozen=True, slots=True)
class PutOn:
    """A job on its right item, and in words what is to be done now that the gate looks at that one."""

    job: Job
    words: tuple[str, ...]


def put_on_item(
    job_id: int,
    *,
    item: Item | None,
    new: Mapping[str, str] | None,
    was_away: bool,
    reason: str,
    by: Person,
    at: datetime,
    seen: int,
    key: str,
) -> PutOn:
    """Put a job on an item of the book, or on a new one written down from `new` (kind, size, title, labelled, marks, asset).

    Its photos show the right item from now on; each item keeps its own tag and sightings. `was_away` says that the item it
    was on by mistake is not in the shop. Raises Again, Stale, Refused.
    """
    with transaction.atomic():
        pressed = press(key, "put-on-item", at=at)
        was = corrections.locked_open(job_id, seen=seen).item
        right = item or _written_down(new or {}, owner=was.owner, by=by, at=at)
        job = corrections.put_on_item(job_id, right, reason=reason, by=by, at=at, seen=seen)
        filing.follow_item(job, was)
        if was_away:
            if was.jobs.filter(closed_at__isnull=True).exists():
                raise Refused(f"{was.title} has another open job, so it is here. Leave that unticked.")
            see(was, None, by=by, at=at, how="home")
        keep(pressed, job=job.pk, item=right.pk)
    return PutOn(job, _still_to_do(job, was))


def _written_down(new: Mapping[str, str], *, owner: Party | None, by: Person, at: datetime) -> Item:
    kind = new.get("kind", "")
    if kind not in ITEM_KINDS:
        raise Refused("Choose which item it is, or what kind of thing the new one is.")
    said = {what: " ".join(new.get(what, "").split()) for what in ("size", "title", "labelled", "marks", "asset")}
    corrections.fitting(said)
    return make_item(kind=kind, owner=owner, by=by, at=at, **said)


def _still_to_do(job: Job, was: Item) -> tuple[str, ...]:
    found = found_of(job.pk, frozenset({"has_tag", "has_place"}))
    said = []
    if not found["has_tag"]:
        said.append("It has no tag yet: bind one, and take the other one’s off.")
    else:
        said.append("Hang its own tag on it: the other item keeps the other tag.")
    if not found["has_place"]:
        said.append("Nobody has said where it is.")
    if job.item.owner_id is not None and job.item.owner_id != was.owner_id:
        said.append("It belongs to someone else than the first: look at the people of this job.")
    return tuple(said)


def change_party(
    job_id: int,
    *,
    was: Party,
    to: Party,
    roles: Iterable[str],
    reason: str,
    by: Person,
    at: datetime,
    seen: int,
    key: str,
) -> Turned:
    """Put the right party in a wrong one's place: links of the wrong one are shut, its letters dropped, the right one told."""
    with transaction.atomic():
        pressed = press(key, "change-party", at=at)
        job = corrections.change_party(job_id, was, to, roles, reason=reason, by=by, at=at, seen=seen)
        entry = Entry.objects.filter(job=job, action="job.party_changed").latest("pk")
        turned = turn_to(job, was, to, entry=entry, by=by, at=at)
        keep(pressed, job=job.pk, party=to.pk)
    return turned


def why_it_stays(photo: Photo) -> str:
    """Why a photo cannot be moved: a paper names it. "" when it can. One query."""
    named = PaperPhoto.objects.filter(photo=photo).select_related("paper").order_by("pk").first()
    if named is None:
        return ""
    return (
        f"The {named.paper.get_kind_display()} {named.paper.number} names this photo, so it stays where it is. "
        "It can be marked as belonging to another job as well."
    )


def move_photo(photo_id: int, to: Job, *, on: int, by: Person, at: datetime, back: bool = False) -> Photo:
    """Move a photo to the job it belongs to, with the bench notes and findings that were written with it.

    `on` is the job where it was seen. Raises Stale when it is not there any more, Refused when a paper names it.
    """
    with transaction.atomic():
        photo = filing.locked(photo_id, on=on)
        if no := why_it_stays(photo):
            raise Refused(no)
        along = {"notes": notes_go_along(photo, to), "findings": findings_go_along(photo, to)}
        filing.move(photo, to, by=by, at=at, back=back, along={name: ids for name, ids in along.items() if ids})
    return photo


def move_back(photo_id: int, *, on: int, by: Person, at: datetime) -> Photo:
    """Take a photo's last move back. What was shown to the owner before is not shown again by itself."""
    with transaction.atomic():
        photo = filing.locked(photo_id, on=on)
        last = filing.last_move(photo)
        if last is None:
            raise Refused("This photo was not moved, or that was taken back already.")
        return move_photo(
            photo_id, Job.objects.select_related("item").get(pk=last.data["from"]), on=on, by=by, at=at, back=True
        )
