"""Receiving photos, making their sizes, and choosing who sees them. The only writer of Photo."""

import io
import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from hashlib import sha256
from mmap import ACCESS_READ, mmap
from pathlib import Path
from uuid import UUID, uuid4

from django.conf import settings
from django.core.files.base import ContentFile, File
from django.core.files.storage import Storage
from django.db import IntegrityError, transaction
from django.db.models import F, Q

from jobs.book.models import Item, Job, Visit
from jobs.book.nudge import nudge
from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.photos.ends import Data
from jobs.photos.looking import ENDINGS, called, check_size, look
from jobs.photos.models import Photo, photo_store
from jobs.photos.sizes import UnreadableError, make_sizes
from shop.people.models import Person
from shop.profile.reads import profile

log = logging.getLogger(__name__)
CLAIM_LASTS = timedelta(minutes=2)
TRIES = 3


def receive(
    upload: "File[bytes]",
    *,
    purpose: str,
    by: Person | None,
    at: datetime,
    send_key: str,
    sitting: UUID | None = None,
    slot: str = "",
    view: str = "",
    words: str = "",
    job: Job | None = None,
    item: Item | None = None,
    visit: Visit | None = None,
    taken_at: datetime | None = None,
) -> Photo:
    """Look at an uploaded file, keep it untouched, and let the worker make its sizes. Raises Refused with words.

    The same `send_key` again gives the photo it made the first time. `taken_at` counts where the file itself does not
    say when it was taken. With `job`, item and visit follow from it. Six statements, two more after commit; no decoding.
    """
    if not 8 <= len(send_key) <= 60:
        raise Refused("This page is out of date. Open it again and send the photo once more.")
    if known := _sent_before(send_key, sitting, job):
        return known
    zone = profile().zone
    check_size(upload.size, upload.name, max_bytes=settings.PHOTO_MAX_BYTES)
    with _opened(upload) as data:
        seen = look(data, upload.name, max_pixels=settings.PHOTO_MAX_PIXELS, zone=zone)
        digest, size = sha256(data).hexdigest(), len(data)
    store = photo_store()
    kept = _keep(upload, f"{at:%Y/%m}/{uuid4().hex}.{ENDINGS[seen.format]}")
    try:
        with transaction.atomic():
            photo = Photo.objects.create(
                job=job,
                item_id=item.pk if item else job.item_id if job else None,
                visit_id=visit.pk if visit else job.visit_id if job else None,
                sitting=sitting,
                slot=slot,
                purpose=purpose,
                view=view,
                words=words.strip()[:160],
                send_key=send_key,
                original=kept,
                original_name=(upload.name or "")[-160:],
                sha256=digest,
                size=size,
                format=seen.format,
                width=seen.width,
                height=seen.height,
                taken_at=seen.taken_at or taken_at,
                at=at,
                by=by,
            )
            data_of_entry = {"photo": photo.pk, "purpose": purpose, "view": view, "sha256": digest}
            record("photo.received", by=by, at=at, job=job, item=photo.item, visit=photo.visit, data=data_of_entry)
            nudge("photos.make", photo.pk)
    except IntegrityError:
        store.delete(kept)
        if known := _sent_before(send_key, sitting, job):
            return known
        raise
    except BaseException:
        store.delete(kept)
        raise
    return photo


def _sent_before(send_key: str, sitting: UUID | None, job: Job | None) -> Photo | None:
    known = Photo.objects.filter(send_key=send_key).first()
    if known is None:
        return None
    elsewhere = known.sitting not in (None, sitting) or (known.sitting is None and job and known.job_id != job.pk)
    if elsewhere:
        raise Refused("This photo was sent before, with another instrument. Take it again here.")
    return known


@contextmanager
def _opened(upload: "File[bytes]") -> Iterator[Data]:
    """The bytes of an upload: mapped when it lies on disk already, read when it is in memory (up to 2 MB)."""
    upload.seek(0)
    try:
        number = upload.fileno()
    except (AttributeError, io.UnsupportedOperation):
        yield upload.read()
        return
    with mmap(number, 0, access=ACCESS_READ) as mapped:
        yield mapped


def _keep(upload: "File[bytes]", name: str) -> str:
    upload.seek(0)
    store, kept = photo_store(), ""
    try:
        kept = store.save(name, upload)
        _settle(store, kept)
    except OSError as fault:
        _drop([kept or name])  # a full disk keeps a part of it, which would fill it for good
        log.exception("A photo could not be stored")
        raise Refused(
            f"{called(upload.name)} could not be stored: the shop’s store is full or away. Keep it and send it again soon."
        ) from fault
    return kept


def _settle(store: Storage, name: str) -> None:
    """See a kept file down to the disk: its sender throws its own copy away on our word."""
    try:
        path = Path(store.path(name))
    except NotImplementedError:
        return  # a store over the network answers once it has it
    with path.open("rb") as file:
        os.fsync(file.fileno())


