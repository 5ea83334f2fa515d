"""Writing and sending letters."""

from datetime import datetime

from jobs.book.models import Entry
from jobs.updates.models import Message


def drop_letters_of(entry: Entry, *, at: datetime) -> bool:
    """Take back the unsent letters of an entry, inside the caller's transaction. False when one has gone out."""
    if Message.objects.filter(entry=entry).exclude(state__in=("due", "byhand", "dropped", "failed")).exists():
        return False
    Message.objects.filter(entry=entry, state__in=("due", "byhand", "failed")).update(state="dropped", seen_at=at)
    return True
