"""A counter with a price list, and price-list work on it."""

from datetime import datetime
from functools import partial

from jobs.book.models import Party
from jobs.catalogue.steps import load_fixed_prices, load_operations, load_prices
from jobs.intake import drafts, list_steps, steps
from jobs.intake.edits import with_role
from jobs.intake.models import Draft
from jobs.intake.notes import note_text
from jobs.intake.reads import sit
from jobs.intake.sealing import Sealed, seal
from jobs.intake.signs import Signs
from jobs.papers.frozen import words_sha256
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.intake import sittings

WEEK = {**{day: ["09:00", "17:00"] for day in ("mon", "tue", "wed", "thu", "fri")}, "sat": ["10:00", "13:00"]}


def open_counter() -> None:
    """The shop of the intake tests, open Monday to Saturday, with the sample price list."""
    sittings.open_shop()
    factory.shop(hours=WEEK)
    load_operations(NOW)
    load_prices(NOW)
    load_fixed_prices(NOW)


def counted(owner: Party | None = None, *, at: datetime = NOW, **numbers: str) -> Draft:
    """A draft of price-list work by the desk: `RH_VN_Bw="3"` counts three rehairs of violin bows."""
    desk = factory.person(Role.DESK)
    row = steps.begin(by=desk, at=at, draft=drafts.Draft(from_list=True))
    if owner is not None:
        row = steps.save(row, partial(with_role, role="depositor", party=owner.pk), seen=None, by=desk, at=at)
    typed = {f"n-{name.replace('_', '-')}": said for name, said in numbers.items()}
    return list_steps.write(row, typed, seen=None, by=desk, at=at)


def read(row: Draft, *, at: datetime = NOW) -> tuple[Draft, str]:
    """Numbered to be read, and the hash of the words as they were shown."""
    row = list_steps.to_be_read(row, seen=None, by=row.by, at=at)
    sitting = sit(row, receiver=row.by, at=at)
    assert sitting.lacks == ()
    return row, words_sha256(note_text(sitting.draft, sitting.beside))


def sealed(row: Draft, *, at: datetime = NOW, key: str = "seal-at-counter", signs: Signs | None = None) -> Sealed:
    """Read, signed by both, sealed."""
    row, digest = read(row, at=at)
    return seal(row, seen=row.version, seen_sha256=digest, signs=signs or sittings.signs(), by=row.by, at=at, key=key)
