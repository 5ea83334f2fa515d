"""What pages ask of photos."""

from datetime import datetime
from time import monotonic, sleep
from typing import IO
from uuid import UUID

from django.core.files.base import ContentFile, File
from django.db.models import Q, QuerySet

from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.photos.looking import CONTENT_TYPES
from jobs.photos.models import Photo, PhotoAlso
from jobs.photos.sizes import LONG_EDGES, UnreadableError, make_one
from jobs.photos.steps import CLAIM_LASTS, make

_WAIT = 1.0


def of_sitting(sitting: UUID, slot: str | None = None) -> QuerySet[Photo]:
    """Photos of an intake in progress, or of one slot of it, in the order they came. One query."""
    photos = Photo.objects.filter(sitting=sitting, put_aside_at=None).order_by("pk")
    return photos if slot is None else photos.filter(slot=slot)


def of_job(job: Job, *purposes: str) -> QuerySet[Photo]:
    """Photos of a job, of some purposes or of all, in the order they came. One query."""
    photos = Photo.objects.filter(job=job, put_aside_at=None).order_by("pk")
    return photos.filter(purpose__in=purposes) if purposes else photos


def shown_with(job: Job) -> QuerySet[Photo]:
    """Photos of a job, and those of other jobs that belong to it as well, in the order they came. One query."""
    here = Q(job=job) | Q(pk__in=PhotoAlso.objects.filter(job=job).values("photo"))
    return Photo.objects.filter(here, put_aside_at=None).order_by("pk")


def by_view(photos: QuerySet[Photo]) -> dict[str, Photo]:
    """The newest photo of each view among `photos`. One query."""
    return {photo.view: photo for photo in photos if photo.view}


def for_owner(job: Job) -> QuerySet[Photo]:
    """The photos of a job that were chosen for its owner. One query."""
    return of_job(job).filter(owner_may_see=True)


def waiting(*, at: datetime) -> QuerySet[Photo]:
    """Photos whose sizes are still to be made, or whose maker died. One query."""
    left = Q(state="making", claimed_at__lt=at - CLAIM_LASTS)
    return Photo.objects.filter(Q(state="due") | left).order_by("pk")


def open_size(photo: Photo, size: str, *, at: datetime) -> "tuple[IO[bytes] | File[bytes], str]":
    """An open file and its content type. `size` is small, large or original. Raises Refused with words.

    When the worker has not made the sizes yet, they are made here under the same claim; when someone else is at it, that
    is waited for up to a second, and then the one size is drawn for this answer only.
    """
    if size == "original":
        return _open(photo, photo.original.name), CONTENT_TYPES[photo.format]
    if size not in LONG_EDGES:
        raise Refused("There is no such size.")
    if photo.state == "due":
        make(photo.pk, at=at)
        photo.refresh_from_db()
    give_up_at = monotonic() + _WAIT
    while photo.state == "making" and monotonic() < give_up_at:
        sleep(0.05)
        photo.refresh_from_db()
    if photo.state == "failed":
        raise Refused(photo.failure)
    if photo.state == "made":
        return _open(photo, photo.small.name if size == "small" else photo.large.name), "image/jpeg"
    try:
        with _open(photo, photo.original.name) as original:
            return ContentFile(make_one(original.read(), size)), "image/jpeg"
    except UnreadableError as fault:
        raise Refused("The picture is damaged and cannot be read. Take it again.") from fault


def _open(photo: Photo, name: str | None) -> "File[bytes]":
    try:
        return photo.original.storage.open(name or "", "rb")
    except OSError as fault:
        raise Refused("The picture’s file cannot be reached in the shop’s store.") from fault
