"""Handing things back at the counter: one job, and what else of its owner is ready, in one go."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.book.apart import parties_apart
from jobs.book.models import Job, Party
from jobs.book.refusals import Again, Refused, Stale
from jobs.handover.forms import HandOverForm
from jobs.handover.notices import otherwise, still_here
from jobs.handover.reads import going, parcels, who_may_collect
from jobs.handover.steps import hand_over, money_words
from jobs.papers.steps import print_paper
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile


@require_http_methods(["GET", "POST"])
@opens(Act.RELEASE)
def release(request: HttpRequest, number: str) -> HttpResponse:
    """Tick each thing, name the collector, let them sign, send it home; with it what else of the owner is ready."""
    job = Job.objects.select_related("item").filter(number=number).first()
    if job is None:
        raise Http404
    if job.closed_at is not None:
        return _home(request, job)
    shop, now = profile(), timezone.now()
    shown, ticked = parcels(job, shop), request.POST.getlist("thing")
    collectors = who_may_collect(shown)
    form = HandOverForm(parties_apart(collectors), request.POST or None)
    fault, status = "", 422
    if request.method == "POST":
        try:
            if form.is_valid():
                made = hand_over(
                    going(shown, ticked),
                    ticked=ticked,
                    collector=get_object_or_404(Party, pk=form.cleaned_data["collector"]),
                    collector_name=form.cleaned_data["collector_name"],
                    identity_note=form.cleaned_data["identity_note"],
                    signed=form.signed(at=now, zone=shop.zone),
                    by=person_of(request),
                    at=now,
                    key=request.POST.get("key", ""),
                )
                if made[0].paper_id is not None:
                    print_paper(made[0].paper_id, at=timezone.now())
                return redirect("handover:release", number=job.number)
            fault = "Something is still missing; it is marked below."
        except Again:
            return redirect("handover:release", number=job.number)
        except Refused as refusal:
            fault, status = refusal.words, 409 if isinstance(refusal, Stale) else 422
    money = money_words(job, shop, now)
    page = {
        "job": job,
        "parcels": shown,
        "more": len(shown) - 1,
        "beside": still_here(shown),
        "otherwise": otherwise(shown, shop),
        "ticked": ticked,
        "form": form,
        "fault": fault,
        "blocked": shown[0].blocked,
        "money_words": money,
        "unpaid": money.startswith("Not paid"),
    }
    return render(request, "handover/release.html", page, status=status if fault else 200)


def _home(request: HttpRequest, job: Job) -> HttpResponse:
    made = job.releases.select_related("by", "paper").prefetch_related("things").first()
    together = (
        list(made.paper.releases.select_related("job", "job__item").prefetch_related("things").order_by("job__number"))
        if made is not None and made.paper is not None
        else [made]
        if made is not None
        else []
    )
    return render(request, "handover/home.html", {"job": job, "release": made, "together": together})
