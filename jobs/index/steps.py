"""Keeping the words in step with the book: the only writer of them."""

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet

from jobs.book.models import Entry, Item, Job, Party, Watermark
from jobs.index.making import Of, wanted
from jobs.index.models import IndexWord
from jobs.tags.models import Tag

RULES = 1  # raise it when words are split or ranked otherwise: the next `prepare` then makes them all again
BATCH = 250
FOLLOWER = "words"
_LOCK = "index-words"  # one writer at a time: it also remembers by which rules the words were made


def refresh(docs: Iterable[Of]) -> None:
    """Make the words of these as the book has them now. Doing it twice is the same as once.

    About twelve statements for any number of them; whoever comes later reads the book later.
    """
    wishes = sorted(set(docs))
    for start in range(0, len(wishes), BATCH):
        with transaction.atomic():
            _lock()
            _write(wishes[start : start + BATCH])


def _lock() -> None:
    if not Watermark.objects.select_for_update(no_key=True).filter(pk=_LOCK).exists():
        Watermark.objects.get_or_create(pk=_LOCK)
        Watermark.objects.select_for_update(no_key=True).get(pk=_LOCK)


def _write(docs: list[Of]) -> None:
    should = wanted(docs)
    held: dict[tuple[str, int, str], IndexWord] = {}
    ours = set(docs)
    # asked by id alone, so that on every database the index that begins with it is the only way
    for row in IndexWord.objects.filter(of__in={of for _, of in docs}):
        if (row.kind, row.of) in ours:
            held[row.kind, row.of, row.word] = row
    new: list[IndexWord] = []
    changed: list[IndexWord] = []
    for (kind, one), words in should.items():
        for word, is_now in words.items():
            has = held.pop((kind, one, word), None)
            if has is None:
                shows, here, rank = is_now
                new.append(IndexWord(kind=kind, of=one, word=word, shows=shows, here=here, rank=rank))
            elif (has.shows, has.here, has.rank) != is_now:
                has.shows, has.here, has.rank = is_now
                changed.append(has)
    if held:
        IndexWord.objects.filter(pk__in=[row.pk for row in held.values()]).delete()
    IndexWord.objects.bulk_create(new, batch_size=2000)
    # one statement for each way in which words changed: a job that goes home takes all of its words along
    changed.sort(key=_state)
    for (shows, here, rank), rows in groupby(changed, key=_state):
        IndexWord.objects.filter(pk__in=[row.pk for row in rows]).update(shows=shows, here=here, rank=rank)


def _state(row: IndexWord) -> tuple[int, bool, int]:
    return row.shows, row.here, row.rank


def fill() -> int:
    """Make the words of everything that has none yet, or of everything when the rules changed. Returns how many.

    Batch by batch, so that a start that is broken off goes on where it was.
    """
    mark, _ = Watermark.objects.get_or_create(pk=_LOCK)
    everything = mark.entry_id != RULES
    written = Entry.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    made = 0
    for batch in _missing(everything):
        refresh(batch)
        made += len(batch)
    if everything:
        Watermark.objects.filter(pk=_LOCK).update(entry_id=RULES)
        # what happened before needs no looking at: it was in the book when the words were made
        Watermark.objects.update_or_create(pk=FOLLOWER, defaults={"entry_id": written})
    return made


def _missing(everything: bool) -> Iterator[list[Of]]:
    kinds: dict[str, QuerySet[Any]] = {
        "P": Party.objects.all(),
        "I": Item.objects.all(),
        "J": Job.objects.all(),
        "T": Item.objects.filter(Exists(Tag.objects.filter(item=OuterRef("pk")))),
    }
    for kind, found in kinds.items():
        has: set[int] = set()
        if not everything:
            has.update(IndexWord.objects.filter(kind=kind).values_list("of", flat=True).distinct())
        ids = [pk for pk in found.order_by("pk").values_list("pk", flat=True) if pk not in has]
        for start in range(0, len(ids), BATCH):
            yield [(kind, one) for one in ids[start : start + BATCH]]
