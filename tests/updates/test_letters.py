"""The words of letters: plain, whole, and nothing in them that stays inside."""

import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.kinds import ITEM_KINDS, SIZES
from jobs.book.stages import PLACE, Stage
from jobs.updates import letters
from jobs.updates.letters import LINK, About, Letter, Ready, Sender

SENDER = Sender("Marrowfen Strings Workshop", ("3 Tannery Yard", "Ostlemere"), "020 7946 0123", "Mon to Fri 9 to 17")
ABOUT = About("Imelda Rookstone", "Vc", "4/4", "26-0417")
TOLD = [stage for stage, place in PLACE.items() if place.tells]


def _all(about: About) -> list[Letter]:
    sums: dict[str, Any] = {"total": Decimal("13900"), "deposit": Decimal("6950")}
    return [
        *(
            letters.stage(to, about, SENDER, days="Fri 27 November", free_until="Sun 24 January")
            for to in TOLD
            if to != "RDY"
        ),
        letters.ready(about, SENDER, Ready(due=Decimal("120.50"), collectors=("Imelda Rookstone", "Pascoe Dunwinter"))),
        letters.note(about, SENDER, things=["your cello (26-0417)"], linked=True),
        letters.estimate(about, SENDER, options=3, until="Fri 25 December", version=2),
        letters.agreed(about, SENDER, option="B, Restore it fully,", version=2, days="Wed 9 December", **sums),
        letters.invoice(about, SENDER, number="2026-0001", balance=Decimal("120.50")),
        letters.credit(
            about, SENDER, number="C2026-0001", of="2026-0001", back=Decimal(30), left=Decimal(-30), anew=False
        ),
        letters.fresh_link(about, SENDER),
    ]


# the last line of the stages' table of the trade, and what the interface never says (common practice, no source)
KEPT_OUT = re.compile(
    r"\b(sink\w*|sunk|worm\w*|cr-\w+|[A-Z]{2}\d|rack|hook|shelf|cupboard|ticket|board|pipeline|workflow)\b", re.I
)


@pytest.mark.parametrize("kind", sorted(ITEM_KINDS))
def test_no_letter_says_what_stays_inside(kind: str) -> None:
    for letter in _all(About("Imelda Rookstone", kind, "", "26-0417")):
        assert not KEPT_OUT.search(letter.subject), letter
        assert not KEPT_OUT.search(letter.body.replace(LINK, "")), letter


@pytest.mark.parametrize("letter", _all(ABOUT), ids=lambda letter: letter.kind)
def test_a_letter_greets_signs_and_says_how_to_talk(letter: Letter) -> None:
    assert letter.body.startswith("Dear Imelda Rookstone,\n\n")
    assert letter.body.rstrip().endswith("Marrowfen Strings Workshop\n3 Tannery Yard\nOstlemere")
    assert "020 7946 0123" in letter.body
    assert "26-0417" in letter.subject
    assert letter.body.count(LINK) == 1
    assert letter.linked
    assert "\n" not in letter.subject
    assert len(letter.subject) <= 160
    assert "  " not in letter.body
    assert "\n\n\n" not in letter.body


@pytest.mark.parametrize("letter", _all(About("", "Vn", "1/2", "26-0417")), ids=lambda letter: letter.kind)
def test_nobody_under_age_is_greeted_by_name(letter: Letter) -> None:
    assert letter.body.startswith("Good day,\n\n")


@given(
    st.sampled_from(sorted(ITEM_KINDS)).flatmap(
        lambda kind: st.tuples(st.just(kind), st.sampled_from(["", *SIZES.get(kind, ())]))
    )
)
def test_every_thing_has_a_name_an_owner_uses(item: tuple[str, str]) -> None:
    words = letters.thing(*item)
    assert words
    assert words == words.strip()
    assert not any(digit in words for digit in "0123456789")


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (Ready(due=Decimal("1284.24")), "To pay when you collect: 1,284.24."),
        (Ready(due=Decimal(0)), "There is nothing to pay."),
        (Ready(), "There is nothing to pay."),
        (Ready(due=Decimal("37.20"), on_account=True), "The balance of 37.20 is on your account."),
        (Ready(declined=True), "As you decided, we have left your cello as it was."),
        (Ready(collectors=("A B", "C D")), "It may be collected by A B and C D."),
    ],
)
def test_ready_says_what_to_pay_and_who_may_come(facts: Ready, words: str) -> None:
    assert words in letters.ready(ABOUT, SENDER, facts).body


def test_going_home_says_until_when_the_check_is_free() -> None:
    body = letters.stage(Stage.HOME, ABOUT, SENDER, free_until="Sun 24 January").body
    assert "The settling check is free until Sun 24 January" in body


@pytest.mark.parametrize(
    ("balance", "words"), [("10.00", "To pay: 10.00."), ("0", "paid in full"), ("-5.00", "We owe you 5.00")]
)
def test_an_invoice_says_what_is_left(balance: str, words: str) -> None:
    assert words in letters.invoice(ABOUT, SENDER, number="2026-0001", balance=Decimal(balance)).body


def test_a_currency_without_small_change_shows_none() -> None:
    yen = Sender("Shop", places=0)
    assert "12,000." in letters.ready(ABOUT, yen, Ready(due=Decimal(12000))).body
