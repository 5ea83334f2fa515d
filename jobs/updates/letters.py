"""What owners are told, in words. Pure: facts in, subject and body out.

Plain words only. Never in a letter: a child's name, where in the building something is, what staff remarked, the shop's
codes, other owners' prices. The secret link is not in it either: `LINK` stands where it goes, filled when sent.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from jobs.book.kinds import ITEM_KINDS
from jobs.book.stages import PLACE, Stage
from jobs.updates.wording import TEXTS, Wording, paragraphs_of, subject_of
from shop.money import written

LINK = "⟦link⟧"


@dataclass(frozen=True, slots=True)
class Sender:
    """The shop as it signs."""

    name: str
    address: tuple[str, ...] = ()
    telephone: str = ""
    hours: str = ""
    places: int = 2
    wordings: Mapping[str, Wording] = field(default_factory=dict)  # the shop's own words, by kind of letter


@dataclass(frozen=True, slots=True)
class About:
    """The party written to ("" for someone under age), the thing, the job's number."""

    to: str
    kind: str
    size: str
    number: str


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter before it is stored. `linked` tells whether LINK stands in it."""

    kind: str
    subject: str
    body: str
    linked: bool


@dataclass(frozen=True, slots=True)
class Ready:
    """What the letter “ready to collect” says besides. `due` is None when nothing was ever to pay.

    `elsewhere`: the invoice covers things of others too, so that its sum is for whoever pays and not said here.
    """

    due: Decimal | None = None
    elsewhere: bool = False
    on_account: bool = False
    declined: bool = False
    reassembled: bool = False
    collectors: tuple[str, ...] = ()


def thing(kind: str, size: str) -> str:
    """“cello”, “steel-string guitar”, “viola bow”: what an owner calls it."""
    if kind in {"Bw", "Gt"}:
        plain = [word for word in size.partition(",")[0].split() if not any(letter.isdigit() for letter in word)]
        return " ".join([*plain, ITEM_KINDS[kind]])
    return {"Ot": "instrument", "Cs": "case"}.get(kind, ITEM_KINDS.get(kind, "instrument"))


def _letter(kind: str, about: About, sender: Sender, pieces: Mapping[str, str], *, linked: bool = True) -> Letter:
    wording = sender.wordings.get(kind, TEXTS[kind].ours)
    pieces = {"thing": thing(about.kind, about.size), "number": about.number, **pieces}
    greeting = f"Dear {about.to}," if about.to else "Good day,"
    link = [f"Your page, for you alone, with everything so far:\n{LINK}"] if linked else []
    talk = f"You can also telephone us: {sender.telephone}." if sender.telephone else ""
    hours = f"We are open {sender.hours}." if sender.hours else ""
    foot = "\n".join(line for line in (sender.name, *sender.address) if line)
    closing = " ".join(part for part in (talk, hours) if part)
    parts = [greeting, *paragraphs_of(wording, pieces), *link, closing, foot]
    subject = subject_of(wording, pieces)[:160]
    return Letter(kind, subject, "\n\n".join(part for part in parts if part) + "\n", linked)


def _ready(days: str) -> str:
    return f"It should be ready {days}. If this changes, we tell you first." if days else ""


def stage(to: Stage, about: About, sender: Sender, *, days: str = "", free_until: str = "") -> Letter:
    """The job has reached a stage that owners are told about. `days`: when it should be ready, in words."""
    if to is Stage.HOME:
        care = (
            "Wood and strings settle in the first weeks. Keep it out of heat and very dry rooms, tune it slowly, "
            "and look now and then whether the bridge stands straight."
            if about.kind in {"Vn", "Va", "Vc", "Db"}
            else "Keep it out of heat and very dry rooms."
        )
        free = f"The settling check is free until {free_until}; just call us." if free_until else ""
        return _letter("stage-HOME", about, sender, {"care": care, "free": free})
    place = PLACE[to]
    pieces = {"state": place.owner_state, "next": place.owner_next, "ready": _ready(days)}
    return _letter(f"stage-{to}", about, sender, pieces)


def ready(about: About, sender: Sender, facts: Ready) -> Letter:
    """It can be fetched: what is to pay, when, by whom."""
    opening = f"Your {thing(about.kind, about.size)} is ready to collect."
    if facts.declined:
        done = "put your {} together again, as it came to us" if facts.reassembled else "left your {} as it was"
        opening = f"As you decided, we have {done.format(thing(about.kind, about.size))}. It is ready to collect."
    if facts.elsewhere:
        pay = "The invoice is with whoever pays for it."
    elif facts.due is None or facts.due == 0:
        pay = "There is nothing to pay." if not facts.on_account else "What is to pay is on your account."
    elif facts.on_account:
        pay = f"The balance of {written(facts.due, sender.places)} is on your account."
    else:
        pay = f"To pay when you collect: {written(facts.due, sender.places)}."
    who = ""
    if facts.collectors:
        who = f"It may be collected by {_listed(facts.collectors)}. Please bring something with your name on it."
    if facts.declined:
        last = "Thank you for letting us look at it. If you think of it again one day, you are welcome."
    else:
        last = "Take your time and play it here before you go." if about.kind not in {"Bw", "Cs", "Pt"} else ""
    return _letter("stage-RDY", about, sender, {"opening": opening, "pay": pay, "who": who, "last": last})


def note(about: About, sender: Sender, *, things: Sequence[str], linked: bool) -> Letter:
    """The depositor's copy of the signed note, with the paper itself beside it."""
    listed = _listed(things) if things else "what you brought"
    return _letter("note", about, sender, {"things": listed}, linked=linked)


