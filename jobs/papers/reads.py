"""What pages and steps ask about papers."""

from hashlib import sha256
from typing import Any

from django.db.models import Q, QuerySet

from jobs.book.models import Job
from jobs.papers.canonical import short
from jobs.papers.models import Paper, paper_store


class DamagedFileError(Exception):
    """The kept file is missing, or is no longer the one that was sealed."""


def read_pdf(paper: Paper) -> bytes:
    """The sealed file of a made paper, compared with the book's hash first. `DamagedFileError` when it is not the same."""
    if paper.state != "made":
        raise DamagedFileError(f"{paper} has no file yet.")
    try:
        with paper_store().open(paper.pdf.name or "", "rb") as kept:
            pdf = bytes(kept.read())
    except OSError as fault:
        raise DamagedFileError(f"The file of {paper} is missing.") from fault
    if sha256(pdf).hexdigest() != paper.pdf_sha256:
        raise DamagedFileError(f"The file of {paper} is no longer the one that was sealed.")
    return pdf


def file_name(paper: Paper) -> str:
    """What a browser calls the file: "condition-note-N26-0012.pdf"."""
    return f"{paper.get_kind_display().replace(' ', '-')}-{paper.number}.pdf"


def short_hash(paper: Paper) -> str:
    """The paper's own hash as people compare it."""
    return short(paper.text_sha256)


def papers_of(job: Job) -> QuerySet[Paper]:
    """Papers of a job, of several with it, and of the visit it came with, oldest first. One query."""
    about = Q(job=job) | Q(pk__in=shared_with(job))
    if job.visit_id:
        about |= Q(visit=job.visit_id)
    return Paper.objects.filter(about).order_by("position")


def shared_with(job: Job) -> QuerySet[Any, int]:
    """Ids of papers over several jobs of which this is one. For use in another query."""
    return Paper.also.through.objects.filter(job=job).values_list("paper", flat=True)


def failed() -> QuerySet[Paper]:
    """Papers that could not be printed, for the desk. One query."""
    return Paper.objects.filter(state="failed").select_related("job", "visit").order_by("pk")


def named(*, text_sha256: str = "", pdf_sha256: str = "") -> Paper | None:
    """The paper of a hash: of its text or of its whole file. One query."""
    known = {"text_sha256": text_sha256} if text_sha256 else {"pdf_sha256": pdf_sha256}
    return Paper.objects.filter(**known).first() if any(known.values()) else None


def numbered(*, kind: str, number: str) -> Paper | None:
    """The paper of a kind and number. One query, none without a number."""
    return Paper.objects.filter(kind=kind, number=number).first() if number else None


def chain_faults() -> list[str]:
    """Walk the whole chain: each text must fit its hash and name the one before it. One query, all papers read."""
    faults, before, position = [], "", 0
    for paper in Paper.objects.order_by("position").iterator():
        position += 1
        if paper.position != position:
            faults.append(f"Paper {position} is missing from the book.")
            position = paper.position
        elif before and paper.previous_sha256 != before:
            faults.append(f"{paper} does not follow the paper before it.")
        if sha256(paper.text.encode()).hexdigest() != paper.text_sha256:
            faults.append(f"The text of {paper} was changed in the book.")
        before = paper.text_sha256
    return faults
