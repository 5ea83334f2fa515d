"""The job in the hand: take it, give it, move it, start and stop the clock, note, photo, tape, place."""

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.bench import steps as bench_steps
from jobs.bench.models import WorkSpell
from jobs.bench.reads import work_of
from jobs.bench.rest_reads import asked_of
from jobs.bench.waits import set_wait
from jobs.book.models import Hold, Job
from jobs.book.parties import assign, lay_hold, lift_hold
from jobs.book.refusals import Again, Fault, Refused
from jobs.book.stages import PLACE, Stage
from jobs.condition.steps import add_finding
from jobs.custody.models import Location
from jobs.custody.steps import see
from jobs.estimates.models import Line
from jobs.moves.resting import move_as_asked
from jobs.moves.steps import undo as undo_move
from jobs.photos.steps import receive
from jobs.scan.answers import bench_answer, job_or_404, key_in, number_in, pressed
from jobs.scan.reads import face_of
from jobs.tags.codes import grouped
from jobs.tags.reads import live_tag
from shop.people.doors import opens, person_of
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole


@require_GET
@opens(Act.SEE_JOB)
def bench(request: HttpRequest, number: str) -> HttpResponse:
    """The page behind the tag, by the job's number."""
    return bench_answer(request, job_or_404(number))


@require_POST
@opens(Act.MOVE)
def move(request: HttpRequest, number: str) -> HttpResponse:
    """Hang it on another stage."""

    def do(job: Job) -> str:
        try:
            to = Stage(request.POST.get("to", ""))
        except ValueError as fault:
            raise Refused("Choose where it may hang next.") from fault
        seen, key = number_in(request, "seen"), key_in(request)
        move_as_asked(job, to, request.POST, by=person_of(request), at=timezone.now(), seen=seen, key=key)
        return f"It hangs on {PLACE[to].name} now."

    where = "anyway" if request.POST.get("anyway") else f"move-{request.POST.get('to', '')}"
    return pressed(request, number, where, do)


@require_POST
@opens(Act.MOVE)
def rest(request: HttpRequest, number: str) -> HttpResponse:
    """Say until when it rests, or put that right."""

    def do(job: Job) -> str:
        shop, at = profile(), timezone.now()
        asked = asked_of(job, {name: str(value) for name, value in request.POST.items()}, shop=shop, at=at)
        set_wait(job, asked, by=person_of(request), at=at, zone=shop.zone)
        return "The end of its rest is written down."

    return pressed(request, number, "rest", do)


@require_POST
@opens(Act.MOVE)
def undo(request: HttpRequest, number: str) -> HttpResponse:
    """Take one's own last move back."""

    def do(job: Job) -> str:
        back = undo_move(
            job.pk, by=person_of(request), at=timezone.now(), seen=number_in(request, "seen"), key=key_in(request)
        )
        return f"Taken back: it hangs on {PLACE[back.now].name} again."

    return pressed(request, number, "undo", do)


@require_POST
@opens(Act.ASSIGN)
def give(request: HttpRequest, number: str) -> HttpResponse:
    """Take it, or give it to another."""

    def do(job: Job) -> str:
        to = Person.objects.filter(pk=number_in(request, "to"), is_active=True).first()
        if to is None or not to.may(Act.MOVE):
            raise Refused("Choose someone who works here.")
        assign(job, to, by=person_of(request), at=timezone.now())
        return "You have it now." if to == request.user else f"{to.short} has it now."

    return pressed(request, number, "give", do)


@require_POST
@opens(Act.WORK)
def start(request: HttpRequest, number: str) -> HttpResponse:
    """Start one's clock on a line of agreed work."""

    def do(job: Job) -> str:
        started = bench_steps.start(
            job, _line(request, job), by=person_of(request), at=timezone.now(), key=key_in(request)
        )
        if started.stopped is None:
            return "Your clock runs."
        where = "" if started.stopped.job_id == job.pk else f" on {started.stopped.job.number}"
        return f"Your clock runs. The one{where} was stopped."

    return pressed(request, number, "work", do)


def _line(request: HttpRequest, job: Job) -> Line | None:
    key = request.POST.get("line", "")
    if key.isdecimal():
        # a line that is not agreed goes on to the step, which says so by name
        return Line.objects.filter(pk=whole(key), option__estimate__job=job).first()
    found = work_of(job).find(key)
    if found is None:
        raise Refused("Choose which agreed work you start.")
    return None


