"""What every form of the shop’s rooms shares: a mark of what its page showed, and faults by field."""

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime

from jobs.book.models import Entry
from jobs.book.refusals import Refused, Stale
from shop.clock import moment_words
from shop.profile.models import Profile


class Faults(Refused):
    """Fields that cannot be kept as typed: words by field. Nothing was changed."""

    def __init__(self, words: Mapping[str, str]) -> None:
        super().__init__(next(iter(words.values()), "Look at the fields again."))
        self.by_field = dict(words)


def mark(shown: Mapping[str, object]) -> str:
    """Short mark of what a page showed, sent back with its form."""
    told = json.dumps({name: str(value) for name, value in shown.items()}, sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:20]


def not_changed_meanwhile(
    seen: str, shown: Mapping[str, object], actions: tuple[str, ...], shop: Profile, *, at: datetime
) -> None:
    """Raise Stale when what the page showed is not what stands now. One query when it is not."""
    if seen == mark(shown):
        return
    last = Entry.objects.filter(action__in=actions).select_related("by").order_by("-pk").first()
    who = last.by.short if last and last.by else "Somebody"
    when = f" at {moment_words(last.at, shop.zone, now=at)}" if last else ""
    raise Stale(
        f"{who} changed this{when}, after you had opened the page. Here is how it stands now: look, then save again."
    )
