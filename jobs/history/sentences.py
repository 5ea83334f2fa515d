"""What happened to a job, in sentences. Pure: one table from an entry's action to its words.

A sentence follows the name of whoever did it: “Tobiah” + “moved it from Bench queue to On the bench”.
"""

from collections.abc import Mapping
from datetime import date, datetime

from jobs.bench.clocks import hours_words
from jobs.bench.rests import RESTS
from jobs.book.stages import CLOSINGS, HOLDS, PLACE, Stage
from jobs.history.answered import ANSWERED
from jobs.history.names import Data, Names, Say
from jobs.history.righted import RIGHTED
from jobs.history.settled import SETTLED
from jobs.history.staffed import STAFFED
from shop.clock import day_words


def _stage(code: object) -> str:
    return PLACE[Stage(str(code))].name


def _after(words: object) -> str:
    said = str(words or "").strip().rstrip(".")
    return f": {said}" if said else ""


def _moved(data: Data, names: Names) -> str:
    if data.get("as"):
        return f"gave it back and closed it as {CLOSINGS.get(data['as'], data['as'])}"
    return f"moved it from {_stage(data['from'])} to {_stage(data['to'])}{_after(data.get('reason'))}"


def _assigned(data: Data, names: Names) -> str:
    to = data.get("to")
    return f"gave it to {names.people.get(to, 'someone')}" if to else "took it back; nobody has it"


def _promised(data: Data, names: Names) -> str:
    if not data.get("to"):
        return "took the promised day away"
    was = f", before that {_day(data['from'])}" if data.get("from") else ""
    return f"promised it for {_day(data['to'])} ({data.get('sure')}){was}"


def _day(iso: str) -> str:
    return day_words(date.fromisoformat(iso))


def _tape(verb: str) -> Say:
    return lambda data, names: f"{verb} tape: {HOLDS.get(data['kind'], data['kind'])}"


def _until(data: Data) -> str:
    if not data.get("until"):
        return ""
    until = datetime.fromisoformat(data["until"])  # as the shop's clock showed it
    return f" until {day_words(until.date())} {until:%H:%M}"


def _rest(data: Data) -> str:
    words = f", {data['words']}" if data.get("words") else ""
    return f"{RESTS.get(data.get('what', ''), 'rest')}{words}{_until(data) or ', no end said yet'}"


def _put(data: Data, names: Names) -> str:
    place = names.places.get(data.get("location") or 0, "")
    return f"put it on {place}" if place else "saw it leave the shop"


def _stopped(data: Data, names: Names) -> str:
    time = hours_words(float(data.get("seconds") or 0))
    if data.get("because") == "another":
        return f"went on to other work after {time} on this"
    return f"stopped the clock after {time}"


def _paid(data: Data, names: Names) -> str:
    what = "a deposit" if data.get("kind") == "deposit" else "a payment"
    return f"took {what} of {data.get('amount')} by {data.get('method')}"


def _reversed(data: Data, names: Names) -> str:
    what = {"deposit": "a deposit", "refund": "a refund"}.get(str(data.get("kind")), "a payment")
    how = f" of {data['amount']} by {data['method']}" if data.get("amount") else ""
    later = ", counted already" if data.get("counted") else ""
    return f"reversed {what}{how}: it was written down wrongly{later}{_after(data.get('reason'))}"


def _credited(data: Data, names: Names) -> str:
    if not data.get("number"):
        return "credited an invoice"
    change = f", to pay {data.get('was')} before and {data.get('now')} now"
    return (
        f"credited {data['gross']} of invoice {data['invoice']} by {data['number']}{change}{_after(data.get('reason'))}"
    )


def _refunded(data: Data, names: Names) -> str:
    how = f" by {data['method']}" if data.get("method") else ""
    return f"refunded {data.get('amount') or 'money'}{how}{_after(data.get('reason'))}"


def _version(verb: str) -> Say:
    return lambda data, names: (
        f"{verb} version {data['version']} of the estimate" if data.get("version") else f"{verb} an estimate"
    )


def _paper(verb: str) -> Say:
    return lambda data, names: f"{verb} the {data['kind']}" if data.get("kind") else f"{verb} a paper"


def _price(data: Data, names: Names) -> str:
    was, now = (_figure(data.get(side)) for side in ("from", "to"))
    return f"changed {data.get('what', 'a figure')} in a price list from {was} to {now}"


def _prices(verb: str) -> Say:
    return lambda data, names: f"{verb} from {_day(data['since'])} on" if data.get("since") else verb


def _figure(of: object) -> str:
    if isinstance(of, Mapping):
        offered = "" if of["active"] else ", not offered"
        return f"{of['words']}, {of['labour']} + {of['goods']}, {of['days']} days{offered}"
    return str(of or "nothing")


