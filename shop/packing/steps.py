"""Asking for a copy, making it, clearing old ones away. The only writer of SafeCopy and Restored."""

import errno
import hashlib
import logging
import os
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from time import monotonic

from django.conf import settings
from django.db import IntegrityError, transaction

from shop.clock import local
from shop.packing import making
from shop.packing.faults import CannotPackError
from shop.packing.keeping import Copy, Kept, to_go
from shop.packing.manifest import Manifest
from shop.packing.models import Restored, SafeCopy
from shop.packing.reading import checked
from shop.packing.when import LOST_AFTER, PAUSE, TRIES, day_due, hour_in
from shop.packing.writing import PIECE, settle
from shop.people.models import Person
from shop.profile.reads import profile, profile_if_any

log = logging.getLogger(__name__)
Clock = Callable[[], datetime]
_SAY_EVERY = 2.0  # seconds
_FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
_STOPPED = "It was stopped in the middle, by a restart or a power cut. The next one is whole again."


def ask(*, by: Person | None, at: datetime) -> SafeCopy:
    """Have a copy made now. Raises CannotPackError while another waits or is being made."""
    try:
        with transaction.atomic():
            return SafeCopy.objects.create(asked_by=by, asked_at=at)
    except IntegrityError:
        raise CannotPackError("A copy is being made already. Look again in a minute.") from None


def ask_daily(*, at: datetime) -> SafeCopy | None:
    """Have the daily copy made if it is due, also when its hour passed while the computer was off. At most four queries.

    Any number of workers may ask at once: one copy is made. A failed one is tried again, an hour apart, three times a day.
    """
    shop = profile_if_any()
    if shop is None:
        return None
    day = day_due(at, hour_in(settings.COPIES_AT), shop.zone)
    tried = SafeCopy.objects.filter(day=day)
    failed = list(tried.filter(state="failed").order_by("-pk").values_list("finished_at", "made_at"))
    if tried.exclude(state="failed").exists() or len(failed) >= TRIES:
        return None
    for finished_at, made_at in failed[:1]:
        if made_at is not None or (finished_at is not None and at - finished_at < PAUSE):
            return None  # a file is missing from the store, and would be in an hour too; or it failed just now
    try:
        with transaction.atomic():
            return SafeCopy.objects.create(day=day, asked_at=at)
    except IntegrityError:
        return None  # another worker asked first, or another copy is being made


def make(pk: int, *, clock: Clock) -> SafeCopy | None:
    """Make a copy that waits, if nobody else does. None when somebody does. It is good or failed when this returns."""
    at = clock()
    claimed = SafeCopy.objects.filter(pk=pk, state="due").update(state="making", claimed_at=at, alive_at=at)
    if not claimed:
        return None
    copy = SafeCopy.objects.get(pk=pk)
    failure = ""
    try:
        _made(copy, clock)
    except _GivenUpError:
        log.warning("Safe copy %s was given up for lost before it was done", pk)
    except CannotPackError as fault:
        failure = str(fault)
    except OSError as fault:
        log.exception("Safe copy %s could not be written", pk)
        failure = _why(fault, settings.COPIES_FOLDER)
    except Exception as fault:
        # whatever it was, the shop goes on and the head luthier is told that there is no copy
        log.exception("Safe copy %s could not be made", pk)
        failure = f"The program failed, and its log says where ({type(fault).__name__}: {fault})"[:400]
    with suppress(_GivenUpError):
        if failure:
            _down(copy, state="failed", failure=failure, finished_at=clock(), doing="")
    copy.refresh_from_db()
    if copy.state == "good":
        clear_away(at=clock())
    return copy


def _made(copy: SafeCopy, clock: Clock) -> None:
    folder: Path = settings.COPIES_FOLDER
    shop, passphrase = profile(), settings.COPIES_PASSPHRASE
    here = local(copy.claimed_at or copy.asked_at, shop.zone)
    final = folder / f"safe-copy-{here:%Y-%m-%d-%H%M}-{copy.pk}.zip{'.locked' if passphrase else ''}"
    part = final.with_name(f"{final.name}.part")
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if final.exists():
        raise CannotPackError(f"{final} is there already. Clear it away, or choose another folder for the copies.")
    _down(copy, path=str(part), locked=bool(passphrase))
    part.unlink(missing_ok=True)
    said = _Progress(copy, clock)
    manifest = making.make(part, passphrase=passphrase, home=_home_kind(), copies=folder, say=said.say, tick=said.tick)
    try:
        said.say("reading it back")
        if checked(part, passphrase=passphrase, tick=said.tick) != manifest:
            raise CannotPackError("What was read back is not what was written: the disk of the copies is not sound.")
        digest, size = _digest(part, said.tick), part.stat().st_size
        words = _missing_words(manifest)
        part.rename(final)
        settle(folder)
        done = {"path": str(final), "size": size, "sha256": digest, "finished_at": clock(), "doing": ""}
        _down(copy, **done, **_counted(manifest), state="failed" if words else "good", failure=words)
    except BaseException:
        part.unlink(missing_ok=True)
        final.unlink(missing_ok=True)  # not there before: it is ours, and no row speaks of it
        raise


