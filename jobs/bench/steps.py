"""Work at the bench: the clock started and stopped, notes and photos, a tag that does not fit."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from jobs.bench.clocks import Standing, may_start
from jobs.bench.models import BenchNote, WorkSpell
from jobs.bench.reads import WorkLine, work_of
from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.book.steps import keep, press, record
from jobs.estimates.models import Line
from jobs.photos.models import Photo
from shop.people.models import Person


@dataclass(frozen=True, slots=True)
class Started:
    """A clock that runs, and the one it stopped."""

    spell: WorkSpell
    stopped: WorkSpell | None = None


def start(job: Job, line: Line | None, *, by: Person, at: datetime, key: str = "") -> Started:
    """Start a person's clock on one agreed line (None: work agreed at the desk, or free of charge).

    A person has one running clock: starting another stops the first. Starting what runs already changes nothing.
    Raises Refused with the reason in words, Again for a second press.
    """
    with transaction.atomic():
        pressed = press(key, "start", at=at) if key else None
        _one_clock_at_a_time(by)
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        _guard(locked, line)
        running = WorkSpell.objects.select_related("job", "line").filter(person=by, stopped_at__isnull=True).first()
        if running is not None and (running.job_id, running.line_id) == (locked.pk, line.pk if line else None):
            started = Started(running)
        else:
            if running is not None:
                _stop(running, by=by, at=at, because="another")
            spell = WorkSpell.objects.create(job=locked, person=by, line=line, started_at=at)
            record("clock.started", by=by, at=at, job=locked, data={"spell": spell.pk, "line": spell.line_id})
            started = Started(spell, running)
        if pressed is not None:
            keep(pressed, spell=started.spell.pk)
    return started


def stop(spell: WorkSpell, *, by: Person, at: datetime) -> WorkSpell:
    """Stop a clock, one's own or a forgotten one. Stopping twice is the same as once."""
    with transaction.atomic():
        locked = WorkSpell.objects.select_for_update(of=("self",), no_key=True).select_related("job").get(pk=spell.pk)
        if locked.stopped_at is None:
            _stop(locked, by=by, at=at)
    return locked


def add_note(job: Job, words: str, *, by: Person, at: datetime, photo: Photo | None = None, key: str = "") -> BenchNote:
    """Write down something at the bench, with a photo or without."""
    words = words.strip()
    if not words and photo is None:
        raise Refused("Write something, or take a photo.")
    with transaction.atomic():
        pressed = press(key, "note", at=at) if key else None
        note = BenchNote.objects.create(job=job, words=words, photo=photo, at=at, by=by)
        record("note.written", by=by, at=at, job=job, data={"note": note.pk, "photo": photo.pk if photo else None})
        if pressed is not None:
            keep(pressed, note=note.pk)
    return note


def doubt_tag(job: Job, words: str, *, by: Person, at: datetime, key: str = "") -> BenchNote:
    """Write down that the thing under this tag is another one."""
    words = words.strip()
    if not words:
        raise Refused("Write what hangs on this tag instead.")
    with transaction.atomic():
        pressed = press(key, "doubt", at=at) if key else None
        note = BenchNote.objects.create(job=job, words=f"Not the right thing under this tag: {words}", at=at, by=by)
        record("tag.doubted", by=by, at=at, job=job, item=job.item, data={"note": note.pk})
        if pressed is not None:
            keep(pressed, note=note.pk)
    return note


def notes_go_along(photo: Photo, to: Job) -> list[int]:
    """Notes written with a photo go with it to another job. Returns their ids. Call inside a transaction."""
    notes = BenchNote.objects.filter(photo=photo, job=photo.job)
    ids = list(notes.order_by("pk").values_list("pk", flat=True))
    notes.update(job=to)
    return ids


def _one_clock_at_a_time(by: Person) -> None:
    # the person's row is the lock: two starts at once wait for each other
    if not Person.objects.select_for_update(no_key=True).get(pk=by.pk).is_active:
        raise Refused("This sign-in is closed. Ask the head luthier.")


def _guard(job: Job, line: Line | None) -> None:
    agreed = work_of(job).agreed
    wanted = line.pk if line else None
    found: WorkLine | None = next((one for one in agreed if one.line == wanted), None)
    reason = may_start(
        Standing(
            stage=Stage(job.stage),
            closed=job.closed_at is not None,
            holds=tuple(job.holds.filter(lifted_at__isnull=True).values_list("kind", flat=True)),
            work_agreed=bool(agreed),
            line_agreed=found is not None,
            line_words=line.words if line else "",
        )
    )
    if reason:
        raise Refused(reason)


def _stop(spell: WorkSpell, *, by: Person, at: datetime, because: str = "") -> None:
    spell.stopped_at = max(at, spell.started_at)
    spell.save(update_fields=["stopped_at"])
    seconds = int((spell.stopped_at - spell.started_at).total_seconds())
    data = {"spell": spell.pk, "line": spell.line_id, "of": spell.person_id, "seconds": seconds, "because": because}
    record("clock.stopped", by=by, at=at, job=spell.job, data=data)
