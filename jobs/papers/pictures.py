"""The small pictures of a paper, as the photos' own slice makes them: upright, without place data, 480 dots at most."""

import logging
from datetime import datetime

from jobs.book.refusals import Refused
from jobs.papers.models import Paper
from jobs.photos.reads import open_size

log = logging.getLogger(__name__)


def pictures(paper: Paper, *, at: datetime) -> dict[str, bytes]:
    """A paper's small pictures by the hash of the original; a photo that cannot be read is left out, its frame stays.

    One query and a file read for each photo. Sizes the worker has not made yet are made now.
    """
    found = {}
    for row in paper.photos.select_related("photo"):
        try:
            opened, _ = open_size(row.photo, "small", at=at)
            with opened as small:
                found[row.sha256] = bytes(small.read())
        except (Refused, OSError) as fault:
            log.warning("Photo %s cannot be laid in %s: %s", row.photo_id, paper, fault)
    return found
