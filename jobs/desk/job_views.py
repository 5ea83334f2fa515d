"""The job page and what may be pressed on it."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.bench.rest_reads import asked_of
from jobs.bench.waits import set_wait
from jobs.book.models import Hold, Job
from jobs.book.parties import assign, lay_hold, lift_hold
from jobs.book.parties import promise as promise_day
from jobs.book.refusals import Refused
from jobs.book.stages import CLOSINGS, PLACE, Stage
from jobs.custody.models import Location
from jobs.custody.steps import see
from jobs.desk.answers import job_answer, job_or_404, key_in, number_in, pressed
from jobs.moves import steps as moves
from jobs.moves.resting import move_as_asked
from jobs.photos.models import Photo
from jobs.photos.steps import choose_for_owner
from jobs.tags.steps import reissue
from shop.people.doors import opens, person_of
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole


@require_GET
@opens(Act.SEE_JOB)
def job(request: HttpRequest, number: str) -> HttpResponse:
    """Everything about one job."""
    return job_answer(request, job_or_404(number))


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
        back = moves.undo(
            job.pk, by=person_of(request), at=timezone.now(), seen=number_in(request, "seen"), key=key_in(request)
        )
        return f"Taken back: it hangs on {PLACE[back.now].name} again."

    return pressed(request, number, "undo", do)


@require_POST
@opens(Act.MOVE)
def close(request: HttpRequest, number: str) -> HttpResponse:
    """Close it without a handing over, with the reason."""

    def do(job: Job) -> str:
        closed_as = request.POST.get("as", "")
        moves.close(
            job.pk,
            closed_as,
            by=person_of(request),
            at=timezone.now(),
            seen=number_in(request, "seen"),
            key=key_in(request),
            reason=request.POST.get("reason", ""),
        )
        return f"It is closed: {CLOSINGS[closed_as]}."

    return pressed(request, number, "close", do)


@require_POST
@opens(Act.EXAMINE)
def nothing_needed(request: HttpRequest, number: str) -> HttpResponse:
    """Write down that the examination found nothing to do."""

    def do(job: Job) -> str:
        if Stage(job.stage) not in {Stage.IN, Stage.EXA}:
            raise Refused("It is not at examination any more.")
        words = request.POST.get("words", "")
        moves.nothing_needed(job, by=person_of(request), at=timezone.now(), words=words, key=key_in(request))
        return "It is written down. It may go to Ready to collect now."

    return pressed(request, number, "nothing", do)


@require_POST
@opens(Act.ASSIGN)
def give(request: HttpRequest, number: str) -> HttpResponse:
    """Give it to someone, or to nobody."""

    def do(job: Job) -> str:
        to: Person | None = None
        if request.POST.get("to") != "nobody":
            to = Person.objects.filter(pk=number_in(request, "to"), is_active=True).first()
            if to is None or not to.may(Act.MOVE):
                raise Refused("Choose someone who works here.")
        assign(job, to, by=person_of(request), at=timezone.now())
        return f"{to.short} has it now." if to else "Nobody has it now."

    return pressed(request, number, "give", do)


@require_POST
@opens(Act.MOVE)
def promise(request: HttpRequest, number: str) -> HttpResponse:
    """Say by which day it should be ready, and how sure that is."""

    def do(job: Job) -> str:
        typed = request.POST.get("day", "").strip()
        try:
            day = date.fromisoformat(typed) if typed else None
        except ValueError as fault:
            raise Refused(f"“{typed}” is not a day. Choose it again.") from fault
        anyway = bool(request.POST.get("anyway"))
        sure = request.POST.get("sure", "")
        promise_day(job, day, sure, by=person_of(request), at=timezone.now(), anyway=anyway)
        return "The day is promised." if day else "No day is promised now."

    return pressed(request, number, "promise", do)


@require_POST
@opens(Act.HOLD)
def hold(request: HttpRequest, number: str) -> HttpResponse:
    """Lay tape: it waits."""

    def do(job: Job) -> str:
        lay_hold(
            job, request.POST.get("kind", ""), request.POST.get("words", ""), by=person_of(request), at=timezone.now()
        )
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
            how="hand",
            job=job,
            key=key_in(request),
        )
        return f"It is on {location}."

    return pressed(request, number, "place", do)


@require_POST
@opens(Act.CHOOSE_PHOTOS)
def choose_photo(request: HttpRequest, number: str) -> HttpResponse:
    """Let the owner see a photo, or no longer."""

    def do(job: Job) -> str:
        photo = Photo.objects.filter(pk=number_in(request, "photo"), job=job).first()
        if photo is None:
            raise Refused("That photo is not of this job. Look again.")
        may_see = request.POST.get("may") == "1"
        choose_for_owner(photo, may_see, by=person_of(request), at=timezone.now())
        return "The owner may see that photo now." if may_see else "The owner does not see that photo any more."

    return pressed(request, number, "photos", do)


@require_POST
@opens(Act.PRINT_TAG)
def new_tag(request: HttpRequest, number: str) -> HttpResponse:
    """A new tag in place of a torn or lost one: the old code is dead from now."""

    def do(job: Job) -> str:
        reason, torn = request.POST.get("reason", ""), whole(request.POST.get("tag", "")) or None
        if not reason.strip():
            raise Refused("Write what happened to the old tag.")
        made = reissue(job.item, torn=torn, reason=reason, by=person_of(request), at=timezone.now(), job=job)
        # pressed twice: the new tag is there
        return "The old tag is dead. Print the new one and hang it on." if made else ""

    return pressed(request, number, "tag", do)
