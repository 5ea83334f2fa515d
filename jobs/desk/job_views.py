"""The job page, and the files that belong to a job."""

import mimetypes

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.book.models import Job
from jobs.desk.job_reads import find_job, job_page
from jobs.papers.models import Paper
from jobs.photos.models import Photo
from shop.people.doors import may_or_403, opens, person_of
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.reads import profile

# Which acts open a kind of paper: notes and releases name the owner's address, the others money.
PAPER_ACTS: dict[str, tuple[Act, ...]] = {
    "note": (Act.SEE_OWNER, Act.TAKE_IN),
    "release": (Act.SEE_OWNER,),
    "estimate": (Act.SEE_MONEY, Act.EXAMINE),
    "invoice": (Act.SEE_MONEY,),
    "receipt": (Act.SEE_MONEY,),
}


def _job_or_404(number: str) -> Job:
    job = find_job(number)
    if job is None:
        raise Http404
    return job


@require_GET
@opens(Act.SEE_JOB)
def job(request: HttpRequest, number: str) -> HttpResponse:
    """Everything about one job."""
    return _page(request, _job_or_404(number))


def _page(request: HttpRequest, job: Job, *, status: int = 200) -> HttpResponse:
    page = job_page(job, person_of(request), shop=profile(), at=timezone.now())
    return render(request, "desk/job.html", {"page": page, "job": job}, status=status)


def may_open(person: Person, paper: Paper) -> bool:
    """Whether this person may read a paper of this kind."""
    return any(person.may(act) for act in PAPER_ACTS[paper.kind])


@require_GET
@opens(Act.SEE_JOB)
def paper(request: HttpRequest, pk: int) -> HttpResponseBase:
    """A sealed paper as it was sealed."""
    found = get_object_or_404(Paper, pk=pk)
    if not may_open(person_of(request), found):
        may_or_403(person_of(request), PAPER_ACTS[found.kind][0])
    if not found.pdf:
        return render(request, "desk/paper_due.html", {"paper": found}, status=404)
    return FileResponse(found.pdf.open("rb"), content_type="application/pdf", filename=f"{found.kind}-{found.number}.pdf")


@require_GET
@opens(Act.SEE_JOB)
def photo(request: HttpRequest, pk: int, size: str) -> HttpResponseBase:
    """One of the sizes made from a photo; never the original, which may hold the place it was taken."""
    found = get_object_or_404(Photo, pk=pk)
    if size not in {"small", "large"}:
        raise Http404
    file = found.small if size == "small" else found.large
    if not file:
        raise Http404
    kind = mimetypes.guess_type(file.name or "")[0] or "application/octet-stream"
    response = FileResponse(file.open("rb"), content_type=kind)
    response["Cache-Control"] = "private, max-age=600"
    return response


@require_GET
@opens(Act.PRINT_TAG)
def tag_pdf(request: HttpRequest, number: str) -> HttpResponseBase:
    """The tag of the job's item, to print."""
    raise Http404
