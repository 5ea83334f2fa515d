"""A job that was put on another item after its note was signed: the note stays, and what it names is said beside it."""

from zoneinfo import ZoneInfo

from jobs.book.apart import item_more
from jobs.book.models import Entry, Item, Job
from jobs.papers.models import Paper
from shop.clock import day_words, local
from shop.prepared import Prepared

_moves = Prepared(
    lambda job: Entry.objects.filter(job=job, action="job.put_on_item").select_related("by").order_by("pk")
)


def named_otherwise(job: Job, zone: ZoneInfo) -> str:
    """“The condition note N26-0012 names another item, Violin 4/4. Put right to Viola 16 in by Maris on Wed 25 Nov: …”.

    "" where the note names the job's item. One query, two more for a job that was put right.
    """
    moves = _moves(job.pk)
    if not moves or job.visit_id is None:
        return ""
    note = Paper.objects.filter(kind="note", visit=job.visit_id).order_by("position").first()
    later = [one for one in moves if note is not None and one.at >= note.at]
    if note is None or not later or later[0].data["from"] == job.item_id:
        return ""
    was, last = Item.objects.get(pk=later[0].data["from"]), later[-1]
    who = last.by.short if last.by else "the shop"
    day = local(last.at, zone).date()
    reason = str(last.data.get("reason", "")).rstrip(".")
    return (
        f"The condition note {note.number} names another item, {_called(was)}. "
        f"Put right to {_called(job.item)} by {who} on {day_words(day)} {day.year}: {reason}."
    )


def _called(item: Item) -> str:
    more = item_more(item)
    return f"{item.title} ({more})" if more else item.title
