"""What was put right, in sentences that show both values. Pure."""

from jobs.book.kinds import CORRECTED, ITEM_KINDS, PARTY_ROLES
from jobs.history.names import Data, Names, Say


def _after(words: object) -> str:
    said = str(words or "").strip().rstrip(".")
    return f": {said}" if said else ""


def _value(what: str, value: str) -> str:
    if not value:
        return "nothing"
    return ITEM_KINDS.get(value, value) if what == "kind" else f"“{value}”"


def _item_corrected(data: Data, names: Names) -> str:
    what = str(data.get("what", ""))
    values = names.corrected.get(data.get("correction") or 0)
    called = CORRECTED.get(what, what) or "entry"
    if values is None:
        return f"put its {called} right"
    was, now = values
    return f"put its {called} right: {_value(what, now)}; before that {_value(what, was)}"


def _party(names: Names, pk: int | None) -> str:
    return names.parties.get(pk or 0, "someone") if pk else "nobody"


def _put_on_item(data: Data, names: Names) -> str:
    was, now = (names.items.get(data[one], "another item") for one in ("from", "to"))
    return f"put it on the right item, {now}; it was opened on {was}{_after(data.get('reason'))}"


def _taken_off(data: Data, names: Names) -> str:
    job, now = names.jobs.get(data.get("job") or 0, "a job"), names.items.get(data["to"], "another item")
    return f"took {job} off it, opened on it by mistake: it belongs to {now}{_after(data.get('reason'))}"


def _party_changed(data: Data, names: Names) -> str:
    roles = ", ".join(PARTY_ROLES[role] for role in data.get("roles", ()))
    return f"put {_party(names, data['to'])} in the place of {_party(names, data['from'])} ({roles}){_after(data.get('reason'))}"


def _photo_moved(data: Data, names: Names) -> str:
    back = " back" if data.get("back") else ""
    return f"moved a photo{back} here from {names.jobs.get(data['from'], 'another job')}"


def _photo_left(data: Data, names: Names) -> str:
    back = " back" if data.get("back") else ""
    hidden = "; the owner does not see it any more" if data.get("shown") else ""
    return f"moved a photo{back} to {names.jobs.get(data['to'], 'another job')}{hidden}"


RIGHTED: dict[str, Say] = {
    "item.corrected": _item_corrected,
    "item.owner_changed": lambda data, names: (
        f"wrote it down for {_party(names, data['to'])}; before that for {_party(names, data['from'])}"
    ),
    "item.job_taken_off": _taken_off,
    "job.put_on_item": _put_on_item,
    "job.party_changed": _party_changed,
    "photo.moved": _photo_moved,
    "photo.moved_away": _photo_left,
    "photo.also": lambda data, names: (
        f"marked a photo of {names.jobs.get(data['from'], 'another job')} as belonging here too"
    ),
    "photo.not_also": lambda data, names: "took the mark away that a photo belongs here too",
    "paper.reprinted": lambda data, names: (
        f"printed the {data.get('kind', 'paper')} {data.get('number', '')} again".strip()
    ),
    "tag.reprinted": lambda data, names: "printed its tag again; the code is the same",
}
