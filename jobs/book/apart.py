"""What tells two parties or two items of the same name apart, for lists somebody chooses from. No query."""

from collections import Counter
from collections.abc import Iterable, Sequence

from jobs.book.models import Item, Party


def _twice(words: Iterable[str]) -> set[str]:
    return {word for word, count in Counter(words).items() if count > 1}


def parties_apart(parties: Sequence[Party]) -> list[tuple[int, str]]:
    """Ids and names; a name that stands there twice with what differs: “John Smith, …0155, 9 Weir Lane”."""
    same = _twice(party.name.casefold() for party in parties)
    return [(one.pk, f"{one.name}, {more_of(one)}" if one.name.casefold() in same else one.name) for one in parties]


def more_of(party: Party) -> str:
    """A few words that tell a party from another of the same name, as one may read them aloud at the counter."""
    said = []
    if party.minor:
        said.append("under age")
    if party.phone:
        said.append(f"telephone …{party.phone[-4:]}")
    if party.email:
        said.append(f"{party.email[:2]}…@{party.email.rpartition('@')[2]}")
    if party.address.strip():
        said.append(party.address.strip().splitlines()[0])
    return ", ".join(said) or f"no. {party.pk} in the book"


def item_more(item: Item) -> str:
    """What tells an item from another of the same title: asset number, marks, label text."""
    label = f"labelled {item.labelled}" if item.labelled else ""
    asset = f"asset {item.asset}" if item.asset else ""
    return ", ".join(part for part in (asset, item.marks, label) if part)


def items_apart(items: Sequence[Item]) -> list[tuple[int, str]]:
    """Ids and titles with what is known besides; two that look the same carry their number in the book."""
    words = [f"{item.title}, {more}" if (more := item_more(item)) else item.title for item in items]
    same = _twice(words)
    return [
        (item.pk, f"{said}, no. {item.pk} in the book" if said in same else said)
        for item, said in zip(items, words, strict=True)
    ]
