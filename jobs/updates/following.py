"""Letters that follow from what happened."""

from jobs.book.models import Entry

TELLS_ON = frozenset({"job.moved"})


def follow_updates(entry: Entry) -> None:
    """Store the letters an entry asks for."""
