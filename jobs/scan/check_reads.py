"""What the second check looks at."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import QueryDict

from jobs.bench.models import Check, WorkSpell
from jobs.bench.reads import work_of
from jobs.book.models import Accessory, Job
from jobs.book.stages import PLACE, Stage
from jobs.catalogue.models import Word
from jobs.condition.models import ConditionLine
from jobs.photos.models import Photo
from shop.people.models import Person

ANYWHERE = "check"  # a photo of no set view


@dataclass(frozen=True, slots=True)
class Pair:
    """One view: as it came in, and as it is now."""

    view: str
    words: str
    before: Photo | None
    now: tuple[Photo, ...]


@dataclass(frozen=True, slots=True)
class LineToCheck:
    """One agreed line and what was ticked on a form that came back."""

    key: str
    words: str
    ticked: str


@dataclass(frozen=True, slots=True)
class ThingToSee:
    """One accessory that was left here."""

    thing: Accessory
    ticked: bool


@dataclass(frozen=True, slots=True)
class CheckPage:
    """The second check of one job."""

    blocked: str  # why this person may not check it now
    lines: tuple[LineToCheck, ...]
    things: tuple[ThingToSee, ...]
    pairs: tuple[Pair, ...]
    found: tuple[ConditionLine, ...]  # what the note says it came with
    before: tuple[Check, ...]  # earlier checks, newest first

    @property
    def not_taken(self) -> int:
        """Views that have a picture from intake and none from now."""
        return sum(1 for pair in self.pairs if pair.before and not pair.now)


def views_asked(job: Job) -> list[str]:
    """View codes a check photo may be taken for: those photographed at intake, and one free. One query."""
    return [*dict.fromkeys(_intake(job).values_list("view", flat=True)), ANYWHERE]


def _intake(job: Job) -> QuerySet[Photo]:
    return Photo.objects.filter(job=job, purpose="intake", put_aside_at=None).exclude(view="").order_by("pk")


def check_page(job: Job, person: Person, typed: QueryDict) -> CheckPage:
    """Gather the check of a job. Eight queries."""
    seen_here = set(typed.getlist("here"))
    doers = {spell.person_id: spell.person for spell in WorkSpell.objects.filter(job=job).select_related("person")}
    return CheckPage(
        blocked=_blocked(job, person, doers),
        lines=tuple(
            LineToCheck(line.key, line.words, str(typed.get(f"line-{line.key}", ""))) for line in work_of(job).agreed
        ),
        things=tuple(ThingToSee(one, str(one.pk) in seen_here) for one in job.accessories.all() if one.left),
        pairs=_pairs(job),
        found=tuple(job.condition_lines.all()),
        before=tuple(job.checks.select_related("by").prefetch_related("ticks").order_by("-at")),
    )


def _blocked(job: Job, person: Person, doers: Mapping[int, Person]) -> str:
    if job.closed_at is not None or Stage(job.stage) is not Stage.CHK:
        return f"It hangs on {PLACE[Stage(job.stage)].name}, not on Second check. Move it there first."
    if person.pk in doers:
        return "You worked on this. Someone who did not must make the second check."
    return ""


def _pairs(job: Job) -> tuple[Pair, ...]:
    before: dict[str, Photo] = {photo.view: photo for photo in _intake(job)}
    now: dict[str, list[Photo]] = {}
    for photo in Photo.objects.filter(job=job, purpose="check", put_aside_at=None).order_by("pk"):
        now.setdefault(photo.view if photo.view in before else ANYWHERE, []).append(photo)
    names = dict(Word.objects.filter(sort="view", code__in=before).values_list("code", "words")) if before else {}
    pairs = [
        Pair(view, names.get(view) or view.replace("-", " "), photo, tuple(now.get(view, ())))
        for view, photo in before.items()
    ]
    return (*pairs, Pair(ANYWHERE, "anything else", None, tuple(now.get(ANYWHERE, ()))))
