"""A job put on its right item or under its right party; a photo put on its right job; a paper printed again."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.corrections import CHANGEABLE, OF_ITEM
from jobs.book.models import Item, Job, Party
from jobs.book.refusals import Again, Fault, Refused
from jobs.moves.putting_right import change_party, move_back, move_photo, put_on_item, why_it_stays
from jobs.papers.access import PAPER_ACTS, may_open
from jobs.papers.models import Paper
from jobs.papers.steps import reprinted
from jobs.photos.filing import belongs_also, not_also
from jobs.photos.models import Photo
from jobs.register.presses import fault_of, id_in, status_of, wanted
from jobs.register.right_reads import find_job, find_photo, picture_page, right_page
from shop.people.doors import may_or_403, opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole


def _job_or_404(number: str) -> Job:
    found = find_job(number)
    if found is None:
        raise Http404
    return found


def _answer(request: HttpRequest, job: Job, *, fault: Fault | None = None, status: int = 200) -> HttpResponse:
    shop = profile()
    page = right_page(
        job, sought=request.GET.get("item", "")[:80], who=request.GET.get("who", "")[:80], region=shop.region
    )
    context = {"page": page, "job": job, "fault": fault or Fault(), "shop": shop}
    return render(request, "register/put_right.html", context, status=status)


@require_GET
@opens(Act.CORRECT_JOB, Act.CORRECT_OWNER)
def put_right(request: HttpRequest, number: str) -> HttpResponse:
    """What may be put right of a job: its item, and who stands for whom."""
    return _answer(request, _job_or_404(number))


@require_POST
@opens(Act.CORRECT_JOB)
def item(request: HttpRequest, number: str) -> HttpResponse:
    """Put the job on the item it was meant for: one of the book, or a new one."""
    job = _job_or_404(number)
    try:
        chosen = request.POST.get("item", "")
        right = Item.objects.filter(pk=whole(chosen)).first()
        if right is None and chosen != "new":
            raise Refused("Choose which item it is.")
        put = put_on_item(
            job.pk,
            item=right,
            new=wanted(request, OF_ITEM),
            was_away=bool(request.POST.get("away")),
            reason=request.POST.get("reason", ""),
            by=person_of(request),
            at=timezone.now(),
            seen=id_in(request, "seen"),
            key=request.POST.get("key", ""),
        )
    except Again:
        return redirect("desk:job", number=number)
    except Refused as refusal:
        return _answer(
            request, _job_or_404(number), fault=fault_of("item", refusal, request), status=status_of(refusal)
        )
    messages.success(request, f"{number} is on {put.job.item.title} now. {' '.join(put.words)}")
    return redirect("desk:job", number=number)


@require_POST
@opens(Act.CORRECT_OWNER)
def party(request: HttpRequest, number: str) -> HttpResponse:
    """Put the right party in a wrong one's place."""
    job = _job_or_404(number)
    try:
        was = Party.objects.filter(pk=whole(request.POST.get("was", ""))).first()
        to = Party.objects.filter(pk=whole(request.POST.get("to", ""))).first()
        if was is None or to is None:
            raise Refused("Choose who it is instead.")
        turned = change_party(
            job.pk,
            was=was,
            to=to,
            roles=[role for role in request.POST.getlist("role") if role in CHANGEABLE],
            reason=request.POST.get("reason", ""),
            by=person_of(request),
            at=timezone.now(),
            seen=id_in(request, "seen"),
            key=request.POST.get("key", ""),
        )
    except Again:
        return redirect("desk:job", number=number)
    except Refused as refusal:
        return _answer(
            request, _job_or_404(number), fault=fault_of("party", refusal, request), status=status_of(refusal)
        )
    said = ["It is put right."]
    if turned.shut:
        said.append("The secret link of the first is dead.")
    if turned.dropped:
        said.append(f"{turned.dropped} letter{'' if turned.dropped == 1 else 's'} to the first will not be sent.")
    messages.success(request, " ".join(said))
    return redirect("desk:job", number=number)


def _photo_or_404(pk: int) -> Photo:
    found = find_photo(pk)
    if found is None:
        raise Http404
    return found


def _picture(request: HttpRequest, photo: Photo, *, fault: Fault | None = None, status: int = 200) -> HttpResponse:
    page = picture_page(photo, stays=why_it_stays(photo))
    context = {"page": page, "photo": photo, "job": photo.job, "fault": fault or Fault(), "shop": profile()}
    return render(request, "register/picture.html", context, status=status)


@require_GET
@opens(Act.CHOOSE_PHOTOS, Act.CORRECT_JOB)
def picture(request: HttpRequest, pk: int) -> HttpResponse:
    """One photo and where it belongs."""
    return _picture(request, _photo_or_404(pk))


@require_POST
@opens(Act.CHOOSE_PHOTOS, Act.CORRECT_JOB)
def picture_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Move a photo to another job, mark it as belonging there too, or take either back."""
    photo, person, now = _photo_or_404(pk), person_of(request), timezone.now()
    do = request.POST.get("do", "")
    try:
        if do == "back":
            photo = move_back(photo.pk, on=id_in(request, "on"), by=person, at=now)
            said = f"Moved back: it is on {photo.job} again."
        else:
            to = _named_job(request)
            if do == "also":
                belongs_also(photo, to, by=person, at=now)
                said = f"It belongs to {to.number} too."
            elif do == "not-also":
                not_also(photo, to, by=person, at=now)
                said = f"It does not belong to {to.number} any more."
            else:
                move_photo(photo.pk, to, on=id_in(request, "on"), by=person, at=now)
                said = f"Moved to {to.number}. The owner does not see it until you choose so there."
    except Refused as refusal:
        return _picture(request, _photo_or_404(pk), fault=fault_of("move", refusal, request), status=status_of(refusal))
    messages.success(request, said)
    return redirect("register:picture", pk=pk)


def _named_job(request: HttpRequest) -> Job:
    """The job chosen from the list, or typed: its whole number, or what stands after the year."""
    typed = (request.POST.get("other", "") or request.POST.get("job", "")).strip()[:12]
    jobs = Job.objects.select_related("item")
    found = jobs.filter(number=typed).first()
    if found is None and typed.isdecimal() and len(typed) >= 3:
        found = jobs.filter(number__endswith=f"-{typed}").order_by("-pk").first()
    if found is None:
        raise Refused(
            f"There is no job {typed}. Look at its number again." if typed else "Choose which job it belongs to."
        )
    return found


@require_POST
@opens(Act.SEE_JOB)
def reprint(request: HttpRequest, pk: int) -> HttpResponse:
    """Print a paper again: the same sealed file, and an entry that says so."""
    found = get_object_or_404(Paper.objects.select_related("job", "visit"), pk=pk)
    if not may_open(person_of(request), found):
        may_or_403(person_of(request), PAPER_ACTS[found.kind][0])
    if found.state == "made":
        reprinted(found, by=person_of(request), at=timezone.now())
    return redirect("desk:paper", pk=found.pk)
