"""The only writer of a job's stage."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from jobs.bench import waits
from jobs.book.gate import closes_as, may_move, needs_reason
from jobs.book.models import Entry, Job
from jobs.book.refusals import Refused, Stale
from jobs.book.stages import CLOSE_FROM, CLOSINGS, PLACE, Stage
from jobs.book.steps import keep, press, press_under_lock, record
from jobs.moves.facts import gather
from jobs.updates.steps import drop_letters_of
from shop.clock import time_words
from shop.people.models import Person
from shop.people.roles import Act
from shop.prepared import Prepared
from shop.profile.reads import profile

UNDO_WITHIN = timedelta(minutes=5)
MOVED, UNMOVED, CLOSED = "job.moved", "job.unmoved", "job.closed"


@dataclass(frozen=True, slots=True)
class Moved:
    """What a move did."""

    job_id: int
    number: str
    was: Stage
    now: Stage
    revision: int
    entry_id: int


def move(
    job_id: int,
    to: Stage,
    *,
    by: Person | None,
    at: datetime,
    seen: int | None = None,
    key: str = "",
    reason: str = "",
    device_at: datetime | None = None,
    anyway: bool = False,
) -> Moved:
    """Hang a job on another stage, if the gate opens.

    `seen` is the revision the mover looked at; None only for followers, which act on what they just read.
    `anyway` goes on before a rest is over: for the head luthier, with a reason. Moving it on confirms that it is.
    Raises Refused with the gate's reason, Stale when someone moved it meanwhile, Again for a second press.
    """
    to = Stage(to)
    shop = profile()
    with transaction.atomic():
        job = _locked(job_id)
        pressed = press_under_lock(key, "move", at=at) if key else None
        if seen is not None and seen != job.revision:
            raise Stale(who_moved(job))
        if job.closed_at is not None:
            raise Refused("This job is closed. A settling visit opens a new job.")
        was = Stage(job.stage)
        facts = gather(job, places=shop.places, at=at, zone=shop.zone)
        no = may_move(was, to, facts)
        if no and anyway and facts.resting and not may_move(was, to, replace(facts, resting="")):
            _overrule(job, reason, by=by, at=at, zone=shop.zone)
        elif no:
            raise Refused(no)
        if needs_reason(was, to) and by is not None and not reason.strip():
            raise Refused(f"Going back to {PLACE[to].name} needs a reason. Write it, then move.")
        if was is Stage.CUR:
            waits.confirm(job, by=by, at=at, zone=shop.zone)
        how = closes_as(facts) if to is Stage.HOME else ""
        entry = _hang(job, to, action=MOVED, by=by, at=at, reason=reason, device_at=device_at, closed_as=how)
        moved = Moved(job.pk, job.number, was, to, job.revision, entry.pk)
        if pressed is not None:
            keep(pressed, job=job.pk, was=was, now=to, revision=job.revision, entry=entry.pk)
    return moved


def _overrule(job: Job, reason: str, *, by: Person | None, at: datetime, zone: ZoneInfo) -> None:
    if by is None or not by.may(Act.OVERRIDE):
        raise Refused("Only the head luthier may let it go on before its time.")
    if not reason.strip():
        raise Refused("Write why it goes on before its time, then move.")
    waits.overrule(job, reason.strip(), by=by, at=at, zone=zone)


def undo(job_id: int, *, by: Person, at: datetime, seen: int, key: str) -> Moved:
    """Take back one's own last move, within five minutes, if nothing followed and nobody was told."""
    with transaction.atomic():
        job = _locked(job_id)
        pressed = press_under_lock(key, "undo", at=at)
        if seen != job.revision:
            raise Stale(who_moved(job))
        last = Entry.objects.filter(job=job).order_by("-pk").first()
        if last is None or last.action != MOVED:
            raise Refused("Something was done since the move. Move it back by hand, with a reason.")
        if last.by_id != by.pk:
            raise Refused("Only whoever moved it may take it back. Move it by hand, with a reason.")
        if at - last.at > UNDO_WITHIN:
            raise Refused("That was more than five minutes ago. Move it back by hand, with a reason.")
        if not drop_letters_of(last, at=at):
            raise Refused("The owner has been told already. Move it back by hand, with a reason.")
        was, to = Stage(job.stage), Stage(last.data["from"])
        if to is Stage.CUR:
            waits.put_back(job, moved_at=last.at, by=by, at=at, zone=profile().zone)
        elif was is Stage.CUR:
            waits.drop(job, by=by, at=at, zone=profile().zone)
        entry = _hang(job, to, action=UNMOVED, by=by, at=at, reason="taken back")
        keep(pressed, job=job.pk, was=was, now=to, revision=job.revision, entry=entry.pk)
        return Moved(job.pk, job.number, was, to, job.revision, entry.pk)


