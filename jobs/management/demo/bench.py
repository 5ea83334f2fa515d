"""The benches of the sample shop: who has it, where it hangs, clocks, notes, pictures, findings, tape, second checks."""

from jobs.bench.checks import DONE, check
from jobs.bench.models import WorkSpell
from jobs.bench.reads import work_of
from jobs.bench.steps import add_note, start, stop
from jobs.bench.waits import Asked
from jobs.book.models import Job
from jobs.book.parties import assign, lay_hold, lift_hold
from jobs.book.stages import Stage
from jobs.catalogue.models import Operation
from jobs.condition.steps import add_finding
from jobs.custody.steps import see
from jobs.estimates.models import Line
from jobs.estimates.reads import approved_lines
from jobs.management.demo.book import Told
from jobs.management.demo.orders import later_key
from jobs.management.demo.timeline import Event
from jobs.moves.resting import hang_to_rest
from jobs.moves.steps import move
from jobs.photos.models import Photo
from jobs.photos.steps import make, receive


def give(told: Told, event: Event) -> None:
    """Give it to somebody."""
    assign(told.job(event.job), told.people[event.more[0]], by=told.people[event.who], at=event.at)


def hang(told: Told, event: Event) -> None:
    """Hang it on another stage."""
    stage, *more = event.more
    if stage == Stage.CUR and more:
        what, words, day, clock = more
        job, asked = told.job(event.job), Asked(what, words, told.days.later(day, clock))
        hang_to_rest(job, asked, by=told.people[event.who], at=event.at, seen=job.revision, key=told.key())
        return
    _move(told, event, Stage(stage), more[0] if more else "")


def look(told: Told, event: Event) -> None:
    """Take it to be examined."""
    _move(told, event, Stage.EXA, "")


def _move(told: Told, event: Event, to: Stage, reason: str) -> None:
    job = told.job(event.job)
    move(job.pk, to, by=told.people[event.who], at=event.at, seen=job.revision, key=told.key(), reason=reason)


def begin(told: Told, event: Event) -> None:
    """The clock runs on a line of agreed work."""
    job = told.job(event.job)
    start(job, _line(job, event.more[0]), by=told.people[event.who], at=event.at, key=told.key())


def _line(job: Job, code: str) -> Line | None:
    if not code:
        return None
    operation = Operation.objects.get(code=code)
    found = [line for line in approved_lines(job) if line.operation_id == operation.pk]
    if not found:
        raise ValueError(f"{job} has no agreed work {code}.")
    return found[0]


def end(told: Told, event: Event) -> None:
    """The clock stops, unless other work has stopped it already."""
    running = WorkSpell.objects.filter(job=told.jobs[event.job], person=told.people[event.who], stopped_at__isnull=True)
    for spell in running:
        stop(spell, by=told.people[event.who], at=event.at)


def note(told: Told, event: Event) -> None:
    """A note at the bench."""
    add_note(told.job(event.job), event.more[0], by=told.people[event.who], at=event.at, key=told.key())


def picture(told: Told, event: Event) -> None:
    """A photograph at the bench, with a few words."""
    words = event.more[1]
    photo = _received(told, event, purpose="bench", view="", words=words)
    add_note(told.job(event.job), words, by=told.people[event.who], at=event.at, photo=photo, key=told.key())


def same(told: Told, event: Event) -> None:
    """The same view as on the day it came in, for the second check."""
    _received(told, event, purpose="check", view=event.more[0], words="")


def _received(told: Told, event: Event, *, purpose: str, view: str, words: str) -> Photo | None:
    if later_key(event) not in told.pictures:
        return None
    photo = receive(
        told.photo(later_key(event)),
        purpose=purpose,
        by=told.people[event.who],
        at=event.at,
        send_key=told.key(),
        view=view,
        words=words,
        job=told.job(event.job),
    )
    make(photo.pk, at=event.at)
    return photo


def find(told: Told, event: Event) -> None:
    """Something found after the note was signed."""
    add_finding(told.job(event.job), event.more[0], by=told.people[event.who], at=event.at, key=told.key())


def tape(told: Told, event: Event) -> None:
    """It waits for something."""
    kind, words = event.more
    lay_hold(told.job(event.job), kind, words, by=told.people[event.who], at=event.at)


def untape(told: Told, event: Event) -> None:
    """It waits for that no more."""
    for hold in told.job(event.job).holds.filter(kind=event.more[0], lifted_at__isnull=True):
        lift_hold(hold, by=told.people[event.who], at=event.at)


def second_check(told: Told, event: Event) -> None:
    """Somebody who did not do the work ticks every line and sees every thing."""
    job = told.job(event.job)
    check(
        job,
        ticks={line.key: DONE for line in work_of(job).agreed},
        here={one.pk for one in job.accessories.all() if one.left},
        passed=True,
        words=event.more[0],
        by=told.people[event.who],
        at=event.at,
        key=told.key(),
    )


def put(told: Told, event: Event) -> None:
    """Seen, or put, somewhere; “” has left the shop."""
    name, *how = event.more
    job, place = told.job(event.job), told.places[name] if name else None
    seen_how = how[0] if how else "hand" if place else "home"
    see(job.item, place, by=told.people[event.who], at=event.at, how=seen_how, job=job, key=told.key())
