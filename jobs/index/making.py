"""Which words each owner, item, job and tag should have. Reads the book, writes nothing."""

from collections.abc import Collection, Iterable
from datetime import datetime

from django.db.models import Max, Q

from jobs.book.kinds import ITEM_KINDS
from jobs.book.models import Item, Job, JobParty, Party
from jobs.index.models import ANYONE, DESK
from jobs.index.needle import code_words
from jobs.index.words import email_words, number_words, phone_words, words_of
from jobs.tags.models import Tag

Of = tuple[str, int]  # kind and id
Words = dict[str, int]  # word → who may find by it
Wanted = dict[Of, dict[str, tuple[int, bool, int]]]  # word → who may find by it, whether it is here, its rank


def wanted(docs: Iterable[Of]) -> Wanted:
    """The words of these; what is not in the book has none. At most nine queries for any number."""
    ids: dict[str, set[int]] = {"P": set(), "I": set(), "J": set(), "T": set()}
    for kind, of in docs:
        ids[kind].add(of)
    return {**_parties(ids["P"]), **_items(ids["I"]), **_jobs(ids["J"]), **_tags(ids["T"])}


def _ranked(words: Words, at: datetime, *, here: bool) -> dict[str, tuple[int, bool, int]]:
    return {word: (shows, here, int(at.timestamp())) for word, shows in words.items()}


def _add(words: Words, more: Iterable[str], shows: int) -> None:
    for word in more:
        words[word] = min(shows, words.get(word, shows))


def _add_party(words: Words, party: Party, *, reach: bool) -> None:
    """A name, and with `reach` telephone and e-mail. A minor's name is found only by who may see an owner's address."""
    _add(words, words_of(party.name), DESK if party.minor else ANYONE)
    if reach:
        _add(words, phone_words(party.phone) | email_words(party.email), DESK)


def _item_words(item: Item) -> Words:
    words: Words = {}
    for text in (ITEM_KINDS.get(item.kind, ""), item.title, item.size, item.labelled, item.marks, item.asset):
        _add(words, words_of(text), ANYONE)
    return words


def _parties(ids: Collection[int]) -> Wanted:
    if not ids:
        return {}
    newest: dict[int, tuple[datetime, datetime | None]] = {}
    for party, last, here in (
        JobParty.objects.filter(party__in=ids)
        .values_list("party")
        .annotate(Max("job__opened_at"), here=Max("job__opened_at", filter=Q(job__closed_at__isnull=True)))
    ):
        newest[party] = last, here
    found: Wanted = {}
    for party in Party.objects.filter(pk__in=ids):
        last, here = newest.get(party.pk, (party.made_at, None))
        words: Words = {}
        _add_party(words, party, reach=True)
        _add(words, words_of(party.address), DESK)
        found["P", party.pk] = _ranked(words, here or last, here=here is not None)
    return found


def _items(ids: Collection[int]) -> Wanted:
    if not ids:
        return {}
    newest: dict[int, tuple[datetime, datetime | None]] = {}
    for item, last, here in (
        Job.objects.filter(item__in=ids)
        .values_list("item")
        .annotate(Max("opened_at"), here=Max("opened_at", filter=Q(closed_at__isnull=True)))
    ):
        newest[item] = last, here
    found: Wanted = {}
    for thing in Item.objects.filter(pk__in=ids).select_related("owner"):
        last, here = newest.get(thing.pk, (thing.made_at, None))
        words = _item_words(thing)
        if thing.owner is not None:
            _add_party(words, thing.owner, reach=here is not None)
        found["I", thing.pk] = _ranked(words, here or last, here=here is not None)
    return found


def _jobs(ids: Collection[int]) -> Wanted:
    if not ids:
        return {}
    people: dict[int, dict[int, Party]] = {}
    for role in JobParty.objects.filter(job__in=ids).select_related("party"):
        people.setdefault(role.job_id, {})[role.party_id] = role.party
    found: Wanted = {}
    for job in Job.objects.filter(pk__in=ids).select_related("item__owner"):
        here = job.closed_at is None
        words = _item_words(job.item)
        _add(words, number_words(job.number), ANYONE)
        known = people.get(job.pk, {})
        if job.item.owner is not None:
            known.setdefault(job.item.owner.pk, job.item.owner)
        for party in known.values():
            _add_party(words, party, reach=here)
        found["J", job.pk] = _ranked(words, job.opened_at, here=here)
    return found


def _tags(items: Collection[int]) -> Wanted:
    """Every tag an item ever had leads to it, the one in use first."""
    found: Wanted = {}
    for tag in Tag.objects.filter(item__in=items) if items else ():
        words = dict.fromkeys(code_words(tag.code), ANYONE)
        found.setdefault(("T", tag.item_id), {}).update(_ranked(words, tag.at, here=tag.dead_at is None))
    return found
