"""What pages show of a rest: the clock, who laid it, when hands may be laid on again, and what may be chosen."""

from dataclasses import dataclass
from datetime import datetime

from jobs.bench.models import Wait
from jobs.bench.reads import work_of
from jobs.bench.rests import RESTS, Choice, Rest, choices, hands_on, likely_what, rest_of
from jobs.bench.waits import Asked, asked_in
from jobs.book.models import Job
from jobs.book.stages import MOVES, Stage
from shop.clock import Opening, local, moment_words, stretch_words
from shop.profile.models import Profile
from shop.profile.reads import opening


@dataclass(frozen=True, slots=True)
class RestPart:
    """One job's rest, or what may be chosen when it is hung to rest."""

    rest: Rest | None  # None: nothing rests by the clock
    begun: datetime | None
    words: str
    laid: str  # “Jorin, yesterday 16:00”
    left: str  # “5 h 18 min left of 24 h”
    hands: str  # “hands on again Mon 30 Nov 09:00” where the shop is closed at its end
    choices: tuple[Choice, ...]
    what: str
    kinds: tuple[tuple[str, str], ...]
    typed_at: str  # what a field for day and time begins with


def rest_part(job: Job, rest_words: tuple[str, ...] | None = None, *, shop: Profile, at: datetime) -> RestPart | None:
    """None where a job neither rests nor may be hung to rest. At most three queries; two with `rest_words` given."""
    stage = Stage(job.stage)
    if job.closed_at is not None or (stage is not Stage.CUR and Stage.CUR not in MOVES[stage]):
        return None
    said = _rest_words(job) if rest_words is None else rest_words
    hours, wait = opening(shop, since=local(at, shop.zone).date()), _open(job) if stage is Stage.CUR else None
    offered = choices(said, at=at, opening=hours)
    begins = wait.until if wait and wait.until and wait.until > at else next(c.until for c in offered)
    return RestPart(
        rest=rest_of(wait.what, wait.laid_at, wait.until, at=at, zone=shop.zone) if wait else None,
        begun=wait.laid_at if wait else None,
        words=wait.words if wait else "",
        laid=_laid(wait, shop, at) if wait else "",
        left=_left(wait, at) if wait else "",
        hands=_hands(wait, hours, shop, at) if wait else "",
        choices=offered,
        what=wait.what if wait else likely_what(said),
        kinds=tuple(RESTS.items()),
        typed_at=f"{local(begins, shop.zone):%Y-%m-%dT%H:%M}",
    )


def asked_of(job: Job, form: dict[str, str], *, shop: Profile, at: datetime) -> Asked:
    """What a form asks for a job. Two queries. Raises Refused with words for whoever typed it."""
    hours = opening(shop, since=local(at, shop.zone).date())
    return asked_in(form, choices(_rest_words(job), at=at, opening=hours), shop=shop)


def _rest_words(job: Job) -> tuple[str, ...]:
    return tuple(line.rest_words for line in work_of(job).agreed if line.rest_words)


def _open(job: Job) -> Wait | None:
    return (
        Wait.objects.filter(job=job, confirmed_at__isnull=True, dropped_at__isnull=True)
        .select_related("laid_by")
        .first()
    )


def _laid(wait: Wait, shop: Profile, at: datetime) -> str:
    return f"{wait.laid_by.short if wait.laid_by else 'the shop'}, {moment_words(wait.laid_at, shop.zone, now=at)}"


def _left(wait: Wait, at: datetime) -> str:
    if wait.until is None or wait.until <= at:
        return ""
    whole = (wait.until - wait.laid_at).total_seconds()
    return f"{stretch_words((wait.until - at).total_seconds())} left of {stretch_words(whole)}"


def _hands(wait: Wait, hours: Opening, shop: Profile, at: datetime) -> str:
    if wait.until is None or wait.until <= at:
        return ""
    again = hands_on(wait.until, hours)
    return "" if again <= wait.until else f"hands on again {moment_words(again, shop.zone, now=at)}"
