"""Changing the week, closing days and opening them again."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from django.db import transaction

from jobs.book.refusals import Refused
from jobs.book.steps import keep, press, record
from jobs.office.changing import Faults, not_changed_meanwhile
from shop.clock import local
from shop.hours import DAY_NAMES, DAYS, NotHoursError, kept, spans_of
from shop.people.models import Person
from shop.profile.models import ClosedDay, Profile

MOST_WORDS = 120
MOST_CLOSED = timedelta(days=366)
ACTIONS = ("hours.changed", "closed.added", "closed.off")


def week_shown(shop: Profile) -> dict[str, object]:
    """What the page of hours shows of the week."""
    return {**{day: list(shop.hours.get(day, [])) for day in DAYS}, "hours_words": shop.hours_words}


def change_week(typed: Mapping[str, Sequence[str]], words: str, *, seen: str, by: Person, at: datetime) -> bool:
    """Keep the week: two or four times a day, none where closed; `words` are said instead, if not empty.

    Raises Faults by day, Stale when it was changed since the page was opened. True when anything changed.
    """
    week, faults = [], {}
    for day, name in zip(DAYS, DAY_NAMES, strict=True):
        times = [one for one in typed.get(day, ()) if one.strip()]
        try:
            week.append(spans_of(times))
        except NotHoursError as fault:
            faults[day] = f"{name}: {fault}"
    words = " ".join(words.split())
    if len(words) > MOST_WORDS:
        faults["hours_words"] = f"These words are {len(words) - MOST_WORDS} letters too long."
    if faults:
        raise Faults(faults)
    with transaction.atomic():
        shop = Profile.objects.select_for_update(no_key=True).get(pk=1)
        not_changed_meanwhile(seen, week_shown(shop), ("hours.changed",), shop, at=at)
        before, after = shop.hours, kept(week)
        changes = {
            day: [" ".join(before.get(day, [])) or "closed", " ".join(after.get(day, [])) or "closed"]
            for day in DAYS
            if before.get(day, []) != after.get(day, [])
        }
        if words != shop.hours_words:
            changes["hours_words"] = [shop.hours_words, words]
        if not changes:
            return False
        shop.hours, shop.hours_words = after, words
        shop.save(update_fields=["hours", "hours_words"])
        record("hours.changed", by=by, at=at, data={"changes": changes})
    return True


def close_days(first: date | None, last: date | None, words: str, *, by: Person, at: datetime, key: str) -> ClosedDay:
    """Close days, both ends counted. Raises Refused for days past, turned round, too long or closed already; Again."""
    words = " ".join(words.split())
    if first is None:
        raise Refused("Choose the first day that is closed.")
    last = last or first
    if not words or len(words) > 60:
        raise Refused("Say why in a few words, such as “Christmas”. Owners may read them.")
    if last < first:
        raise Refused("The last closed day is before the first. Look at both.")
    if last - first > MOST_CLOSED:
        raise Refused("That is more than a year. Look at the year of both days.")
    with transaction.atomic():
        pressed = press(key, "closed.add", at=at)
        shop = Profile.objects.select_for_update(no_key=True).get(pk=1)
        today = local(at, shop.zone).date()
        if last < today:
            raise Refused("Those days are past.")
        if first > today + 5 * MOST_CLOSED:
            raise Refused(f"Look at the year: {first.year} is too far from now.")
        same = ClosedDay.objects.filter(off_at=None, first__lte=first, last__gte=last).first()
        if same is not None:
            raise Refused(f"Those days are closed already: {same.words}.")
        closed = ClosedDay.objects.create(first=first, last=last, words=words, made_at=at, made_by=by)
        data = {"closed": closed.pk, "first": first.isoformat(), "last": last.isoformat()}
        record("closed.added", by=by, at=at, data=data)
        keep(pressed, closed=closed.pk)
    return closed


def open_again(closed: ClosedDay, *, by: Person, at: datetime) -> None:
    """Take closed days back. Twice is the same as once; days that are past stay."""
    with transaction.atomic():
        shop = Profile.objects.select_for_update(no_key=True).get(pk=1)
        if closed.last < local(at, shop.zone).date():
            raise Refused("Those days are past and stay as they were.")
        if not ClosedDay.objects.filter(pk=closed.pk, off_at=None).update(off_at=at, off_by=by):
            return
        data = {"closed": closed.pk, "first": closed.first.isoformat(), "last": closed.last.isoformat()}
        record("closed.off", by=by, at=at, data=data)
