"""Letters told by hand, on paper: each on a sheet of its own for a window envelope, and the calls to make as one list.

A letter to somebody without e-mail carries their own page as a square code besides the words.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.book.phones import shown
from jobs.links.reads import address_of
from jobs.papers.lettering import printable
from jobs.papers.texts import Json
from jobs.papers.typeset import set_in_type
from jobs.tags.symbols import symbol
from jobs.updates.letters import LINK
from jobs.updates.models import Message
from shop.clock import days_words, local, moment_words
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class Call:
    """One call to make: whom, at which number, what to say, and how often nobody answered."""

    letter: Message
    phone: str  # E.164
    shown: str  # the same with its groups, to be read and dialled
    say: tuple[str, ...]

    @property
    def can_be_posted(self) -> bool:
        """Whether an address is written down."""
        return bool(self.letter.party.address.strip())


def calls_in(letters: Iterable[Message]) -> list[Call]:
    """What each letter asks to be said. No query when parties and jobs are loaded."""
    return [Call(letter, letter.party.phone, shown(letter.party.phone), to_say(letter.body)) for letter in letters]


def to_say(body: str) -> tuple[str, ...]:
    """The paragraphs of a letter that are worth saying aloud: without greeting, link, closing and foot."""
    paragraphs = [text.strip() for text in body.split("\n\n") if text.strip()]
    ends = next((at for at, text in enumerate(paragraphs) if LINK in text), len(paragraphs))
    if ends == len(paragraphs):  # no link: the closing and the shop's foot are the last
        ends = next((at for at, text in enumerate(paragraphs) if text.startswith("You can also telephone")), ends)
    return tuple(" ".join(text.split()) for text in paragraphs[1:ends]) or tuple(paragraphs[1:2])


def letters_pdf(letters: Sequence[Message], *, shop: Profile, at: datetime) -> bytes:
    """One PDF with every letter on a sheet of its own, in the shop's paper size; about 10 ms a sheet."""
    sheets: list[Json] = [_sheet(letter, shop) for letter in letters]
    head: dict[str, Json] = {
        "name": shop.name,
        "address": [line for line in shop.address.splitlines() if line.strip()],
        "telephone": shop.telephone,
        "email": shop.email,
    }
    given: dict[str, Json] = {"page": shop.page, "shop": printable(head), "letters": sheets}
    return set_in_type("letter", given, at=at)


def _sheet(letter: Message, shop: Profile) -> dict[str, Json]:
    made = local(letter.made_at, shop.zone).date()
    party = letter.party
    greeting_on, _, foot = _parted(letter.body)
    words: dict[str, Json] = {
        "to": ["" if party.minor else party.name, *party.address.splitlines()],
        "day": f"{days_words(made)} {made.year}",
        "subject": letter.subject,
        "body": [text for text in greeting_on if text.strip()],
        "foot": foot,
        "link": "",
        "beside": letter.paper.number if letter.paper is not None else "",
    }
    runs: list[Json] = []
    side = 0
    if letter.link is not None:
        address = address_of(letter.link)
        square = symbol(address)
        words["link"] = address
        runs = [[*run] for run in square.runs]
        side = len(square.modules)
    return {"words": printable(words), "side": side, "runs": runs}


def _parted(body: str) -> tuple[list[str], str, str]:
    """The paragraphs before the foot without the link's, the link's paragraph, and the foot that signs."""
    paragraphs = [text for text in body.rstrip("\n").split("\n\n") if text.strip()]
    link = next((text for text in paragraphs if LINK in text), "")
    rest = [text for text in paragraphs if text != link]
    return (rest[:-1], link, rest[-1]) if len(rest) > 1 else (rest, link, "")


def calls_pdf(calls: Sequence[Call], *, shop: Profile, at: datetime) -> bytes:
    """The calls to make on one list: number, words, and boxes to tick."""
    listed: list[Json] = [
        printable(
            {
                "to": call.letter.party.name,
                "phone": call.shown or "no number",
                "number": call.letter.job.number if call.letter.job else "",
                "subject": call.letter.subject,
                "say": list(call.say),
                "tried": tried_words(call.letter, shop, at=at),
            }
        )
        for call in calls
    ]
    given: dict[str, Json] = {
        "page": shop.page,
        "shop": shop.name,
        "fixed": _fixed(at, shop),
        "calls": listed,
    }
    return set_in_type("calls", given, at=at)


def _fixed(at: datetime, shop: Profile) -> str:
    now = local(at, shop.zone)
    return f"{days_words(now.date())} {now.year}, {now:%H:%M}"


def tried_words(letter: Message, shop: Profile, *, at: datetime) -> str:
    """“tried twice, last 10:12”, "" when nobody tried."""
    if letter.state != "byhand" or not letter.tries:
        return ""
    times = {1: "once", 2: "twice"}.get(letter.tries, f"{letter.tries} times")
    last = f", last {moment_words(letter.seen_at, shop.zone, now=at)}" if letter.seen_at else ""
    return f"tried {times}{last}"
