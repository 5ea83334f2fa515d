"""Putting a photo where it belongs: on another job, or on a second one as well. Writes Photo and PhotoAlso."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction

from jobs.book.models import Entry, Item, Job
from jobs.book.refusals import Refused, Stale
from jobs.book.steps import record
from jobs.photos.models import Photo, PhotoAlso
from shop.people.models import Person


def locked(photo_id: int, *, on: int | None) -> Photo:
    """A photo of a job, locked. Raises Stale when it is not on the job `on` where it was seen. Inside a transaction."""
    # locked without its job: PostgreSQL drops a row whose join no longer fits once it has waited for it
    photo = Photo.objects.select_for_update(no_key=True).get(pk=photo_id)
    if photo.job is None:
        raise Refused("This photo belongs to no job yet. Finish taking in first.")
    if on is not None and photo.job_id != on:
        raise Stale(f"This photo was moved to {photo.job.number} in the meantime. Look again.")
    return photo


def move(
    photo: Photo,
    to: Job,
    *,
    by: Person,
    at: datetime,
    back: bool = False,
    along: Mapping[str, Sequence[int]] | None = None,
) -> None:
    """Move a locked photo to another job. Whether its owner may see it is asked anew. Inside a transaction.

    `along` are ids of what went with it. Both jobs keep an entry with both numbers.
    """
    was = photo.job
    if was is None or was.pk == to.pk:
        raise Refused(f"It is on {to.number} already.")
    shown = photo.owner_may_see
    photo.job, photo.item, photo.visit, photo.owner_may_see = to, to.item, to.visit, False
    photo.save(update_fields=["job", "item", "visit", "owner_may_see"])
    PhotoAlso.objects.filter(photo=photo, job=to).delete()
    data = {"photo": photo.pk, "from": was.pk, "to": to.pk, "shown": shown, "back": back, **(along or {})}
    record("photo.moved_away", by=by, at=at, job=was, item=was.item, data=data)
    record("photo.moved", by=by, at=at, job=to, item=to.item, data=data)


def last_move(photo: Photo) -> Entry | None:
    """How a photo came to its job by hand, unless that was taken back since. One query."""
    moves = Entry.objects.filter(job=photo.job, action="photo.moved", data__photo=photo.pk).select_related("by")
    last = moves.order_by("-pk").first()
    return None if last is None or last.data["back"] else last


def belongs_also(photo: Photo, job: Job, *, by: Person, at: datetime) -> bool:
    """Mark a photo as belonging to a second job too. False when it does already."""
    if photo.job_id is None:
        raise Refused("This photo belongs to no job yet. Finish taking in first.")
    if photo.job_id == job.pk:
        raise Refused(f"It is on {job.number} already.")
    with transaction.atomic():
        _, made = PhotoAlso.objects.get_or_create(photo=photo, job=job, defaults={"by": by, "at": at})
        if made:
            record("photo.also", by=by, at=at, job=job, item=job.item, data={"photo": photo.pk, "from": photo.job_id})
    return made


def not_also(photo: Photo, job: Job, *, by: Person, at: datetime) -> None:
    """Take that mark away again. Twice is the same as once."""
    with transaction.atomic():
        gone, _ = PhotoAlso.objects.filter(photo=photo, job=job).delete()
        if gone:
            record("photo.not_also", by=by, at=at, job=job, item=job.item, data={"photo": photo.pk})


def follow_item(job: Job, was: Item) -> list[int]:
    """The photos of a job that was put on another item show that one. Returns their ids. Inside a transaction."""
    photos = Photo.objects.filter(job=job, item=was)
    ids = list(photos.order_by("pk").values_list("pk", flat=True))
    photos.update(item=job.item)
    return ids
