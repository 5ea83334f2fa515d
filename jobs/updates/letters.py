"""What owners are told, in words. Pure: facts in, subject and body out.

Plain words only. Never in a letter: a child's name, where in the building something is, what staff remarked, the shop's
codes, other owners' prices. The secret link is not in it either: `LINK` stands where it goes, filled when sent.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.book.kinds import ITEM_KINDS
from jobs.book.stages import PLACE, Stage
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
    """What the letter “ready to collect” says besides. `due` is None when nothing was ever to pay."""

    due: Decimal | None = None
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


def _letter(
    kind: str, about: About, sender: Sender, subject: str, paragraphs: Sequence[str], *, linked: bool = True
) -> Letter:
    greeting = f"Dear {about.to}," if about.to else "Good day,"
    link = [f"Your page, for you alone, with everything so far:\n{LINK}"] if linked else []
    talk = f"You can also telephone us: {sender.telephone}." if sender.telephone else ""
    hours = f"We are open {sender.hours}." if sender.hours else ""
    foot = "\n".join(line for line in (sender.name, *sender.address) if line)
    closing = " ".join(part for part in (talk, hours) if part)
    parts = [greeting, *(text for text in paragraphs if text), *link, closing, foot]
    return Letter(kind, subject, "\n\n".join(part for part in parts if part) + "\n", linked)


def _subject(about: About, says: str) -> str:
    return f"Your {thing(about.kind, about.size)}, {about.number}: {says}"


def stage(to: Stage, about: About, sender: Sender, *, days: str = "", free_until: str = "") -> Letter:
    """The job has reached a stage that owners are told about. `days`: when it should be ready, in words."""
    place = PLACE[to]
    says = {
        Stage.EXP: "we expect you",
        Stage.EXA: "we are looking at it",
        Stage.QUE: "it is in line for the bench",
        Stage.BEN: "work has begun",
        Stage.CUR: "it is resting",
        Stage.SET: "it is being set up and tried",
        Stage.HOME: "thank you",
    }[to]
    if to is Stage.HOME:
        free = f"The settling check is free until {free_until}; just call us." if free_until else ""
        thanks = f"Thank you for bringing us your {thing(about.kind, about.size)}."
        care = (
            "Wood and strings settle in the first weeks. Keep it out of heat and very dry rooms, tune it slowly, "
            "and look now and then whether the bridge stands straight."
            if about.kind in {"Vn", "Va", "Vc", "Db"}
            else "Keep it out of heat and very dry rooms."
        )
        stays = "Your page with its papers stays open for 30 days."
        return _letter("stage-HOME", about, sender, _subject(about, says), [thanks, care, free, stays])
    ready = f"It should be ready {days}. If this changes, we tell you first." if days else ""
    sentence = f"News of your {thing(about.kind, about.size)}. {place.owner_state} {place.owner_next}"
    return _letter(f"stage-{to}", about, sender, _subject(about, says), [sentence, ready])


def ready(about: About, sender: Sender, facts: Ready) -> Letter:
    """It can be fetched: what is to pay, when, by whom."""
    opening = f"Your {thing(about.kind, about.size)} is ready to collect."
    if facts.declined:
        done = "put your {} together again, as it came to us" if facts.reassembled else "left your {} as it was"
        opening = f"As you decided, we have {done.format(thing(about.kind, about.size))}. It is ready to collect."
    if facts.due is None or facts.due == 0:
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
    return _letter("stage-RDY", about, sender, _subject(about, "it is ready to collect"), [opening, pay, who, last])


def note(about: About, sender: Sender, *, things: Sequence[str], linked: bool) -> Letter:
    """The depositor's copy of the signed note, with the paper itself beside it."""
    listed = _listed(things) if things else "what you brought"
    text = (
        f"Thank you for bringing us {listed}. The note of what came in and how it was is with this letter. "
        "Please keep it: it is sealed, and any change in it can be seen."
    )
    subject = f"What you left with us, {about.number}"
    return _letter(
        "note", about, sender, subject, [text, "If anything in it is not right, tell us now."], linked=linked
    )


def estimate(about: About, sender: Sender, *, options: int, until: str, version: int) -> Letter:
    """An estimate waits for an answer."""
    ways = "our estimate" if options == 1 else f"an estimate with {options} ways to go on"
    first = f"We have looked closely at your {thing(about.kind, about.size)} and written {ways} (version {version})."
    then = f"Please read and answer it on your page. It holds until {until}. No paid work begins before you answer."
    return _letter("estimate", about, sender, _subject(about, "our estimate, please answer"), [first, then])


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
    came = f" {how}," if how and what.endswith(",") else f", {how}" if how else ""
    first = f"You have agreed to {what}{came}: {written(total, sender.places)} in all."
    if deposit:
        then = f"Before work begins we ask for {written(deposit, sender.places)} of it. You can pay at the shop."
    else:
        then = "We go on with the work." if going else "It is now in line for the bench."
    when = f"It should be ready {days}. If this changes, we tell you first." if days else ""
    wrong = "If you did not agree to this, tell us at once."
    return _letter("agreed", about, sender, _subject(about, "what we agreed"), [first, then, when, wrong])


def declined(about: About, sender: Sender, *, version: int, fee: Decimal) -> Letter:
    """The answer was “none of these”: thanks, and what comes next. `fee` as the estimate named it, tax included."""
    what = thing(about.kind, about.size)
    first = (
        f"Thank you for telling us. You decided against our estimate for your {what}, version {version}, "
        "and that is quite all right."
    )
    named = f" and what is to pay: our estimate named {written(fee, sender.places)} for the examination" if fee else ""
    then = f"We do nothing more to it and make it ready for you. With our next letter we tell you when you can collect it{named}."
    again = "If you think again, just ask: we gladly write a new estimate."
    wrong = "If you did not decide this, tell us at once."
    return _letter("declined", about, sender, _subject(about, "thank you for your answer"), [first, then, again, wrong])


def taken_back(about: About, sender: Sender, *, version: int, agreed: bool) -> Letter:
    """An answer we wrote down wrongly, after its letter went out."""
    verb = "agreed to" if agreed else "decided against"
    first = (
        f"We had written down that you {verb} our estimate for your {thing(about.kind, about.size)}, version {version}. "
        "That was our mistake, and we have taken it back. We are sorry."
    )
    then = "The estimate waits for your answer. No paid work begins before you have given it."
    return _letter("taken-back", about, sender, _subject(about, "our mistake, put right"), [first, then])


def invoice(about: About, sender: Sender, *, number: str, balance: Decimal, things: Sequence[str] = ()) -> Letter:
    """The final invoice, with the paper itself beside it; `things` where it is over several."""
    if balance > 0:
        pay = f"To pay: {written(balance, sender.places)}."
    elif balance < 0:
        pay = f"We owe you {written(-balance, sender.places)} and return it when you come."
    else:
        pay = "It is paid in full. Thank you."
    work = _listed(things) if things else f"your {thing(about.kind, about.size)}"
    text = f"Invoice {number} for work on {work} is with this letter. {pay}"
    subject = f"Invoice {number}" if things else _subject(about, f"invoice {number}")
    return _letter("invoice", about, sender, subject, [text])


def fresh_link(about: About, sender: Sender) -> Letter:
    """Someone asked for a fresh link: it goes to the address on file only."""
    text = "Here is the link to your page. Links you had before may no longer work."
    ask = "If you did not ask for it, you need do nothing."
    return _letter("fresh-link", about, sender, _subject(about, "your page"), [text, ask])


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
