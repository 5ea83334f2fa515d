"""What a bench has to do: in whose hands it is, what to check, what waits, what nobody has. Pure."""

from collections.abc import Iterable
from datetime import date

from jobs.book.said import days_words
from jobs.book.stages import HOLDS, PLACE, Stage
from jobs.morning.lists import Known, Line, bench_at, by_day, job_at, on_day

_HANDS = (Stage.EXA, Stage.QUE, Stage.BEN, Stage.CUR, Stage.SET)
_NOBODY = (*_HANDS, Stage.CHK)


def hands(jobs: Iterable[Known], today: date) -> list[Line]:
    """What somebody has, soonest day first; what rests says until when."""
    return [
        Line(
            one.item,
            bench_at(one),
            one.short,
            _hands_words(one, today),
            grave=one.promised is not None and one.promised < today,
        )
        for one in by_day(jobs)
        if one.mine and one.stage in _HANDS
    ]


def _hands_words(job: Known, today: date) -> str:
    if job.promised is None:
        day = "no day yet"
    elif job.promised < today:
        day = f"{days_words((today - job.promised).days)} past its day"
    else:
        day = f"for {on_day(job.promised, today)}"
    where = job.rest.words if job.rest else "your clock runs" if job.clock else PLACE[job.stage].name
    return "; ".join(part for part in (day, where, job.work) if part)


def to_check(jobs: Iterable[Known]) -> list[Line]:
    """At the second check and not worked on by the reader, soonest day first."""
    return [
        Line(one.item, f"/bench/{one.number}/check/", one.short, f"{one.who}’s work" if one.who else one.work, "Check")
        for one in by_day(jobs)
        if one.stage is Stage.CHK and not one.worked
    ]


def taped(jobs: Iterable[Known]) -> list[Line]:
    """Tape on what somebody has, each strip in words."""
    return [
        Line(one.item, bench_at(one), one.short, ", ".join(_tape(kind, words) for kind, words in one.holds))
        for one in by_day(jobs)
        if one.mine and one.holds and one.stage is not Stage.RDY
    ]


def _tape(kind: str, words: str) -> str:
    return f"{HOLDS[kind]}: {words}" if words else HOLDS[kind]


def sent_back(jobs: Iterable[Known]) -> list[Line]:
    """Sent back from the second check to whoever has it."""
    return [
        Line(one.item, bench_at(one), one.short, f"back on {PLACE[one.stage].name}", grave=True)
        for one in by_day(jobs)
        if one.mine and one.sent_back and one.stage in {Stage.BEN, Stage.SET}
    ]


def to_examine(jobs: Iterable[Known]) -> list[Line]:
    """At examination: an estimate is to be written, soonest day first."""
    return [
        Line(one.named, f"/job/{one.number}/estimate/", one.short, one.who or "nobody is named", "Write")
        for one in by_day(jobs)
        if one.stage is Stage.EXA
    ]


def nobodys(jobs: Iterable[Known]) -> list[Line]:
    """Work that nobody has."""
    return [
        Line(one.named, f"/rails/{one.number}/", one.short, PLACE[one.stage].name, "Give")
        for one in by_day(jobs)
        if not one.who and one.stage in _NOBODY
    ]


def quarantined(jobs: Iterable[Known], today: date) -> list[Line]:
    """Kept apart: quarantine tape, longest first."""
    return [
        Line(
            one.named,
            job_at(one),
            one.short,
            "; ".join(words or "quarantine" for kind, words in one.holds if kind == "quarantine"),
        )
        for one in sorted(jobs, key=lambda one: (one.since, one.number))
        if any(kind == "quarantine" for kind, _ in one.holds)
    ]


def off_words(job: Known) -> str:
    """“Clamps off, 0408”, “May come off, 0408”: a rest that ends, on the string of hours."""
    rest = job.rest
    if rest is None:
        return ""
    if rest.over:
        return f"{rest.words.partition(',')[0].capitalize()}, {job.short}"
    return f"{'Clamps off' if rest.what == 'glue' else rest.words.partition(' ')[0].capitalize()}, {job.short}"
