"""Handing a job's things back at the counter."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.book.apart import parties_apart
from jobs.book.beside import beside, still_open
from jobs.book.kinds import silhouette
from jobs.book.models import Job, Party
from jobs.book.refusals import Again, Refused
from jobs.custody.giving import collectors_of, things_of
from jobs.handover.forms import HandOverForm
from jobs.handover.steps import hand_over, money_words, why_not
from jobs.papers.otherwise import named_otherwise
from jobs.papers.steps import print_paper
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


@require_http_methods(["GET", "POST"])
@opens(Act.RELEASE)
def release(request: HttpRequest, number: str) -> HttpResponse:
    """Tick each thing, name the collector, let them sign, send it home."""
    job = Job.objects.select_related("item").filter(number=number).first()
    if job is None:
        raise Http404
    if job.closed_at is not None:
        return _home(request, job)
    collectors = collectors_of(job)
    form = HandOverForm(parties_apart(collectors), request.POST or None)
    fault, shop, now = "", profile(), timezone.now()
    if request.method == "POST":
        try:
            if form.is_valid():
                made = hand_over(
                    job.pk,
                    ticked=request.POST.getlist("thing"),
                    collector=get_object_or_404(Party, pk=form.cleaned_data["collector"]),
                    collector_name=form.cleaned_data["collector_name"],
                    identity_note=form.cleaned_data["identity_note"],
                    signed=form.signed(at=now, zone=shop.zone),
                    by=person_of(request),
                    at=now,
                    key=request.POST.get("key", ""),
                )
                if made.paper_id is not None:
                    print_paper(made.paper_id, at=timezone.now())
                return redirect("handover:release", number=job.number)
            fault = "Something is still missing; it is marked below."
        except Again:
            return redirect("handover:release", number=job.number)
        except Refused as refusal:
            fault = refusal.words
    page = {
        "job": job,
        "silhouette": silhouette(job.item.kind, job.item.size),
        "things": things_of(job),
        "ticked": request.POST.getlist("thing"),
        "form": form,
        "fault": fault,
        "blocked": why_not(job, shop),
        "money_words": money_words(job, shop, now),
        "beside": [(one, still_open(one, job.item)) for one in beside(job)],
        "otherwise": named_otherwise(job, shop.zone),
    }
    return render(request, "handover/release.html", page, status=422 if fault else 200)


def _home(request: HttpRequest, job: Job) -> HttpResponse:
    made = job.releases.select_related("by", "paper").prefetch_related("things").first()
    return render(request, "handover/home.html", {"job": job, "release": made})
