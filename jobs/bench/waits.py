"""Waits of glue, varnish and settling: laid, changed with both values kept, confirmed by a person, taken back."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from jobs.bench.models import Wait
from jobs.bench.rests import LONGEST, RESTS, Choice
from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.book.steps import record
from shop.clock import local
from shop.people.models import Person
from shop.profile.models import Profile

WORDS = 80


@dataclass(frozen=True, slots=True)
class Asked:
    """What somebody chose: what rests, a few words, and until when (None: not said yet)."""

    what: str
    words: str = ""
    until: datetime | None = None


def asked_in(form: Mapping[str, str], offered: tuple[Choice, ...], *, shop: Profile) -> Asked:
    """Read a form: `rest` names a quick choice, “open”, or “at” with the moment in `rest_at` as the shop's clock shows it.

    Raises Refused with words for whoever typed it.
    """
    what = form.get("rest_what", "") or "glue"
    if what not in RESTS:
        raise Refused("Choose what rests: glue, varnish, settling, or something else.")
    words, code, typed = " ".join(form.get("rest_words", "").split())[:WORDS], form.get("rest", ""), ""
    if code in {"", "open"}:
        return Asked(what, words)
    if code == "at":
        typed = form.get("rest_at", "").strip()
        try:
            return Asked(what, words, datetime.fromisoformat(typed).replace(tzinfo=shop.zone, fold=1).astimezone(UTC))
        except (ValueError, OverflowError) as fault:
            raise Refused("Type the day and the time until when it rests, or leave the end open.") from fault
    until = next((choice.until for choice in offered if choice.code == code), None)
    if until is None:
        raise Refused("Choose until when it rests, or leave the end open.")
    return Asked(what, words, until)


def lay(job: Job, asked: Asked, *, by: Person, at: datetime, zone: ZoneInfo) -> Wait:
    """Begin a wait on a job its caller has locked and hangs on resting now. Call inside a transaction.

    An open wait that is still there is put right instead. Raises Refused when the end is not ahead.
    """
    until = _end(asked, at)
    before = open_wait(job)
    if before is not None:
        return _changed(before, asked, until, by=by, at=at, zone=zone)
    wait = Wait.objects.create(
        job=job, what=asked.what, words=asked.words, until=until, laid_by=by, laid_at=_minute_before(at)
    )
    data = {"wait": wait.pk, "what": wait.what, "until": _iso(until, zone)}
    record("wait.laid", by=by, at=at, job=job, data=data)
    return wait


def set_wait(job: Job, asked: Asked, *, by: Person, at: datetime, zone: ZoneInfo) -> Wait:
    """Say until when a job rests, or put it right; the entry keeps both values. The same again changes nothing."""
    with transaction.atomic():
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if locked.closed_at is not None or Stage(locked.stage) is not Stage.CUR:
            raise Refused("It does not rest any more. Look again where it hangs.")
        return lay(locked, asked, by=by, at=at, zone=zone)


def confirm(job: Job, *, by: Person | None, at: datetime, zone: ZoneInfo) -> Wait | None:
    """A person moves it on: its wait is over. Call inside the transaction of the move; None when nothing waits."""
    wait = open_wait(job)
    if wait is None:
        return None
    wait.confirmed_by, wait.confirmed_at = by, at
    wait.save(update_fields=["confirmed_by", "confirmed_at"])
    record("wait.confirmed", by=by, at=at, job=job, data={"wait": wait.pk, "until": _iso(wait.until, zone)})
    return wait


def overrule(job: Job, reason: str, *, by: Person, at: datetime, zone: ZoneInfo) -> None:
    """Write down that it goes on before its time is over, and why. Call inside the transaction of the move."""
    wait = open_wait(job)
    data = {"wait": wait.pk if wait else None, "until": _iso(wait.until, zone) if wait else None, "reason": reason}
    record("wait.overruled", by=by, at=at, job=job, data=data)


def put_back(job: Job, *, moved_at: datetime, by: Person, at: datetime, zone: ZoneInfo) -> None:
    """The move that confirmed a wait was taken back: it waits again. Call inside that transaction."""
    wait = Wait.objects.filter(job=job, confirmed_at=moved_at).order_by("-pk").first()
    if wait is None:
        return
    wait.confirmed_by, wait.confirmed_at = None, None
    wait.save(update_fields=["confirmed_by", "confirmed_at"])
    record("wait.reopened", by=by, at=at, job=job, data={"wait": wait.pk, "until": _iso(wait.until, zone)})


def drop(job: Job, *, by: Person, at: datetime, zone: ZoneInfo) -> None:
    """The move that began a wait was taken back: it never rested. Call inside that transaction."""
    wait = open_wait(job)
    if wait is None:
        return
    wait.dropped_at = at
    wait.save(update_fields=["dropped_at"])
    record("wait.dropped", by=by, at=at, job=job, data={"wait": wait.pk, "until": _iso(wait.until, zone)})


def open_wait(job: Job) -> Wait | None:
    """What a job waits for by the clock. One query."""
    return Wait.objects.filter(job=job, confirmed_at__isnull=True, dropped_at__isnull=True).first()


def _changed(wait: Wait, asked: Asked, until: datetime | None, *, by: Person, at: datetime, zone: ZoneInfo) -> Wait:
    if (wait.what, wait.words, wait.until) == (asked.what, asked.words, until):
        return wait
    data = {
        "wait": wait.pk,
        "was": {"what": wait.what, "words": wait.words, "until": _iso(wait.until, zone)},
        "now": {"what": asked.what, "words": asked.words, "until": _iso(until, zone)},
    }
    wait.what, wait.words, wait.until = asked.what, asked.words, until
    wait.save(update_fields=["what", "words", "until"])
    record("wait.changed", by=by, at=at, job=wait.job, data=data)
    return wait


def _end(asked: Asked, at: datetime) -> datetime | None:
    """A whole minute, the next one where seconds were left over, so that the words never promise too early."""
    if asked.until is None:
        return None
    over = timedelta(seconds=asked.until.second, microseconds=asked.until.microsecond)
    until = asked.until + (timedelta(minutes=1) - over if over else timedelta())
    if until < _minute_before(at):
        raise Refused("That moment is past. Choose when it may be touched again.")
    if until - at > LONGEST:
        raise Refused("That is more than a year away. Look at the day.")
    return until


def _minute_before(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)


def _iso(at: datetime | None, zone: ZoneInfo) -> str | None:
    # as the shop's clock showed it: an entry is read without knowing the zone
    return local(at, zone).isoformat() if at else None
