"""Followers look at entries after they are committed: at once, and again by sweep, each entry once.

Upper slices register here (see jobs/following.py), so that a lower slice never imports an upper one.
"""

import logging
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone

from jobs.book.models import Entry, Followed, Watermark
from jobs.book.refusals import Refused

log = logging.getLogger(__name__)
_SETTLED = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Follower:
    """A name, the actions it looks at, and what it does with one entry."""

    name: str
    actions: frozenset[str]
    handle: Callable[[Entry], None]


_followers: dict[str, Follower] = {}


def register(name: str, actions: Iterable[str], handle: Callable[[Entry], None]) -> None:
    """Add a follower (once per name)."""
    _followers[name] = Follower(name, frozenset(actions), handle)


def follow(entry: Entry) -> None:
    """Let every follower deal with one committed entry that it has not dealt with yet."""
    for follower in _followers.values():
        if entry.action in follower.actions:
            _once(follower, entry)


def _once(follower: Follower, entry: Entry) -> None:
    try:
        with transaction.atomic():
            _note(follower, entry)
            follower.handle(entry)
    except Refused as refusal:
        log.info("%s leaves entry %s: %s", follower.name, entry.pk, refusal.words)
        with suppress(IntegrityError), transaction.atomic():
            _note(follower, entry)
    except Exception:
        if not Followed.objects.filter(entry=entry, follower=follower.name).exists():
            # the entry stays open; the sweep comes back to it
            log.exception("%s failed on entry %s", follower.name, entry.pk)


def _note(follower: Follower, entry: Entry) -> None:
    Followed.objects.create(entry=entry, follower=follower.name, at=timezone.now())


def sweep(*, at: datetime, limit: int = 200) -> int:
    """Deal with entries whose at-once follow was lost. Returns how many were looked at."""
    looked_at = 0
    for follower in _followers.values():
        mark, _ = Watermark.objects.get_or_create(follower=follower.name)
        open_entries = (
            Entry.objects.filter(action__in=follower.actions, pk__gt=mark.entry_id)
            .exclude(
                pk__in=Followed.objects.filter(follower=follower.name, entry_id__gt=mark.entry_id).values("entry_id")
            )
            .select_related("job", "job__item")
            .order_by("pk")[:limit]
        )
        found = list(open_entries)
        for entry in found:
            _once(follower, entry)
        looked_at += len(found)
        if not found:
            settled = Entry.objects.filter(at__lt=at - _SETTLED).order_by("-pk").values_list("pk", flat=True).first()
            if settled and settled > mark.entry_id:
                Watermark.objects.filter(pk=mark.pk, entry_id__lt=settled).update(entry_id=settled)
    return looked_at