def _plain(words: str) -> Say:
    return lambda data, names: words


SENTENCES: dict[str, Say] = {
    "job.opened": _plain("opened the job"),
    "job.taken_up": _plain("took it in, as expected"),
    "job.moved": _moved,
    "job.unmoved": lambda data, names: f"took the move back: it hangs on {_stage(data['to'])} again",
    "job.closed": lambda data, names: (
        f"closed it as {CLOSINGS.get(data['as'], data['as'])}{_after(data.get('reason'))}"
    ),
    "job.assigned": _assigned,
    "job.promised": _promised,
    "job.nothing_needed": lambda data, names: f"found nothing to do{_after(data.get('words'))}",
    "hold.laid": _tape("laid"),
    "hold.lifted": _tape("lifted"),
    "item.made": _plain("wrote the item down"),
    "item.seen": _put,
    "visit.placed": _plain("finished the taking in"),
    "note.sealed": lambda data, names: (
        "sealed the condition note" if data.get("signed", True) else "sealed the condition note, unsigned"
    ),
    "value.accepted": lambda data, names: f"accepted the value of {data.get('value')}, above what the cover pays",
    "tag.bound": _plain("bound a tag to it"),
    "tag.voided": _plain("took its tag out of use"),
    "tag.doubted": _plain("found another thing under its tag"),
    "clock.started": _plain("started the clock"),
    "clock.stopped": _stopped,
    "note.written": lambda data, names: (
        "took a photo at the bench" if data.get("photo") else "wrote a note at the bench"
    ),
    "finding.added": _plain("wrote down a new finding"),
    "wait.laid": lambda data, names: f"laid it to rest: {_rest(data)}",
    "wait.changed": lambda data, names: (
        f"changed its rest from {_rest(data.get('was') or {})} to {_rest(data.get('now') or {})}"
    ),
    "wait.confirmed": _plain("confirmed that its rest is over"),
    "wait.overruled": lambda data, names: f"let it go on before its time{_until(data)}{_after(data.get('reason'))}",
    "wait.reopened": lambda data, names: f"let it rest again{_until(data)}",
    "wait.dropped": _plain("took its rest back"),
    "check.passed": lambda data, names: f"passed the second check{_after(data.get('words'))}",
    "check.sent_back": lambda data, names: f"sent it back from the second check{_after(data.get('words'))}",
    "photo.received": _plain("added a photo"),
    "photo.filed": _plain("filed the photos with it"),
    "photo.shown": _plain("let the owner see a photo"),
    "photo.hidden": _plain("hid a photo from the owner"),
    "photo.aside": _plain("put a photo aside"),
    "photo.failed": _plain("could not read a photo"),
    "paper.frozen": _paper("fixed the words of"),
    "paper.made": _paper("printed and sealed"),
    "paper.again": _plain("had a paper printed again"),
    "estimate.begun": _version("began"),
    "estimate.sent": _version("sent"),
    **ANSWERED,
    "question.asked": _plain("asked a question"),
    "question.seen": _plain("read the owner’s question"),
    "letter.tried": _plain("telephoned the owner; nobody answered"),
    "letter.told": _plain("told the owner by hand"),
    "letter.arrived": _plain("heard that a letter arrived"),
    "letter.again": _plain("sent a letter again"),
    "link.asked": _plain("asked for a new link"),
    "invoice.issued": lambda data, names: (
        f"issued invoice {data.get('number')} of {data.get('gross')}"
        + (f" for {data['jobs']} jobs together" if (data.get("jobs") or 1) > 1 else "")
    ),
    "payment.taken": _paid,
    "payment.refunded": _refunded,
    "payment.reversed": _reversed,
    "invoice.credited": _credited,
    "account.opened": lambda data, names: f"let it go on account{_after(data.get('reason'))}",
    "release.signed": _plain("handed it over; the collector signed"),
    "prices.begun": _prices("began the price list"),
    "prices.changed": _price,
    "prices.put": _prices("put in force the price list"),
    "prices.reopened": _prices("opened again the price list"),
    "prices.withdrawn": _prices("withdrew the price list"),
    **RIGHTED,
    **SETTLED,
    **STAFFED,
}


# how the same thing done several times on end is said at once
MANY = {
    "photo.received": "added {n} photos",
    "photo.shown": "let the owner see {n} photos",
    "photo.hidden": "hid {n} photos from the owner",
}
# done by the owner, where nobody of the shop did it
BY_OWNER = frozenset({"estimate.approved", "estimate.declined", "question.asked", "link.asked"})


def sentence(action: str, data: Data, names: Names) -> str:
    """The words for one entry. An action without a row is said by its own name, never hidden."""
    say = SENTENCES.get(action)
    return say(data, names) if say else action.replace(".", " ").replace("_", " ")
