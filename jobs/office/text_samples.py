"""A letter as an invented owner would get it, to look at words before they are kept."""

from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from jobs.book.stages import Stage
from jobs.office.lines import Standing
from jobs.updates import letters
from jobs.updates.letters import About, Letter, Ready
from jobs.updates.reads import sender_of
from jobs.updates.wording import TEXTS, Wording
from jobs.updates.wording_reads import own_wordings
from shop.clock import days_words, local
from shop.profile.reads import profile

OWNER = About("Imelda Rookstone", "Vn", "4/4", "26-0402")


def sample(kind: str, wording: Wording) -> Letter:
    """The letter of one kind in these words. Raises KeyError for an unknown kind or piece."""
    shop = profile()
    sender = sender_of(shop)
    sender = letters.Sender(
        sender.name, sender.address, sender.telephone, sender.hours, sender.places, {**sender.wordings, kind: wording}
    )
    today = local(timezone.now(), shop.zone).date()
    soon, later = days_words(today + timedelta(days=7)), days_words(today + timedelta(days=60))
    if kind == "stage-RDY":
        return letters.ready(OWNER, sender, Ready(due=Decimal("284.24"), collectors=("Pascoe Dunwinter",)))
    if kind.startswith("stage-"):
        return letters.stage(Stage(kind.removeprefix("stage-")), OWNER, sender, days=soon, free_until=later)
    made = {
        "note": lambda: letters.note(
            OWNER, sender, things=["your violin (26-0402)", "your bow (26-0403)"], linked=False
        ),
        "estimate": lambda: letters.estimate(OWNER, sender, options=3, until=later, version=1),
        "agreed": lambda: letters.agreed(
            OWNER,
            sender,
            option="B, As we advise,",
            version=1,
            total=Decimal("622.47"),
            deposit=Decimal("311.24"),
            days=soon,
        ),
        "declined": lambda: letters.declined(OWNER, sender, version=1, fee=Decimal("25.00")),
        "taken-back": lambda: letters.taken_back(OWNER, sender, version=1, agreed=True),
        "invoice": lambda: letters.invoice(OWNER, sender, number=f"{today.year}-0042", balance=Decimal("284.24")),
        "credit": lambda: letters.credit(
            OWNER,
            sender,
            number=f"C{today.year}-0003",
            of=f"{today.year}-0042",
            back=Decimal("30.00"),
            left=Decimal("254.24"),
            anew=False,
        ),
        "fresh-link": lambda: letters.fresh_link(OWNER, sender),
    }
    return made[kind]()


def texts_line(here: Standing) -> str:
    """“15 letters, 2 in your own words”. One query."""
    own = len(own_wordings())
    return f"{len(TEXTS)} letters, {own or 'none'} in your own words"
