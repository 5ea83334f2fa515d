"""What was changed in a room, in sentences, newest first."""

from dataclasses import dataclass
from datetime import datetime

from jobs.book.models import Entry
from jobs.custody.models import Location
from jobs.history.names import Names
from jobs.history.sentences import sentence
from shop.people.models import Person
from shop.profile.models import FormerFact, Profile

MOST = 12


@dataclass(frozen=True, slots=True)
class Change:
    """One change: when, who, and a sentence that follows the name."""

    at: datetime
    who: str
    words: str


def changes_of(actions: tuple[str, ...], shop: Profile, *, at: datetime, room: tuple[str, ...] = ()) -> list[Change]:
    """The newest changes among `actions` (of these rooms only, if named). At most four queries."""
    entries = Entry.objects.filter(action__in=actions)
    if room:
        entries = entries.filter(data__room__in=room)
    newest = list(entries.order_by("-pk").values_list("action", "data", "at", "by__called")[:MOST])
    places = {data["location"] for _, data, _, _ in newest if data.get("location")}
    former = {pk for _, data, _, _ in newest for pk in data.get("former", {}).values()}
    kept = {one.pk: one for one in FormerFact.objects.filter(pk__in=former)} if former else {}
    people = {data["person"] for _, data, _, _ in newest if data.get("person")}
    names = Names(
        places=dict(Location.objects.filter(pk__in=places).values_list("pk", "name")) if places else {},
        people=dict(Person.objects.filter(pk__in=people).values_list("pk", "called")) if people else {},
    )
    return [
        Change(when, who or "The shop", sentence(action, _filled(data, kept), names))
        for action, data, when, who in newest
    ]


def _filled(data: dict[str, object], kept: dict[int, FormerFact]) -> dict[str, object]:
    """Entry data with the values that are kept apart, where they have not been erased."""
    former = data.get("former")
    if not isinstance(former, dict):
        return data
    values = data.get("changes")
    changes = dict(values) if isinstance(values, dict) else {}
    for field, pk in former.items():
        row = kept.get(pk)
        changes[field] = [row.old, row.new] if row and (row.old or row.new) else ["…", "…"]
    return {**data, "changes": changes}
