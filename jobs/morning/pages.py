"""The day as each role has it: which lists, which hours, which sentence. Queries: the head luthier eleven, others fewer."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from jobs.book.said import long_day
from jobs.book.stages import Stage
from jobs.morning import benches, desk_reads, lists
from jobs.morning.hours import Knot, open_words, string
from jobs.morning.lists import Card, Known, Line, card, count_words
from jobs.morning.parts import (
    Now,
    clocks_card,
    letters_card,
    may_come_off,
    money_cards,
    open_sittings,
    questions_card,
    rests,
    running_clocks,
    sitting_lines,
    sittings_card,
    visits,
)
from jobs.morning.reads import clocks, known_jobs, pulse_now
from shop.clock import local
from shop.packing.reads import last_good
from shop.people.models import Person
from shop.people.roles import MAY, Act, Role
from shop.profile.models import Profile
from shop.profile.reads import opening

_BENCH = MAY[Act.WORK] - {Role.HEAD}
NOTHING = {
    Role.DESK: "Nobody is expected and nothing waits. A good hour to tidy a rack.",
    Role.BOOKS: "Nothing is owed and nothing waits.",
}
_BENCH_NOTHING = "Nothing hangs on your bench. Ask at the desk, or look along the rails."


@dataclass(frozen=True, slots=True)
class Day:
    """Everything on the page."""

    pulse: int
    date: str  # “Wednesday 25 November”
    clock: str  # “10:12”
    sentence: str
    late: str  # the part of it that presses
    open_words: str
    closed: bool
    hours: tuple[Knot, ...]
    cards: tuple[Card, ...]
    clear: tuple[str, ...]  # lists with nothing on them
    copy_words: str  # age of the last safe copy, "" for those who may not see it
    copy_late: bool


def day_of(person: Person, *, shop: Profile, at: datetime) -> Day:
    """The day of somebody. Thirteen queries at most, however many jobs the book holds."""
    pulse = pulse_now()  # before everything else: a change in between is asked for again
    now = Now(person, shop, at, opening(shop, since=local(at, shop.zone).date()))
    role = Role(person.role)
    lay = _head if role is Role.HEAD else _desk if role is Role.DESK else _books if role is Role.BOOKS else _bench
    return lay(now, pulse)


def _day(
    now: Now, pulse: int, cards: Sequence[Card], knots: Iterable[Knot], said: Iterable[str], *, late: str, nothing: str
) -> Day:
    stretches = [(local(a, now.shop.zone), local(b, now.shop.zone)) for a, b in now.opening.open_on(now.today)]
    copy = last_good(now.at) if now.person.may(Act.SEE_COPIES) else None
    return Day(
        pulse=pulse,
        date=long_day(now.today),
        clock=f"{now.here:%H:%M}",
        sentence=lists.sentence(said, "" if late else nothing),
        late=lists.sentence([late], ""),
        open_words=open_words(now.opening, now.here),
        closed=now.opening.known and not stretches,
        hours=string(knots, day=stretches, now=now.here),
        cards=tuple(one for one in cards if one.count),
        clear=tuple(one.title for one in cards if not one.count and one.title != "Comes next"),
        copy_words=copy.words if copy else "",
        copy_late=copy.late if copy else False,
    )


def _desk(now: Now, pulse: int) -> Day:
    day_after = now.tomorrow
    wanted = Q(stage__in=(Stage.EXP, Stage.RDY, Stage.ANS, Stage.CUR)) | Q(promised__lte=day_after)
    jobs = known_jobs(now.person, wanted, shop=now.shop, at=now.at)
    comes, ready = lists.comes(jobs, now.today), lists.ready(jobs, now.today)
    late, due = lists.past_day(jobs, now.today), lists.due(jobs, now.today, day_after)
    letters, asked = desk_reads.letters_to_do(), desk_reads.questions()
    cards = [
        card("Comes today", comes),
        card("Comes next", () if comes else lists.comes_next(jobs, now.today)),
        card("Past its day", [lists.late_line(one, now.today) for one in late], grave=True),
        card(f"Due today and {now.then}", [lists.late_line(one, now.today) for one in due]),
        letters_card(letters),
        questions_card(asked),
        card("Ready to collect", ready, all_at="/?cord=RDY"),
        card("Estimates without an answer", lists.answers(jobs, now.today), all_at="/?cord=ANS"),
        sittings_card(now),
        *money_cards(now),
    ]
    untold = sum(line.grave for line in ready)
    said = (
        count_words(len(comes), "comes or collects", "come or collect"),
        _due_words(jobs, now),
        _ready_words(len(ready), untold),
        count_words(letters.count, "letter or call to make", "letters and calls to make"),
        count_words(asked.count, "question to answer", "questions to answer"),
    )
    knots = [*visits(comes, now), *rests(jobs, now)]
    return _day(now, pulse, cards, knots, said, late=_late_words(len(late)), nothing=NOTHING[Role.DESK])


def _bench(now: Now, pulse: int) -> Day:
    wanted = Q(assigned=now.person) | Q(stage=Stage.CHK)
    jobs = known_jobs(now.person, wanted, shop=now.shop, at=now.at)
    running = clocks(now.person, everybody=False)
    mine = [one for one in jobs if one.mine]
    late = lists.past_day(mine, now.today)
    checks = benches.to_check(jobs) if now.person.may(Act.CHECK) else []
    back = benches.sent_back(mine)
    cards = [
        clocks_card("Your clock runs", running, now),
        card("Sent back to you", back, grave=True),
        card("Yours past their day", [lists.late_line(one, now.today) for one in late], grave=True),
        card("May come off", may_come_off(mine), all_at="/?only=mine"),
        card("Yours, soonest day first", benches.hands(mine, now.today), all_at="/?only=mine"),
        card("Waits for a second check", checks, all_at="/?cord=CHK"),
        card("Tape on yours", benches.taped(mine), all_at="/?only=taped"),
    ]
    said = (
        count_words(len(back), "came back from the check", "came back from the check"),
        count_words(len(may_come_off(mine)), "may come off", "may come off"),
        _due_words(mine, now),
        count_words(len(checks), "waits for a check", "wait for a check"),
    )
    knots = [*rests(mine, now), *running_clocks(running, now)]
    hands = len(benches.hands(mine, now.today))
    nothing = (
        f"{count_words(hands, 'job is', 'jobs are').capitalize()} yours; none is due soon." if hands else _BENCH_NOTHING
    )
    return _day(now, pulse, cards, knots, said, late=_late_words(len(late)), nothing=nothing)


def _head(now: Now, pulse: int) -> Day:
    jobs = known_jobs(now.person, Q(), shop=now.shop, at=now.at)
    running = clocks(now.person, everybody=True)
    late, due = lists.past_day(jobs, now.today), lists.due(jobs, now.today, now.tomorrow)
    letters, asked, sittings = desk_reads.letters_to_do(), desk_reads.questions(), open_sittings(now)
    above = [
        Line(f"Value {one}", f"/take-in/{sitting.key}/value/", more=f"above the cover; {sitting.who} waits", act="Look")
        for sitting in sittings
        for one in sitting.above
    ]
    old = [one for one in running if local(one.since, now.shop.zone).date() < now.today]
    cards = [
        card("Past its day", [lists.late_line(one, now.today) for one in late], grave=True),
        card("Values to accept", above, grave=True),
        clocks_card("Clocks still running from before today", old, now),
        card(f"Due today and {now.then}", [lists.late_line(one, now.today) for one in due]),
        card("Estimates to write", benches.to_examine(jobs), all_at="/?cord=EXA"),
        card("Waits for a second check", benches.to_check(jobs), all_at="/?cord=CHK"),
        card("May come off", may_come_off(jobs), all_at="/?cord=CUR"),
        card("Yours, soonest day first", benches.hands(jobs, now.today), all_at="/?only=mine"),
        card("Nobody has it", benches.nobodys(jobs)),
        card("Quarantine", benches.quarantined(jobs, now.today), all_at="/?only=taped"),
        card("Comes today", lists.comes(jobs, now.today)),
        card("Estimates without an answer", lists.answers(jobs, now.today), all_at="/?cord=ANS"),
        letters_card(letters),
        questions_card(asked),
        card("Ready to collect", lists.ready(jobs, now.today), all_at="/?cord=RDY"),
        card("Not finished at the desk", sitting_lines(sittings, now), all_at="/take-in/"),
        *money_cards(now),
    ]
    examine = sum(one.stage is Stage.EXA for one in jobs)
    said = (
        _due_words(jobs, now),
        count_words(examine, "estimate to write", "estimates to write"),
        count_words(letters.count + asked.count, "owner to be told or answered", "owners to be told or answered"),
    )
    knots = [*visits(lists.comes(jobs, now.today), now), *rests(jobs, now), *running_clocks(running, now)]
    return _day(now, pulse, cards, knots, said, late=_late_words(len(late)), nothing="Nothing presses today.")


def _books(now: Now, pulse: int) -> Day:
    cards = money_cards(now)
    said = [
        count_words(cards[0].count, "deposit is still to come", "deposits are still to come"),
        count_words(cards[1].count, "invoice is still to be paid", "invoices are still to be paid"),
    ]
    return _day(now, pulse, cards, (), said, late="", nothing=NOTHING[Role.BOOKS])


def _late_words(count: int) -> str:
    return count_words(count, "job is past its day", "jobs are past their day")


def _due_words(jobs: Sequence[Known], now: Now) -> str:
    today = len(lists.due(jobs, now.today, now.today))
    parts = ((today, "today"), (len(lists.due(jobs, now.today, now.tomorrow)) - today, now.then))
    return " and ".join(f"{count_words(count, 'is', 'are')} due {day}" for count, day in parts if count)


def _ready_words(ready: int, untold: int) -> str:
    if not ready:
        return ""
    told = "every owner told" if not untold else f"{count_words(untold, 'owner', 'owners')} not told"
    return f"{count_words(ready, 'is ready', 'are ready')}, {told}"