def file_with_job(sitting: UUID, slot: str, *, job: Job, by: Person | None, at: datetime) -> int:
    """Move the photos of one slot of a sitting to the job opened from it. Returns how many. Call inside a transaction."""
    photos = Photo.objects.filter(sitting=sitting, slot=slot)
    ids = list(photos.order_by("pk").values_list("pk", flat=True))
    if ids:
        photos.update(job=job, item=job.item, visit=job.visit, sitting=None, slot="")
        record("photo.filed", by=by, at=at, job=job, item=job.item, visit=job.visit, data={"photos": ids})
    return len(ids)


def choose_for_owner(photo: Photo, may_see: bool, *, by: Person, at: datetime) -> None:
    """Let the owner see a photo, or no longer. Choosing the same twice is the same as once."""
    if photo.job_id is None:
        raise Refused("This photo belongs to no job yet. Finish taking in first.")
    with transaction.atomic():
        changing = Photo.objects.filter(pk=photo.pk, owner_may_see=not may_see)
        if may_see:
            changing = changing.filter(put_aside_at=None).exclude(state="failed")
        if changing.update(owner_may_see=may_see):
            action = "photo.shown" if may_see else "photo.hidden"
            record(action, by=by, at=at, job=photo.job, item=photo.item, data={"photo": photo.pk})
        elif may_see and not Photo.objects.filter(pk=photo.pk, owner_may_see=True).exists():
            raise Refused("This photo was put aside or cannot be read. Choose another.")
    photo.owner_may_see = may_see


def put_aside(photo: Photo, *, by: Person | None, at: datetime) -> None:
    """Take a photo out of sight because it was taken again. It is kept; what the note shows stays where it is."""
    with transaction.atomic():
        now = Photo.objects.select_for_update(no_key=True).get(pk=photo.pk)
        if now.put_aside_at is not None:
            return
        if now.job_id is not None and now.purpose in {"intake", "line"}:
            raise Refused("This photo belongs to the note and stays with it. Add another beside it.")
        now.put_aside_at, now.owner_may_see = at, False
        now.save(update_fields=["put_aside_at", "owner_may_see"])
        record("photo.aside", by=by, at=at, job=now.job, item=now.item, data={"photo": now.pk})
    photo.put_aside_at, photo.owner_may_see = at, False


def make(photo_id: int, *, at: datetime) -> bool:
    """Make the two sizes of a photo if nobody does. True when this call made them.

    The claim is one conditional UPDATE. A claim older than two minutes was left by a worker that died, and is taken again;
    after three such the photo is given up with words. What a late worker still makes is thrown away.
    """
    if not _claim(photo_id, at=at):
        return False
    photo = Photo.objects.get(pk=photo_id)
    store, stem = photo_store(), (photo.original.name or "").rpartition(".")[0]
    kept: list[str] = []
    try:
        with photo.original.open("rb") as original:
            sizes = make_sizes(original.read())
        token = uuid4().hex[:8]
        kept.append(store.save(f"{stem}-{token}-small.jpg", ContentFile(sizes.small)))
        kept.append(store.save(f"{stem}-{token}-large.jpg", ContentFile(sizes.large)))
    except UnreadableError:
        log.warning("Photo %s cannot be decoded", photo_id, exc_info=True)
        _fail(photo, "The picture is damaged and cannot be read. Take it again.", claimed_at=at, at=at)
        return False
    except FileNotFoundError:
        _fail(photo, "The picture’s file is missing from the shop’s store.", claimed_at=at, at=at)
        return False
    except OSError:
        # the store is full or away: that is no fault of the picture, so the try is not counted
        log.exception("The sizes of photo %s could not be stored", photo_id)
        _drop(kept)
        Photo.objects.filter(pk=photo_id, claimed_at=at, state="making").update(state="due", tries=F("tries") - 1)
        return False
    mine = Photo.objects.filter(pk=photo_id, claimed_at=at, state="making")
    if mine.update(state="made", small=kept[0], large=kept[1], failure=""):
        return True
    _drop(kept)
    return False


def _claim(photo_id: int, *, at: datetime) -> bool:
    left = Q(state="making", claimed_at__lt=at - CLAIM_LASTS, tries__lt=TRIES)
    free = Photo.objects.filter(Q(state="due") | left, pk=photo_id)
    return bool(free.update(state="making", claimed_at=at, tries=F("tries") + 1))


def _fail(photo: Photo, words: str, *, claimed_at: datetime | None, at: datetime) -> None:
    with transaction.atomic():
        claimed = Photo.objects.filter(pk=photo.pk, state="making", claimed_at=claimed_at)
        if claimed.update(state="failed", failure=words, owner_may_see=False):
            record("photo.failed", by=None, at=at, job=photo.job, item=photo.item, data={"photo": photo.pk})


def _drop(names: list[str]) -> None:
    for name in names:
        photo_store().delete(name)


def give_up(*, at: datetime) -> int:
    """Fail the photos that three workers died over. Returns how many."""
    worn = list(Photo.objects.filter(state="making", claimed_at__lt=at - CLAIM_LASTS, tries__gte=TRIES)[:50])
    for photo in worn:
        words = "The picture could not be worked on, three times over. Take it again."
        _fail(photo, words, claimed_at=photo.claimed_at, at=at)
    return len(worn)