def close(job_id: int, closed_as: str, *, by: Person, at: datetime, seen: int, key: str, reason: str) -> None:
    """Close a job that does not go home by the release: did not come, unclaimed by law, written off, lost."""
    with transaction.atomic():
        job = _locked(job_id)
        pressed = press_under_lock(key, "close", at=at)
        if seen != job.revision:
            raise Stale(who_moved(job))
        if job.closed_at is not None:
            raise Refused("This job is closed already.")
        if closed_as not in CLOSE_FROM.get(Stage(job.stage), ()):
            raise Refused(
                f"From {PLACE[Stage(job.stage)].name} a job cannot be closed as {CLOSINGS.get(closed_as, closed_as)}."
            )
        if not reason.strip():
            raise Refused("Write why it is closed this way.")
        job.closed_at, job.closed_as, job.revision = at, closed_as, job.revision + 1
        job.save(update_fields=["closed_at", "closed_as", "revision"])
        record(CLOSED, by=by, at=at, job=job, data={"as": closed_as, "stage": job.stage, "reason": reason.strip()})
        keep(pressed, job=job.pk)


def nothing_needed(job: Job, *, by: Person, at: datetime, words: str, key: str = "") -> None:
    """Write down that the examination found nothing to do. Raises Again for a second press."""
    if not words.strip():
        raise Refused("Write what was looked at and found sound.")
    with transaction.atomic():
        pressed = press(key, "nothing-needed", at=at) if key else None
        entry = record("job.nothing_needed", by=by, at=at, job=job, data={"words": words.strip()})
        if pressed is not None:
            keep(pressed, entry=entry.pk)


_row = Prepared(lambda job: Job.objects.select_for_update(no_key=True).filter(pk=job))


def _locked(job_id: int) -> Job:
    """A job that waits for nobody else until the transaction ends. Raises Job.DoesNotExist."""
    found = _row.first(job_id)
    if found is None:
        raise Job.DoesNotExist
    return found


def who_moved(job: Job) -> str:
    """“Tobiah moved this to On the bench at 10:12. Look again, then choose.”"""
    last = (
        Entry.objects.filter(job=job, action__in=(MOVED, UNMOVED, CLOSED)).select_related("by").order_by("-pk").first()
    )
    if last is None:
        return "This changed in the meantime. Look again, then choose."
    who = last.by.short if last.by else "The shop"
    when = time_words(last.at, profile().zone)
    if last.action == CLOSED:
        return f"{who} closed this at {when}. Look again, then choose."
    return f"{who} moved this to {PLACE[Stage(last.data['to'])].name} at {when}. Look again, then choose."


def _hang(
    job: Job,
    to: Stage,
    *,
    action: str,
    by: Person | None,
    at: datetime,
    reason: str,
    device_at: datetime | None = None,
    closed_as: str = "",
) -> Entry:
    was, job.stage = job.stage, to
    job.revision, job.stage_since = job.revision + 1, at
    fields = ["stage", "revision", "stage_since"]
    if closed_as:
        job.closed_at, job.closed_as = at, closed_as
        fields += ["closed_at", "closed_as"]
    job.save(update_fields=fields)
    data = {"from": str(was), "to": str(to), "revision": job.revision, "reason": reason.strip()}
    if closed_as == "refused":
        data["as"] = closed_as
    return record(action, by=by, at=at, job=job, data=data, device_at=device_at)
