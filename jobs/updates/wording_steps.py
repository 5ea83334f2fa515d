"""A shop's own words in its letters: written as a new version, or given up for ours. What went out stays as it was."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import Max

from jobs.book.refusals import Refused, Stale
from jobs.book.steps import record
from jobs.estimates.plain_words import to_avoid
from jobs.updates.models import OwnWords
from jobs.updates.wording import TEXTS, Wording, faults_of
from shop.people.models import Person


class WordFaults(Refused):
    """Words that cannot be used: sentences by field. Nothing was kept."""

    def __init__(self, by_field: dict[str, str]) -> None:
        super().__init__(next(iter(by_field.values())))
        self.by_field = by_field


_OVERTAKEN = "Somebody wrote other words for this letter meanwhile. Read them, then write yours."


def looked_through(kind: str, wording: Wording) -> None:
    """Raise WordFaults for words that may not go to an owner: pieces unknown or missing, and what frightens or says nothing."""
    faults = faults_of(TEXTS[kind], wording)
    for field, said in (("subject", wording.subject), ("body", wording.body)):
        avoid = to_avoid(said)
        if avoid and field not in faults:
            faults[field] = f"The owner reads this. {avoid[0]}"
    if faults:
        raise WordFaults(faults)


def write_words(kind: str, wording: Wording, *, seen: int, by: Person, at: datetime) -> OwnWords:
    """Keep a shop's own words for one kind of letter as its next version. `seen` is the version the page showed.

    Raises WordFaults, and Stale when somebody wrote another meanwhile.
    """
    looked_through(kind, wording)
    return _next(kind, wording, seen=seen, by=by, at=at)


def back_to_ours(kind: str, *, seen: int, by: Person, at: datetime) -> OwnWords:
    """Letters of this kind use our words again; the shop's own stay readable."""
    return _next(kind, Wording("", ""), seen=seen, by=by, at=at)


def _next(kind: str, wording: Wording, *, seen: int, by: Person, at: datetime) -> OwnWords:
    if kind not in TEXTS:
        raise Refused("There is no such letter.")
    with transaction.atomic():
        # the versions of one kind are written one after the other
        list(OwnWords.objects.select_for_update(no_key=True).filter(kind=kind))
        newest = OwnWords.objects.filter(kind=kind).aggregate(newest=Max("version"))["newest"] or 0
        if newest != seen:
            raise Stale(_OVERTAKEN)
        body = wording.body.replace("\r\n", "\n").strip()
        made = OwnWords(kind=kind, version=newest + 1, subject=wording.subject.strip(), body=body, since=at, made_by=by)
        try:
            with transaction.atomic():
                made.save(force_insert=True)
        except IntegrityError as fault:
            # the very first words of a kind have no row before them to wait for
            raise Stale(_OVERTAKEN) from fault
        data = {"kind": kind, "from": newest, "to": made.version, "ours": not made.body}
        record("words.written", by=by, at=at, data=data)
    return made
