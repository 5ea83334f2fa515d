"""The second check: by someone who did not do the work, against each agreed line and each thing left here."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from jobs.bench.models import Check, CheckTick, WorkSpell
from jobs.bench.reads import work_of
from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.book.steps import keep, press, record
from shop.people.models import Person

DONE, BACK = "done", "back"


def check(
    job: Job,
    *,
    ticks: Mapping[str, str],
    here: set[int],
    passed: bool,
    words: str,
    by: Person,
    at: datetime,
    key: str = "",
) -> Check:
    """Write down a second check. `ticks` says "done" or "back" for each key of `work_of(job).agreed`.

    `here` holds the ids of the accessories seen; `passed` is the checker's verdict, and False needs words.
    Raises Refused when the checker worked on it, a line is unticked, or the verdict does not fit the ticks.
    """
    words = words.strip()
    with transaction.atomic():
        pressed = press(key, "check", at=at) if key else None
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if locked.closed_at is not None or Stage(locked.stage) is not Stage.CHK:
            raise Refused("It does not hang on Second check. Move it there first.")
        if WorkSpell.objects.filter(job=locked, person=by).exists():
            raise Refused("You worked on this. Someone who did not must make the second check.")
        agreed = work_of(locked).agreed
        open_lines = [line.words for line in agreed if ticks.get(line.key) not in {DONE, BACK}]
        if open_lines:
            raise Refused(f"Say done or sent back for each line. Still open: {', '.join(open_lines)}.")
        if not passed and not words:
            raise Refused("Write what is to be done again, and why.")
        if passed:
            _fits_passing(locked, [line.words for line in agreed if ticks[line.key] == BACK], here)
        made = Check.objects.create(job=locked, by=by, at=at, passed=passed, words=words)
        CheckTick.objects.bulk_create(
            CheckTick(check_made=made, words=line.words, done=ticks[line.key] == DONE) for line in agreed
        )
        action = "check.passed" if passed else "check.sent_back"
        record(action, by=by, at=at, job=locked, data={"check": made.pk, "words": words})
        if pressed is not None:
            keep(pressed, check=made.pk)
    return made


def _fits_passing(job: Job, back: list[str], here: set[int]) -> None:
    if back:
        raise Refused(
            f"“{back[0]}” is marked sent back, so the check is not passed. Send the job back, or mark it done."
        )
    missing = [one.words for one in job.accessories.all() if one.left and one.pk not in here]
    if missing:
        raise Refused(f"Not seen here: {', '.join(missing)}. Find it first, then pass the check.")
