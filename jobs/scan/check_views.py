"""The second check: intake photos beside new ones, each agreed line, everything that was left here, the verdict."""

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.book.models import Job
from jobs.book.refusals import Again, Fault, Refused, Stale
from jobs.book.stages import PLACE, Stage
from jobs.moves.judging import judge
from jobs.photos.steps import receive
from jobs.scan.answers import job_or_404, key_in, number_in
from jobs.scan.check_reads import check_page, views_asked
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.typed import whole

BACK_TO = {Stage.SET.value: Stage.SET, Stage.BEN.value: Stage.BEN}


@require_http_methods(["GET", "POST"])
@opens(Act.CHECK)
def check(request: HttpRequest, number: str) -> HttpResponse:
    """Look at it, tick each line, pass it or send it back in one press."""
    job = job_or_404(number)
    if request.method == "GET":
        return _page(request, job)
    try:
        back_to = _verdict(request)
        judge(
            job,
            ticks={
                name.removeprefix("line-"): str(value)
                for name, value in request.POST.items()
                if name.startswith("line-")
            },
            here={whole(pk) for pk in request.POST.getlist("here")},
            back_to=back_to,
            words=request.POST.get("words", ""),
            by=person_of(request),
            at=timezone.now(),
            seen=number_in(request, "seen"),
            key=key_in(request),
        )
    except Again:
        return redirect("scan:bench", number=number)
    except Refused as refusal:
        status = 409 if isinstance(refusal, Stale) else 422
        return _page(request, job_or_404(number), fault=Fault("check", refusal.words), status=status)
    said = f"Sent back to {PLACE[back_to].name}." if back_to else "The second check is passed."
    messages.success(request, said)
    return redirect("scan:bench", number=number)


def _verdict(request: HttpRequest) -> Stage | None:
    verdict = request.POST.get("verdict", "")
    if verdict == "passed":
        return None
    if verdict not in BACK_TO:
        raise Refused("Say whether it is passed or where it goes back to.")
    return BACK_TO[verdict]


@require_POST
@opens(Act.CHECK)
def photos(request: HttpRequest, number: str) -> HttpResponse:
    """Keep the photos taken for the check, one a view."""
    job, kept, fault = job_or_404(number), 0, Fault()
    for view in views_asked(job):
        upload = request.FILES.get(f"view-{view}")
        if not isinstance(upload, UploadedFile):
            continue
        try:
            receive(
                upload,
                purpose="check",
                by=person_of(request),
                at=timezone.now(),
                send_key=f"{key_in(request)}-{view}"[:60],
                job=job,
                view=view,
            )
            kept += 1
        except Refused as refusal:
            fault = Fault(f"view-{view}", refusal.words)
    if not kept and not fault.words:
        fault = Fault("photos", "No photo was chosen. Take one from the same side, then keep it.")
    if fault.words:
        return _page(request, job, fault=fault, status=422)
    messages.success(request, "1 photo is kept." if kept == 1 else f"{kept} photos are kept.")
    return redirect("scan:check", number=number)


def _page(request: HttpRequest, job: Job, *, fault: Fault | None = None, status: int = 200) -> HttpResponse:
    page = check_page(job, person_of(request), request.POST)
    context = {"page": page, "job": job, "fault": fault or Fault(), "typed": request.POST}
    return render(request, "scan/check.html", context, status=status)