def _counted(manifest: Manifest) -> dict[str, object]:
    return {
        "made_at": manifest.made_at,
        "tables": len(manifest.tables),
        "rows": manifest.rows,
        "files": manifest.files.rows,
    }


def _missing_words(manifest: Manifest) -> str:
    count = len(manifest.missing)
    if not count:
        return ""
    named = ", ".join(name.removeprefix("files/") for name in manifest.missing[:5])
    more = f" and {count - 5} more" if count > 5 else ""
    return (
        f"{count} file{' is' if count == 1 else 's are'} missing from the shop’s store: {named}{more}. "
        "All else is in the copy. Put them back from an older copy if there is one."
    )


def _down(copy: SafeCopy, **fields: object) -> None:
    """Write down how it goes, unless it was given up for lost meanwhile."""
    held = SafeCopy.objects.filter(pk=copy.pk, state="making", claimed_at=copy.claimed_at)
    if not held.update(**fields):
        raise _GivenUpError


class _GivenUpError(Exception):
    """Another process has given this copy up."""


class _Progress:
    """Writes down every other second how far a copy is, which also says that its maker lives."""

    def __init__(self, copy: SafeCopy, clock: Clock) -> None:
        self._copy, self._clock, self._words, self._next = copy, clock, "", 0.0

    def say(self, words: str) -> None:
        self._words = words
        self.tick()

    def tick(self) -> None:
        if monotonic() >= self._next:
            self._next = monotonic() + _SAY_EVERY
            _down(self._copy, doing=self._words[:120], alive_at=self._clock())


def _digest(path: Path, tick: Callable[[], object]) -> str:
    sha = hashlib.sha256()
    with path.open("rb") as source:
        while piece := source.read(PIECE):
            sha.update(piece)
            tick()
    return sha.hexdigest()


def _home_kind() -> str:
    return "demo" if settings.DEMO else "shop"


def _why(fault: OSError, folder: Path) -> str:
    if fault.errno in _FULL:
        return f"The disk of {folder} is full. The older copies are still there. Make room, or choose another folder (SHOP_COPIES)."
    what = fault.filename or folder
    return f"{what} cannot be written: {fault.strerror or fault}. The older copies are untouched. Look at the folder, its disk and its rights."


def give_up(*, at: datetime) -> int:
    """Fail copies whose maker has not been heard of for minutes, and throw away what it left. Returns how many."""
    lost = list(SafeCopy.objects.filter(state="making", alive_at__lt=at - LOST_AFTER))
    for copy in lost:
        ours = SafeCopy.objects.filter(pk=copy.pk, state="making", alive_at=copy.alive_at)
        if ours.update(state="failed", failure=_STOPPED, finished_at=at, doing="") and copy.path.endswith(".part"):
            Path(copy.path).unlink(missing_ok=True)
    return len(lost)


def clear_away(*, at: datetime) -> int:
    """Delete the copies whose time is over; never the last good one. Returns how many went."""
    zone = profile().zone
    there = SafeCopy.objects.exclude(made_at=None).exclude(path="").filter(state__in=["good", "failed"])
    copies = [Copy(each.pk, each.made_at, each.state == "good") for each in there if each.made_at]
    paths = {each.pk: Path(each.path) for each in there}
    gone = 0
    for pk in to_go(copies, Kept(*settings.COPIES_KEPT), zone):
        try:
            paths[pk].unlink(missing_ok=True)
        except OSError:
            log.warning("The old copy %s could not be cleared away", paths[pk], exc_info=True)
            continue
        gone += SafeCopy.objects.filter(pk=pk).update(path="", gone_at=at)
    return gone


def look_after(*, at: datetime) -> None:
    """Write down which copies are no longer where they were put, and which are there again (a disk taken out and back)."""
    there = SafeCopy.objects.filter(state="good").exclude(path="").only("pk", "path", "gone_at", "size")
    for copy in there:
        path = Path(copy.path)
        is_there = os.access(path, os.F_OK) and path.stat().st_size == copy.size
        if is_there == (copy.gone_at is not None):
            SafeCopy.objects.filter(pk=copy.pk).update(gone_at=None if is_there else at)


def mark_restored(copy_made_at: datetime, *, at: datetime) -> None:
    """Note that this shop was unpacked: letters to owners wait until somebody says that it is the shop now."""
    Restored.objects.create(id=1, copy_made_at=copy_made_at, unpacked_at=at)


def is_the_shop(*, by: Person | None, at: datetime) -> datetime | None:
    """Say that this unpacked shop is the shop now. The moment of its copy, or None when that was said before.

    Call inside the transaction that deals with the letters of before.
    """
    held = Restored.objects.select_for_update(no_key=True).filter(is_the_shop_at=None).first()
    if held is None:
        return None
    held.is_the_shop_at, held.said_by = at, by
    held.save(update_fields=["is_the_shop_at", "said_by"])
    return held.copy_made_at
