"""Who may read a paper of which kind."""

from jobs.papers.models import Paper
from shop.people.models import Person
from shop.people.roles import Act

# Which acts open a kind of paper: notes and releases name the owner's address, the others money.
PAPER_ACTS: dict[str, tuple[Act, ...]] = {
    "note": (Act.SEE_OWNER, Act.TAKE_IN),
    "release": (Act.SEE_OWNER,),
    "estimate": (Act.SEE_MONEY, Act.EXAMINE),
    "agreement": (Act.SEE_MONEY, Act.EXAMINE),
    "invoice": (Act.SEE_MONEY,),
    "credit": (Act.SEE_MONEY,),
    "receipt": (Act.SEE_MONEY,),
    "takings": (Act.SEE_MONEY,),
}


def may_open(person: Person, paper: Paper) -> bool:
    """Whether this person may read a paper of this kind."""
    return any(person.may(act) for act in PAPER_ACTS[paper.kind])
