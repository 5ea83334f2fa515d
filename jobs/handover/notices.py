"""What is said above the counter's list: other open jobs on the same instrument, and notes that name another one."""

from collections.abc import Sequence

from jobs.book.beside import Beside, open_on, still_open
from jobs.handover.reads import Parcel
from jobs.papers.otherwise import named_otherwise
from shop.profile.models import Profile


def still_here(found: Sequence[Parcel]) -> list[tuple[Beside, str]]:
    """Other open jobs on what is on the counter that do not go home with it, in words. One query."""
    listed = {one.job.number for one in found if not one.blocked} | {found[0].job.number}
    items = {one.job.item_id: one.job.item for one in found}
    return [
        (one, still_open(one, items[item]))
        for item, jobs in open_on(items).items()
        for one in jobs
        if one.number not in listed
    ]


def otherwise(found: Sequence[Parcel], shop: Profile) -> list[str]:
    """What signed notes name that is not what is given back. One query for each."""
    return [words for one in found if (words := named_otherwise(one.job, shop.zone))]
