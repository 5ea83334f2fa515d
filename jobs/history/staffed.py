"""What was done about the people of the shop, in sentences. Pure: rows for the table in `sentences`."""

from jobs.history.names import Data, Names, Say

_FIELDS = {
    "name": "the name", "called": "what they are called", "username": "the staff name", "role": "the role",
    "skill": "how far they are at the bench", "email": "the e-mail", "hours": "the hours",
}  # fmt: skip


def _who(data: Data, names: Names) -> str:
    return names.people.get(data.get("person") or 0, "somebody")


def _changed(data: Data, names: Names) -> str:
    changes = data.get("changes") or {}
    said = [
        f"{_FIELDS.get(field, field)} from {old or 'nothing'} to {new or 'nothing'}"
        for field, (old, new) in changes.items()
    ]
    return f"changed of {_who(data, names)} {'; '.join(said) or 'something'}"


def _left(data: Data, names: Names) -> str:
    stopped = ", whose clock was stopped" if data.get("stopped") else ""
    given = f", and gave {data['given']} open jobs to another" if data.get("given") else ""
    return f"let {_who(data, names)} go{stopped}{given}"


def _of(words: str) -> Say:
    return lambda data, names: words.format(_who(data, names))


def _words(data: Data, names: Names) -> str:
    if data.get("ours"):
        return "went back to our words in a letter to owners"
    return f"wrote version {data.get('to')} of the words of a letter to owners"


STAFFED: dict[str, Say] = {
    "staff.invited": _of("wrote {} down to work here"),
    "staff.changed": _changed,
    "staff.way_in": lambda data, names: f"{'sent' if data.get('sent') else 'showed'} {_who(data, names)} a way in",
    "staff.password": _of("chose a new password for {}"),
    "staff.pin": _of("chose a new PIN for {}"),
    "staff.left": _left,
    "staff.back": _of("let {} work here again"),
    "words.written": _words,
    "staff.signed_out": _of("signed {} out elsewhere"),
}