@require_POST
@opens(Act.WORK, Act.ASSIGN)
def stop(request: HttpRequest, number: str) -> HttpResponse:
    """Stop one's own clock, on whatever job it runs; or another's that was forgotten on this one."""

    def do(job: Job) -> str:
        spell = WorkSpell.objects.select_related("person", "job").filter(pk=number_in(request, "spell")).first()
        person = person_of(request)
        if spell is None:
            raise Refused("This page is out of date. Open it again and look whose clock runs.")
        if spell.person_id == person.pk:
            bench_steps.stop(spell, by=person, at=timezone.now())
            return "Your clock is stopped."
        if not person.may(Act.ASSIGN) or spell.job_id != job.pk:
            raise Refused(f"That is {spell.person.short}’s clock. Ask them to stop it.")
        bench_steps.stop(spell, by=person, at=timezone.now())
        return f"{spell.person.short}’s clock is stopped."

    return pressed(request, number, "clock", do)


@require_POST
@opens(Act.WORK, Act.HOLD)
def note(request: HttpRequest, number: str) -> HttpResponse:
    """Write a note or a new finding, with a photo or without."""

    def do(job: Job) -> str:
        person, now, key = person_of(request), timezone.now(), key_in(request)
        upload, words = request.FILES.get("photo"), request.POST.get("words", "")
        is_finding = bool(request.POST.get("finding"))
        if is_finding and not words.strip():
            raise Refused("Write what was found.")
        photo = None
        if isinstance(upload, UploadedFile):
            photo = receive(
                upload, purpose="bench", by=person, at=now, send_key=f"{key}-note"[:60], job=job, words=words
            )
        if is_finding:
            add_finding(job, words, by=person, at=now, photo=photo, key=key)
            return "The finding is written down beside the note."
        bench_steps.add_note(job, words, by=person, at=now, photo=photo, key=key)
        return "The photo is kept." if photo else "It is written down."

    return pressed(request, number, "note", do)


@require_POST
@opens(Act.HOLD)
def hold(request: HttpRequest, number: str) -> HttpResponse:
    """Lay tape: it waits."""

    def do(job: Job) -> str:
        kind, words = request.POST.get("kind", ""), request.POST.get("words", "")
        lay_hold(job, kind, words, by=person_of(request), at=timezone.now())
        return "Tape is laid."

    return pressed(request, number, "hold", do)


@require_POST
@opens(Act.HOLD)
def lift(request: HttpRequest, number: str) -> HttpResponse:
    """Lift tape."""

    def do(job: Job) -> str:
        laid = Hold.objects.select_related("job").filter(pk=number_in(request, "hold"), job=job).first()
        if laid is None:
            raise Refused("That tape is not on this job. Look again.")
        lift_hold(laid, by=person_of(request), at=timezone.now())
        return "Tape is lifted."

    return pressed(request, number, "hold", do)


@require_POST
@opens(Act.MOVE)
def place(request: HttpRequest, number: str) -> HttpResponse:
    """Say where it is put."""

    def do(job: Job) -> str:
        location = (
            Location.objects.filter(pk=number_in(request, "location")).first() if request.POST.get("location") else None
        )
        see(
            job.item,
            location,
            by=person_of(request),
            at=timezone.now(),
            how="scan",
            job=job,
            key=key_in(request),
        )
        return f"It is on {location}." if location else ""

    return pressed(request, number, "place", do)


@require_http_methods(["GET", "POST"])
@opens(Act.MOVE)
def not_this(request: HttpRequest, number: str) -> HttpResponse:
    """The thing in the hand is not the one in the photo: write it down, and what to do next."""
    job, fault = job_or_404(number), Fault()
    if request.method == "POST":
        words = request.POST.get("words", "")
        try:
            bench_steps.doubt_tag(job, words, by=person_of(request), at=timezone.now(), key=key_in(request))
        except Again:
            return redirect("scan:bench", number=number)
        except Refused as refusal:
            fault = Fault("doubt", refusal.words, {"words": words})
        else:
            messages.success(request, "It is written down. Hang no work on it until the tag is put right.")
            return redirect("scan:bench", number=number)
    tag = live_tag(job.item)
    page = {"job": job, "face": face_of(job.item), "code": grouped(tag.code) if tag else "", "fault": fault}
    return render(request, "scan/not_this.html", page, status=422 if fault.words else 200)
