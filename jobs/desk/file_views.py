"""The files that belong to a job: papers, photos, the tag to print."""

from contextlib import suppress

from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.papers.access import PAPER_ACTS, may_open
from jobs.papers.models import Paper
from jobs.papers.reads import DamagedFileError, file_name, read_pdf
from jobs.papers.steps import print_paper, try_again
from jobs.photos.models import Photo
from jobs.photos.serving import photo_response
from jobs.tags.drawing import tags_pdf
from jobs.tags.reads import live_tag, tag_text
from shop.people.doors import may_or_403, opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


@require_GET
@opens(Act.SEE_JOB)
def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """A paper as it was sealed. One that nobody printed yet is printed now."""
    found = get_object_or_404(Paper, pk=pk)
    if not may_open(person_of(request), found):
        may_or_403(person_of(request), PAPER_ACTS[found.kind][0])
    if found.state == "due":
        print_paper(found.pk, at=timezone.now())
        found.refresh_from_db()
    if found.state != "made":
        return render(request, "desk/paper_due.html", {"paper": found, "fault": ""}, status=404)
    try:
        pdf = read_pdf(found)
    except DamagedFileError as fault:
        return render(request, "desk/paper_due.html", {"paper": found, "fault": str(fault)}, status=404)
    return _pdf(pdf, file_name(found))


@require_POST
@opens(Act.SEE_JOB)
def paper_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Have a paper printed that failed; a second press finds it printed or being printed."""
    found = get_object_or_404(Paper, pk=pk)
    if not may_open(person_of(request), found):
        may_or_403(person_of(request), PAPER_ACTS[found.kind][0])
    with suppress(Refused):
        try_again(found, by=person_of(request), at=timezone.now())
    return redirect("desk:paper", pk=found.pk)


@require_GET
@opens(Act.SEE_JOB)
def photo(request: HttpRequest, pk: int, size: str) -> HttpResponseBase:
    """A photo of a job, small or large; never the original, which may hold the place it was taken."""
    found = get_object_or_404(Photo, pk=pk, sitting=None)
    return photo_response(found, size, at=timezone.now())


@require_GET
@opens(Act.PRINT_TAG)
def tag_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """The tag of the job's item, to print: 62 × 100 mm."""
    job = Job.objects.select_related("item", "item__owner").filter(number=number).first()
    tag = live_tag(job.item) if job else None
    if job is None or tag is None:
        raise Http404
    tag.item = job.item
    return _pdf(tags_pdf([tag_text(tag, job, profile())], at=timezone.now()), f"tag-{job.number}.pdf")


def _pdf(data: bytes, name: str) -> HttpResponse:
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
