"""Parts of a day that several roles have: letters, intakes, money, clocks, and the knots of the string of hours."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from jobs.book.said import days_words
from jobs.morning import benches, desk_reads, lists
from jobs.morning.hours import Knot
from jobs.morning.lists import Card, Known, Line, card, count_words
from jobs.morning.reads import Clock
from shop.clock import Opening, day_words, local, moment_words
from shop.money import written
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class Now:
    """Who looks, and when."""

    person: Person
    shop: Profile
    at: datetime
    opening: Opening

    @property
    def today(self) -> date:
        return self.here.date()

    @property
    def tomorrow(self) -> date:
        """The next open day, else the day after."""
        again = self.opening.next_morning(self.at) if self.opening.known else None
        return again.date() if again else self.today + timedelta(days=1)

    @property
    def then(self) -> str:
        """“tomorrow”, “until Mon 30 Nov” over a weekend."""
        return "tomorrow" if self.tomorrow - self.today == timedelta(days=1) else f"until {day_words(self.tomorrow)}"

    @property
    def here(self) -> datetime:
        return local(self.at, self.shop.zone)


def letters_card(letters: desk_reads.Counted) -> Card:
    lines = [
        Line(
            one.to,
            f"/letters/{one.pk}/",
            one.number.partition("-")[2],
            one.subject if one.by_hand else f"{one.subject}: did not go for certain",
            "Tell" if one.by_hand else "See",
            grave=not one.by_hand,
            phone=one.phone if one.by_hand else "",
        )
        for one in letters.first
    ]
    return card("Letters and calls", lines, count=letters.count, all_at="/letters/")


def questions_card(asked: desk_reads.Counted) -> Card:
    lines = [
        Line(who or "an owner", "/letters/", number.partition("-")[2], f"“{words}”", "Answer")
        for words, who, number in asked.first
    ]
    return card("Asked by owners", lines, count=asked.count, all_at="/letters/")


def open_sittings(now: Now) -> list[desk_reads.Sitting]:
    return desk_reads.sittings(limit=now.shop.cover_limit)


def sittings_card(now: Now) -> Card:
    return card("Not finished at the desk", sitting_lines(open_sittings(now), now), all_at="/take-in/")


def sitting_lines(sittings: Iterable[desk_reads.Sitting], now: Now) -> list[Line]:
    return [
        Line(
            f"Taking in, {count_words(one.pieces, 'thing', 'things') or 'nothing listed yet'}",
            f"/take-in/{one.key}/who/",
            more=f"{one.who}, {moment_words(one.saved_at, now.shop.zone, now=now.at)}",
            act="Go on",
        )
        for one in sittings
    ]


def money_cards(now: Now) -> list[Card]:
    """Two queries; nothing for those who may not see money."""
    if not now.person.may(Act.SEE_MONEY):
        return []
    deposits, invoices = desk_reads.deposits_due(), desk_reads.owed_invoices(now.shop.zone)
    return [
        card(
            "Deposits to come",
            [
                Line(one.words, f"/job/{one.number}/payment/", one.number.partition("-")[2], _sum(one, now), "Take")
                for one in deposits.first
            ],
            count=deposits.count,
            all_at="/?cord=QUE",
        ),
        card(
            "Invoices still to be paid",
            [Line(one.words, "/money/", one.number, f"{_sum(one, now)}; {_since(one, now)}") for one in invoices.first],
            count=invoices.count,
            all_at="/money/",
        ),
    ]


def _sum(owed: desk_reads.Owed, now: Now) -> str:
    return written(owed.amount, now.shop.places)


def _since(owed: desk_reads.Owed, now: Now) -> str:
    days = (now.today - owed.since).days if owed.since else 0
    return f"issued {days_words(days)} ago" if days else "issued today"


def may_come_off(jobs: Iterable[Known]) -> list[Line]:
    over = [one for one in lists.by_day(jobs) if one.rest is not None and one.rest.over]
    return [Line(one.item, lists.bench_at(one), one.short, one.rest.words, "Check") for one in over if one.rest]


def clocks_card(title: str, running: Iterable[Clock], now: Now) -> Card:
    lines = [
        Line(
            one.item,
            f"/bench/{one.number}/",
            one.number.partition("-")[2],
            f"{one.who}, since {moment_words(one.since, now.shop.zone, now=now.at)}",
            grave=local(one.since, now.shop.zone).date() < now.today,
        )
        for one in running
    ]
    return card(title, lines)


def visits(comes: Iterable[Line], now: Now) -> list[Knot]:
    stretches = now.opening.open_on(now.today)
    at = local(stretches[0][0], now.shop.zone) if stretches else now.here
    return [Knot(at, "visit", line.words, line.more, line.to, untimed=True) for line in comes]


def rests(jobs: Iterable[Known], now: Now) -> list[Knot]:
    knots = []
    for one in jobs:
        rest = one.rest
        if rest is None or rest.until is None:
            continue
        ends = local(rest.until, now.shop.zone)
        if ends.date() > now.today:
            continue
        more = f"{one.item}{f', {one.who}' if one.who else ''}"
        if ends.date() < now.today:
            # over since an earlier day: it hangs at now, and says since when
            more = f"{more}, since {moment_words(rest.until, now.shop.zone, now=now.at)}"
            ends = now.here
        knots.append(
            Knot(ends, "over" if rest.over else "rest", benches.off_words(one), more, lists.bench_at(one), rest)
        )
    return knots


def running_clocks(running: Iterable[Clock], now: Now) -> list[Knot]:
    return [
        Knot(
            local(one.since, now.shop.zone),
            "clock",
            f"{one.who}’s clock, {one.number.partition('-')[2]}",
            one.item,
            f"/bench/{one.number}/",
        )
        for one in running
        if local(one.since, now.shop.zone).date() == now.today
    ]
