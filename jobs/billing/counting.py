"""Counting the drawer closes the takings. A count is frozen; a later one may say which it corrects."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.billing.drawer_reads import last_count, rows_shown, stand, summed, uncounted
from jobs.billing.models import DrawerCount, Payment
from jobs.billing.takings import Coins, counted
from jobs.billing.takings_text import takings_text
from jobs.book.refusals import Refused, Stale
from jobs.book.steps import keep, next_in, press, record
from jobs.papers.steps import freeze
from shop.clock import moment_words
from shop.money import ZERO, plain, rounded, written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile

SERIES = "drawer-count"


def count_drawer(
    *,
    total: Decimal | None,
    coins: Sequence[Coins] = (),
    removed: Decimal = ZERO,
    opening: Decimal = ZERO,
    reason: str = "",
    corrects: int = 0,
    seen: str,
    by: Person,
    at: datetime,
    key: str,
) -> DrawerCount:
    """Close the takings against the drawer. `total` is what lies in it, or `coins` say so; `removed` goes to the bank.

    `opening` counts only for the very first; `corrects` is the number of a count that was wrong. `seen` is the stand of the
    page: Stale when a payment or another count came in between. Raises Refused in words.
    """
    shop, said = profile(), " ".join(reason.split())
    with transaction.atomic():
        pressed = press(key, "count", at=at)
        number = next_in(SERIES)  # whoever closes at the same moment waits here, and then sees this count
        last = last_count()
        rows = rows_shown(uncounted().select_for_update(of=("self",), no_key=True))
        _as_seen(seen, last, rows, shop, at)
        lies = _lies(total, coins, shop.places)
        takings = summed(rows)
        begun = last.kept if last else _not_below(opening, "What lay in the drawer at the start")
        expected = begun + takings.cash
        difference = lies - expected
        _removable(removed, lies, shop.places)
        wrong = _corrected(corrects)
        _explained(difference, said, wrong, shop.places)
        made = DrawerCount.objects.create(
            number=number,
            after=last,
            at=at,
            by=by,
            opening=begun,
            cash=takings.cash,
            expected=expected,
            counted=lies,
            difference=difference,
            reason=said,
            removed=removed,
            kept=lies - removed,
            sheet=[[plain(one.worth, shop.places), one.many] for one in coins],
            corrects=wrong,
        )
        Payment.objects.filter(pk__in=[one.pk for one in rows]).update(count=made)
        made.paper = freeze(takings_text(made, rows, takings, coins, shop=shop), by=by, at=at)
        made.save(update_fields=["paper"])
        data = {
            "count": made.pk,
            "number": made.number,
            "expected": plain(expected, shop.places),
            "counted": plain(lies, shop.places),
            "difference": plain(difference, shop.places),
            "corrects": wrong.number if wrong else None,
            "reason": said,
        }
        record("drawer.counted", by=by, at=at, data=data)
        keep(pressed, count=made.number)
    return made


def _as_seen(seen: str, last: DrawerCount | None, rows: Sequence[Payment], shop: Profile, at: datetime) -> None:
    if seen == stand(last, rows):
        return
    if last is not None and seen.partition(".")[0] != str(last.number):
        when = moment_words(last.at, shop.zone, now=at)
        raise Stale(f"{last.by.short} closed the count already, {when}. What came in since belongs to the next.")
    raise Stale("Money was written down while you counted. Look at what is expected now, and count what came in.")


def _lies(total: Decimal | None, coins: Sequence[Coins], places: int) -> Decimal:
    by_coins = counted(coins)
    if total is None:
        if not coins:
            raise Refused("Write what lies in the drawer.")
        return _not_below(by_coins, "What lies in the drawer")
    if coins and by_coins != total:
        raise Refused(
            f"Coins and notes come to {written(by_coins, places)}, and the total says {written(total, places)}. "
            "Look at both again."
        )
    if total != rounded(total, places):
        raise Refused(f"The currency has {places} digits after the point. Write the amount that way.")
    return _not_below(total, "What lies in the drawer")


def _not_below(amount: Decimal, what: str) -> Decimal:
    if amount < 0:
        raise Refused(f"{what} cannot be less than nothing.")
    return amount


def _removable(removed: Decimal, lies: Decimal, places: int) -> None:
    _not_below(removed, "What is taken out")
    if removed > lies:
        raise Refused(f"Only {written(lies, places)} lies in the drawer; no more can be taken out.")


def _corrected(number: int) -> DrawerCount | None:
    if not number:
        return None
    found = DrawerCount.objects.filter(number=number).first()
    if found is None:
        raise Refused(f"There is no count {number} to correct.")
    return found


def _explained(difference: Decimal, said: str, wrong: DrawerCount | None, places: int) -> None:
    if len(said) > 200:
        raise Refused("The reason has more than 200 letters. Shorten it.")
    if difference and not said:
        much = written(abs(difference), places)
        raise Refused(f"The drawer is {much} {'short' if difference < 0 else 'over'}. Count again, or write why.")
    if wrong is not None and not said:
        raise Refused(f"Write what was wrong with count {wrong.number}.")
