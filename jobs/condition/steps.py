"""Writing the note's lines at intake, and findings beside it later."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.condition.lines import NewLine
from jobs.condition.models import ConditionLine, Finding
from jobs.condition.scales import FRESHNESS, SEVERITY, STABILITY
from jobs.photos.models import Photo
from shop.people.models import Person


def add_lines(job: Job, lines: Sequence[NewLine]) -> list[ConditionLine]:
    """Write a job's condition lines, numbered from 1, in the transaction that seals their note. One statement."""
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("Condition lines are written in the transaction of their note.")
    for line in lines:
        if line.severity not in SEVERITY or line.stability not in STABILITY or line.freshness not in FRESHNESS:
            raise Refused(f"Say how bad, how steady and how fresh “{line.term_words}” is, or “Not known”.")
    return ConditionLine.objects.bulk_create(
        [
            ConditionLine(
                job=job,
                number=number,
                term=line.term,
                term_words=line.term_words,
                words=line.words,
                part=line.part,
                where=line.where,
                extent_mm=line.extent_mm,
                severity=line.severity,
                stability=line.stability,
                freshness=line.freshness,
                photo_id=line.photo_id,
            )
            for number, line in enumerate(lines, 1)
        ]
    )


def add_finding(
    job: Job, words: str, *, by: Person, at: datetime, key: str = "", photo: Photo | None = None
) -> Finding:
    """Write down what was found after the note was signed. The note itself is never changed."""
    words = words.strip()
    if not words:
        raise Refused("Write what was found.")
    with transaction.atomic():
        pressed = press(key, "finding", at=at) if key else None
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if locked.closed_at is not None:
            raise Refused("This job is closed. A new finding belongs to a new job.")
        finding = Finding.objects.create(job=locked, words=words, photo=photo, at=at, by=by)
        data = {"finding": finding.pk, "photo": photo.pk if photo else None}
        record("finding.added", by=by, at=at, job=locked, data=data)
        if pressed is not None:
            keep(pressed, finding=finding.pk)
    return finding


def findings_go_along(photo: Photo, to: Job) -> list[int]:
    """Findings written with a photo go with it to another job. Returns their ids. Call inside a transaction."""
    findings = Finding.objects.filter(photo=photo, job=photo.job)
    ids = list(findings.order_by("pk").values_list("pk", flat=True))
    findings.update(job=to)
    return ids
