"""Sentences on answers to estimates: agreed, declined, taken back, and what followed a refusal. Pure."""

from jobs.history.names import Data, Names, Say

_HOW = {
    "desk": "at the counter",
    "phone": "by telephone",
    "order": "by purchase order",
    "slip": "by the signed slip",
    "link": "by link",
}


def _what(data: Data) -> str:
    version = f"version {data['version']}" if data.get("version") else "the estimate"
    return f"{version}, option {data['option']}" if data.get("option") else version


def _how(data: Data, *, agreed: bool) -> str:
    how = str(data.get("how"))
    said = _HOW.get(how, "")
    if agreed:
        said += {"desk": ", signed", "phone": ", read back", "order": f" {data.get('order', '')}".rstrip()}.get(how, "")
    return f", {said}" if said else ""


def _who(data: Data, names: Names) -> str:
    return names.parties.get(data.get("party") or 0, "the owner")


def _answered(verb: str, *, agreed: bool) -> Say:
    def say(data: Data, names: Names) -> str:
        if data.get("how") in {None, "link"}:  # the one who did it is named before
            return f"{verb} {_what(data)}{_how(data, agreed=agreed)}"
        return f"wrote down that {_who(data, names)} {verb} {_what(data)}{_how(data, agreed=agreed)}"

    return say


def _reason(data: Data) -> str:
    return str(data.get("reason", "")).rstrip(".")


def _withdrawn(data: Data, names: Names) -> str:
    verb = "agreed to" if data.get("approved") else "declined"
    said = f"{_who(data, names)} {verb} {_what(data)}{_how(data, agreed=False)}"
    return f"took back the answer that {said}; no answer stands now: {_reason(data)}"


def _settled(data: Data, names: Names) -> str:
    again = "it is put together again" if data.get("reassemble") else "nothing is to be put together"
    fee = f"the fee of {data['fee']} is taken" if data.get("fee") else "no fee is taken"
    return f"said what follows the refusal: {again}, {fee}"


ANSWERED: dict[str, Say] = {
    "estimate.approved": _answered("agreed to", agreed=True),
    "estimate.declined": _answered("declined", agreed=False),
    "answer.withdrawn": _withdrawn,
    "refusal.settled": _settled,
    "fee.waived": lambda data, names: f"let the fee of {data.get('fee', '')} go: {_reason(data)}",
    "estimate.renewed": lambda data, names: (
        f"began the estimate again with the prices of the day, version {data.get('version', '')}"
    ),
    "ceiling.set": lambda data, names: (
        f"said that {_who(data, names)} may agree up to {data.get('now') or 'any sum'}, "
        f"before that {data.get('was') or 'any sum'}"
    ),
}
