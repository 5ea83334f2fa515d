"""Tells the sample shop into an empty book: every event at its own past time, through the steps the pages use."""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta

from django.conf import settings

from jobs.book.nudge import still
from jobs.book.refusals import Refused
from jobs.custody.models import Location
from jobs.management.demo import bench, desk, door
from jobs.management.demo.book import Told
from jobs.management.demo.cast import hire, know, number_from, open_shop, walk_through
from jobs.management.demo.days import Days
from jobs.management.demo.orders import orders_for
from jobs.management.demo.pictures import painted
from jobs.management.demo.sample import sample
from jobs.management.demo.timeline import Event, line_up
from jobs.papers.models import Paper
from jobs.papers.seal import ensure_key
from jobs.papers.steps import print_paper
from jobs.updates.quiet import quiet
from shop.clock import day_words, local

Say = Callable[[str], None]
VERBS: Mapping[str, Callable[[Told, Event], None]] = {
    "account": desk.on_account,
    "again": desk.again,
    "agree": desk.agree,
    "ask": desk.ask,
    "bill": desk.bill,
    "check": bench.second_check,
    "decline": desk.decline,
    "expect": door.expect,
    "find": bench.find,
    "follow": desk.follow,
    "give": bench.give,
    "hand": door.hand,
    "hang": bench.hang,
    "heard": desk.heard,
    "look": bench.look,
    "note": bench.note,
    "pay": desk.pay,
    "picture": bench.picture,
    "promise": desk.say_day,
    "put": bench.put,
    "same": bench.same,
    "send": desk.send,
    "show": desk.show,
    "start": bench.begin,
    "stop": bench.end,
    "tape": bench.tape,
    "untape": bench.untape,
    "visit": door.visit,
    "write": desk.write,
}
_TOLD_EACH = 150  # events between two lines of progress
JOBS = 440  # the year's jobs so far, the forty of the sample the last of them


def tell(*, now: datetime, how_many: str, say: Say) -> None:
    """Fill an empty, prepared book. `how_many` photographs: none, few, all. No letter goes out."""
    story = sample()
    shop = open_shop(story)
    days = Days.around(now, shop.zone)
    events = line_up(story, days)
    orders = orders_for(events, story, shop.zone, how_many=how_many)
    say(f"{len(orders)} photographs are being painted.")
    with painted(orders) as pictures, quiet(), still():
        told = Told(
            sample=story,
            days=days,
            people=hire(story, days),
            parties=know(story, days),
            places={place.name: place for place in Location.objects.all()},
            pictures=pictures,
            how_many=how_many,
        )
        walk_through(days)
        number_from(JOBS, days)
        _seal_key(told, events[0].at)
        for count, event in enumerate(events, 1):
            _happen(told, event)
            _print()
            if count % _TOLD_EACH == 0:
                say(f"{day_words(local(event.at, shop.zone).date(), today=days.day)}: {len(told.jobs)} jobs so far.")
    say(f"Filled: {len(told.jobs)} jobs around {days.day:%A} {days.day.day} {days.day:%B}.")


def _seal_key(told: Told, first: datetime) -> None:
    # the seal is as old as the first paper, or that paper's seal would be older than its certificate
    ensure_key(settings.SHOP_HOME, told.sample.shop["name"], first - timedelta(days=1))


def _happen(told: Told, event: Event) -> None:
    try:
        VERBS[event.what](told, event)
    except Refused as refusal:
        number = told.number(event.job) if event.job else "a visit"
        raise ValueError(f"{number}, {event.at:%Y-%m-%d %H:%M}, {event.what}: {refusal.words}") from refusal


def _print() -> None:
    """Print and seal what was just frozen, at its own time."""
    for paper in Paper.objects.filter(state="due").order_by("position"):
        print_paper(paper.pk, at=paper.at)
