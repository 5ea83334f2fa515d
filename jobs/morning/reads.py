"""What the day asks the book: one question for each kind of thing, however many jobs there are."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, FilteredRelation, Max, OuterRef, Q, QuerySet, Subquery

from jobs.bench.models import Check, WorkSpell
from jobs.bench.rests import Rest, rest_of
from jobs.book.models import Hold, Job, Pulse
from jobs.book.said import owner_words
from jobs.book.stages import OPEN_STAGES, Stage
from jobs.estimates.models import Estimate
from jobs.morning.lists import Known
from jobs.updates.models import Message
from shop.clock import local
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Profile

_COLUMNS = (
    "id", "number", "stage", "work", "promised", "stage_since", "assigned_id", "assigned__name",
    "item__title", "item__asset", "item__owner__name", "item__owner__body", "item__owner__minor", "kind",
    "rest__what", "rest__laid_at", "rest__until", "worked", "passed", "also",
)  # fmt: skip
_OUT = ("sent", "told")


@dataclass(frozen=True, slots=True)
class Clock:
    """A running clock: whose, since when, on what."""

    person: int
    who: str
    number: str
    item: str
    since: datetime


def pulse_now() -> int:
    """How many changes there have been. One query."""
    return Pulse.objects.filter(pk=1).values_list("beats", flat=True).first() or 0


def known_jobs(person: Person, wanted: Q, *, shop: Profile, at: datetime, every_tape: bool = False) -> list[Known]:
    """Open jobs a day may speak of. Four queries: the jobs, their tape, what owners heard, what they were asked."""
    zone, names = shop.zone, person.may(Act.SEE_OWNER)
    rows = list(_jobs(person).filter(wanted).values_list(*_COLUMNS, named=True))
    holds, heard = _holds(None if every_tape else person), _heard(local(at, zone).date(), zone)
    asked = _asked(zone)
    return [_known(row, person, holds, heard, asked, zone, at, names=names) for row in rows]


def _jobs(person: Person) -> QuerySet[Job]:
    waits = FilteredRelation("waits", condition=Q(waits__confirmed_at__isnull=True, waits__dropped_at__isnull=True))
    beside = Job.objects.filter(item=OuterRef("item"), closed_at__isnull=True).exclude(pk=OuterRef("pk")).order_by("pk")
    last = Check.objects.filter(job=OuterRef("pk")).order_by("-at", "-pk").values("passed")[:1]
    return Job.objects.filter(closed_at__isnull=True, stage__in=OPEN_STAGES).annotate(
        rest=waits,
        worked=Exists(WorkSpell.objects.filter(job=OuterRef("pk"), person=person)),
        passed=Subquery(last),
        also=Subquery(beside.values("number")[:1]),
    )


def _known(
    row: Any,
    person: Person,
    holds: dict[int, list[tuple[str, str]]],
    heard: dict[int, "_Heard"],
    asked: dict[int, tuple[date | None, date | None]],
    zone: ZoneInfo,
    at: datetime,
    *,
    names: bool,
) -> Known:
    stage, told = Stage(row.stage), heard.get(row.id)
    sent, runs_out = asked.get(row.id, (None, None))
    return Known(
        number=row.number,
        stage=stage,
        item=row.item__title,
        owner=_owner(row, names=names),
        since=local(row.stage_since, zone).date(),
        work=row.work,
        who=row.assigned__name.split()[0] if row.assigned__name else "",
        whose=row.assigned__name or "",
        has=row.assigned_id,
        mine=row.assigned_id == person.pk,
        promised=row.promised,
        rest=_rest(row, at, zone) if stage is Stage.CUR else None,
        holds=tuple(holds.get(row.id, ())),
        worked=row.worked,
        sent_back=row.passed is False,
        heard=told.last if told else None,
        told=told.ready if told else "",
        told_on=told.ready_on if told else None,
        asked=sent,
        runs_out=runs_out,
        also=row.also or "",
    )


def _rest(row: Any, at: datetime, zone: ZoneInfo) -> Rest:
    begun = row.rest__laid_at or row.stage_since
    return rest_of(row.rest__what or "other", begun, row.rest__until, at=at, zone=zone)


def _owner(row: Any, *, names: bool) -> str:
    if row.kind == "internal":
        return "our own"
    name, body, minor = row.item__owner__name or "", bool(row.item__owner__body), bool(row.item__owner__minor)
    if names and name and not minor:
        return name
    return owner_words(name, body=body, minor=minor, asset=row.item__asset)


def _holds(person: Person | None) -> dict[int, list[tuple[str, str]]]:
    """Tape on what a person has, and every quarantine; every tape for nobody in particular. One query."""
    found: dict[int, list[tuple[str, str]]] = {}
    laid = Hold.objects.filter(lifted_at__isnull=True, job__closed_at__isnull=True).order_by("id")
    for job, kind, words in laid.filter(Q(kind="quarantine") | Q(job__assigned=person) if person else Q()).values_list(
        "job_id", "kind", "words"
    ):
        found.setdefault(job, []).append((kind, words))
    return found


@dataclass(frozen=True, slots=True)
class _Heard:
    last: date | None
    ready: str
    ready_on: date | None


def _heard(today: date, zone: ZoneInfo) -> dict[int, _Heard]:
    """What owners heard of jobs that are ready, due or late, in one row a job. One query."""
    ready = Q(kind="stage-RDY")
    rows = (
        Message.objects.filter(job__closed_at__isnull=True)
        .filter(Q(job__stage=Stage.RDY) | Q(job__promised__lte=today + timedelta(days=1)))
        .exclude(state="dropped")
        .order_by()
        .values("job_id")
        .annotate(
            last=Max("sent_at", filter=Q(state__in=_OUT)),
            ready_on=Max("sent_at", filter=ready & Q(state__in=_OUT)),
            hand=Count("pk", filter=ready & Q(state="byhand")),
            going=Count("pk", filter=ready & Q(state__in=("due", "sending"))),
            lost=Count("pk", filter=ready & Q(state__in=("failed", "perhaps"), seen_at__isnull=True)),
        )
    )
    return {
        row["job_id"]: _Heard(
            local(row["last"], zone).date() if row["last"] else None,
            "told" if row["ready_on"] else next((name for name in ("hand", "lost", "going") if row[name]), ""),
            local(row["ready_on"], zone).date() if row["ready_on"] else None,
        )
        for row in rows
    }


def _asked(zone: ZoneInfo) -> dict[int, tuple[date | None, date | None]]:
    """When each open estimate was sent and when it runs out. One query."""
    sent = Estimate.objects.filter(state="sent", job__stage=Stage.ANS, job__closed_at__isnull=True).order_by("version")
    return {
        job: (local(at, zone).date() if at else None, runs_out)
        for job, at, runs_out in sent.values_list("job_id", "sent_at", "expires_on")
    }


def clocks(person: Person, *, everybody: bool) -> list[Clock]:
    """Running clocks, one's own or everybody's, the longest first. One query."""
    running = WorkSpell.objects.filter(stopped_at__isnull=True).order_by("started_at")
    if not everybody:
        running = running.filter(person=person)
    rows = running.values_list("person_id", "person__name", "job__number", "job__item__title", "started_at")
    return [Clock(pk, name.split()[0], number, item, since) for pk, name, number, item, since in rows]