def estimate(about: About, sender: Sender, *, options: int, until: str, version: int) -> Letter:
    """An estimate waits for an answer."""
    ways = "our estimate" if options == 1 else f"an estimate with {options} ways to go on"
    return _letter("estimate", about, sender, {"ways": ways, "version": str(version), "until": until})


def agreed(
    about: About,
    sender: Sender,
    *,
    option: str,
    version: int,
    total: Decimal,
    deposit: Decimal,
    days: str,
    how: str = "",
    going: bool = False,
) -> Letter:
    """What was agreed, so that both sides hold the same words. `option` is "" where there was only one.

    `how`: “by telephone, read back by Maris”, "" by link. `going`: the job is at the bench already, and this was a newer version.
    """
    what = f"{option} of our estimate, version {version}" if option else f"our estimate, version {version}"
    came = f", {how}" if how else ""
    if deposit:
        then = f"Before work begins we ask for {written(deposit, sender.places)} of it. You can pay at the shop."
    else:
        then = "We go on with the work." if going else "It is now in line for the bench."
    pieces = {"what": f"{what}{came}", "total": written(total, sender.places), "then": then, "ready": _ready(days)}
    return _letter("agreed", about, sender, pieces)


def declined(about: About, sender: Sender, *, version: int, fee: Decimal) -> Letter:
    """The answer was “none of these”: thanks, and what comes next. `fee` as the estimate named it, tax included."""
    named = f" and what is to pay: our estimate named {written(fee, sender.places)} for the examination" if fee else ""
    return _letter("declined", about, sender, {"version": str(version), "fee": named})


def taken_back(about: About, sender: Sender, *, version: int, agreed: bool) -> Letter:
    """An answer we wrote down wrongly, after its letter went out."""
    decided = "agreed to" if agreed else "decided against"
    return _letter("taken-back", about, sender, {"decided": decided, "version": str(version)})


def invoice(about: About, sender: Sender, *, number: str, balance: Decimal, things: Sequence[str] = ()) -> Letter:
    """The final invoice, with the paper itself beside it; `things` where it is over several."""
    if balance > 0:
        pay = f"To pay: {written(balance, sender.places)}."
    elif balance < 0:
        pay = f"We owe you {written(-balance, sender.places)} and return it when you come."
    else:
        pay = "It is paid in full. Thank you."
    what = f"your {thing(about.kind, about.size)}"
    pieces = {
        "about": "" if things else f"{what}, {about.number}:",
        "invoice": number,
        "work": _listed(things) if things else what,
        "pay": pay,
    }
    return _letter("invoice", about, sender, pieces)


def credit(about: About, sender: Sender, *, number: str, of: str, back: Decimal, left: Decimal, anew: bool) -> Letter:
    """A credit note for invoice `of`, with the paper itself beside it; `left` is what is then owed, below zero returned."""
    if anew:
        pay = "A new invoice follows."
    elif left > 0:
        pay = f"To pay: {written(left, sender.places)}."
    elif left < 0:
        pay = f"We owe you {written(-left, sender.places)} and return it when you come."
    else:
        pay = "There is nothing more to pay."
    what = f"your {thing(about.kind, about.size)}, {about.number}:"
    pieces = {"about": what, "credit": number, "invoice": of, "back": written(back, sender.places), "pay": pay}
    return _letter("credit", about, sender, pieces)


def fresh_link(about: About, sender: Sender) -> Letter:
    """Someone asked for a fresh link: it goes to the address on file only."""
    return _letter("fresh-link", about, sender, {})


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
