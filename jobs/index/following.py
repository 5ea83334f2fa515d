"""What happened, and whose words change by it."""

from collections.abc import Callable, Iterable

from jobs.book.models import Entry, Item, Job, JobParty
from jobs.index.making import Of
from jobs.index.steps import refresh


def follow_words(entry: Entry) -> None:
    """Make the words anew of whatever an entry touched."""
    refresh(_TOUCHED[entry.action](entry))


def _party(entry: Entry) -> Iterable[Of]:
    yield "P", entry.data["party"]


def _party_and_theirs(entry: Entry) -> Iterable[Of]:
    party = entry.data["party"]
    yield "P", party
    items = list(Item.objects.filter(owner=party).values_list("pk", flat=True))
    roles = JobParty.objects.filter(party=party).values_list("job", flat=True)
    yield from (("I", item) for item in items)
    yield from (("J", job) for job in {*roles, *Job.objects.filter(item__in=items).values_list("pk", flat=True)})


def _item(entry: Entry) -> Iterable[Of]:
    if entry.item_id is not None:
        yield "I", entry.item_id


def _item_and_jobs(entry: Entry) -> Iterable[Of]:
    yield from _item(entry)
    yield from (("J", job) for job in Job.objects.filter(item=entry.item_id).values_list("pk", flat=True))


def _job(entry: Entry) -> Iterable[Of]:
    """A job that begins, ends or changes hands: with it go the ranks of its item and of everybody on it."""
    if entry.job_id is None:
        return
    yield "J", entry.job_id
    # read anew: the step's own row may be older, and is not ours to change
    yield from (("I", item) for item in Job.objects.filter(pk=entry.job_id).values_list("item", flat=True))
    yield from (("P", party) for party in JobParty.objects.filter(job=entry.job_id).values_list("party", flat=True))
    yield from (("P", entry.data[way]) for way in ("from", "to") if entry.action == "job.party_changed")


def _tag(entry: Entry) -> Iterable[Of]:
    if entry.item_id is not None:
        yield "T", entry.item_id


_TOUCHED: dict[str, Callable[[Entry], Iterable[Of]]] = {
    "party.made": _party,
    "party.corrected": _party_and_theirs,
    "item.made": _item,
    "item.corrected": _item_and_jobs,
    "item.owner_changed": _item_and_jobs,
    "item.job_taken_off": _item,
    "job.opened": _job,
    "job.taken_up": _job,
    "job.put_on_item": _job,
    "job.party_changed": _job,
    "job.closed": _job,
    "release.signed": _job,  # written together with the move that takes a job home
    "tag.bound": _tag,
    "tag.voided": _tag,
}
INDEXES_ON = frozenset(_TOUCHED)
