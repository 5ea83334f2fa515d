"""How the bench pages answer a press: done and back to the page, or refused where it happened with what was typed."""

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Job
from jobs.book.refusals import Again, Fault, Refused, Stale
from jobs.scan.reads import bench_page, find_job
from shop.people.doors import person_of
from shop.profile.reads import profile


def job_or_404(number: str) -> Job:
    """A job with what the gate reads, or 404."""
    job = find_job(number)
    if job is None:
        raise Http404
    return job


def bench_answer(request: HttpRequest, job: Job, *, fault: Fault | None = None, status: int = 200) -> HttpResponse:
    """The page of one job in the hand."""
    shop, now = profile(), timezone.now()
    page = bench_page(job, person_of(request), shop=shop, at=now)
    # `here` spares the page a dozen look-ups of addresses: every press lies under it
    here = reverse("scan:bench", args=[job.number])
    context = {"page": page, "job": job, "here": here, "shop": shop, "now": now, "fault": fault or Fault()}
    return render(request, "scan/bench.html", context, status=status)


def pressed(request: HttpRequest, number: str, where: str, do: Callable[[Job], str]) -> HttpResponse:
    """Do one thing to a job. `do` returns what to say when done; a refusal is shown in the part called `where`."""
    job = job_or_404(number)
    try:
        said = do(job)
    except Again:
        return redirect("scan:bench", number=number)
    except Refused as refusal:
        fault = Fault(where, refusal.words, {name: str(value) for name, value in request.POST.items()})
        return bench_answer(request, job_or_404(number), fault=fault, status=409 if isinstance(refusal, Stale) else 422)
    if said:
        messages.success(request, said)
    return redirect("scan:bench", number=number)


def number_in(request: HttpRequest, name: str) -> int:
    """An id or revision of a form; anything else is an old page."""
    try:
        return int(request.POST.get(name, ""))
    except ValueError as fault:
        raise Refused("This page is out of date. Open it again and repeat the last step.") from fault


def key_in(request: HttpRequest) -> str:
    """The press key of a form that makes something; without one it is an old page."""
    key = request.POST.get("key", "")
    if not key:
        raise Refused("This page is out of date. Open it again and repeat the last step.")
    return key
