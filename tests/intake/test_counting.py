"""Counting, whatever is typed in whatever order: numbers and pieces agree, sums are those of the lines."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import count
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.refusals import Refused
from jobs.intake import drafts
from jobs.intake.counting import apart, counted, repriced, with_counts, with_marks, without_work
from jobs.intake.edits import MOST_PIECES
from jobs.intake.priced import Offered, changed, charges, price_of, ready_day, total_of
from shop.clock import Opening
from shop.money import totals

UTC = ZoneInfo("UTC")


def offer(code: str, kind: str, operation: int | None, labour: str, goods: str = "0", size: str = "") -> Offered:
    price = drafts.Priced(
        code=code, words=f"Work {code}", operation=operation, labour=labour, goods=goods, goods_words="goods",
        goods_tax="8.25", ready="2026-12-01", job_kind="rehair" if code.startswith("RH") else "repair",
    )  # fmt: skip
    return Offered(kind, size, price)


OFFERS = (
    offer("RH-VN", "Bw", 1, "33.00", "12.00", "violin"),
    offer("RH-VC", "Bw", 1, "36.00", "14.00", "cello"),
    offer("GRIP", "Bw", 2, "38.00", "9.00"),
    offer("ST-VN", "Vn", 3, "12.00", "32.33"),
    offer("POST", "Vn", 4, "24.00"),
    offer("OWN", "Vn", None, "0"),
    offer("POST", "Va", 4, "24.00"),
)
numbers = st.integers(min_value=0, max_value=9)
typing = st.lists(st.tuples(st.sampled_from(range(len(OFFERS))), numbers), max_size=12)


def tried(draft: drafts.Draft, typed: dict[str, str], new_key: Callable[[], str]) -> tuple[drafts.Draft | None, str]:
    """The draft with what was typed, or why not."""
    try:
        return with_counts(draft, typed, OFFERS, new_key), ""
    except Refused as refusal:
        return None, refusal.words


@given(typing, st.data())
def test_every_number_is_that_of_its_pieces_and_sums_are_those_of_lines(
    typed: list[tuple[int, int]], data: st.DataObject
) -> None:
    keys = (f"{n:012x}" for n in count())
    draft, wanted = drafts.Draft(from_list=True), dict.fromkeys(range(len(OFFERS)), 0)
    for which, number in typed:
        more, no = tried(draft, {f"n-{OFFERS[which].key}": str(number)}, lambda: next(keys))
        if more is None:
            assert f"{MOST_PIECES} items" in no
            continue
        draft, wanted[which] = more, number
        if bool(draft.pieces) and data.draw(st.booleans()):
            piece = data.draw(st.sampled_from(draft.pieces))
            code = data.draw(st.sampled_from(piece.priced)).code
            if len(draft.pieces) < MOST_PIECES:
                draft = apart(draft, piece.key, code, next(keys))
    assert [counted(draft, one) for one in OFFERS] == list(wanted.values())
    assert len(draft.pieces) <= MOST_PIECES
    assert len({piece.key for piece in draft.pieces}) == len(draft.pieces)
    for piece in draft.pieces:
        assert piece.priced, "no piece without work"
        assert len({one.code for one in piece.priced}) == len(piece.priced)
        operations = [one.operation for one in piece.priced if one.operation]
        assert len(set(operations)) == len(operations), "nothing is done twice to one thing"
        assert piece.work == "; ".join(one.words for one in piece.priced)
        assert (piece.job_kind == "rehair") == any(one.code.startswith("RH") for one in piece.priced)
    lines = [line.taxed for piece in draft.pieces for line in charges(piece.priced, 2)]
    assert total_of(draft.pieces, 2) == totals(lines)
    assert drafts.from_json(drafts.to_json(draft)) == draft
    assert repriced(draft, {one.price.code: one.price for one in OFFERS}) == draft
    assert changed(draft, {one.price.code: one.price for one in OFFERS}, 2) == ()


@given(st.text(max_size=8))
def test_anything_typed_as_a_number_is_one_or_is_refused(said: str) -> None:
    keys = (f"{n:012x}" for n in count())
    draft, no = tried(drafts.Draft(from_list=True), {"n-RH-VN-Bw": said}, lambda: next(keys))
    if draft is None:
        assert "not a number" in no or "items at most" in no
    else:
        assert len(draft.pieces) == int(said.strip() or 0)


def test_marks_are_kept_and_the_books_own_are_not_written_over() -> None:
    draft = with_counts(drafts.Draft(from_list=True), {"n-RH-VN-Bw": "2"}, OFFERS, iter(("a", "b")).__next__)
    draft = with_marks(draft, {"marks-a": "silver\x00 mounted", "more_left-b": "tube", "marks-z": "nobody"})
    assert [(one.marks, one.more_left) for one in draft.pieces] == [("silver mounted", ""), ("", "tube")]
    known = replace(draft, pieces=(replace(draft.pieces[0], item=7), draft.pieces[1]))
    assert with_marks(known, {"marks-a": "gold"}).pieces[0].marks == "silver mounted"


def test_a_price_of_nothing_is_still_said_and_goods_alone_name_their_work() -> None:
    free, goods = offer("FREE", "Vn", 9, "0").price, offer("SOLD", "Vn", 9, "0", "5.00").price
    assert [(one.words, one.taxed.gross) for one in charges((free,), 2)] == [("Work FREE", Decimal("0.00"))]
    assert [(one.words, one.tax_class, one.operation) for one in charges((goods,), 2)] == [("Goods", "goods", 9)]
    assert price_of((), 2).gross == 0


def test_what_changed_on_the_list_is_said_once_with_both_values() -> None:
    draft = with_counts(drafts.Draft(from_list=True), {"n-RH-VN-Bw": "3"}, OFFERS, iter("abc").__next__)
    was = OFFERS[0].price
    assert changed(draft, {"RH-VN": replace(was, since="2027-01-01")}, 2) == (), "a new list with the old price"
    assert changed(draft, {"RH-VN": replace(was, labour="37.00")}, 2) == (
        "The price of “Work RH-VN” changed while this page was open: 45.99 before, 49.99 now.",
    )
    assert (
        "was to be ready Tue 1 Dec, and now Wed 2 Dec"
        in changed(draft, {"RH-VN": replace(was, ready="2026-12-02")}, 2)[0]
    )
    assert "written otherwise" in changed(draft, {"RH-VN": replace(was, words="New hair")}, 2)[0]
    assert "not on the price list" in changed(draft, {}, 2)[0]
    gone = without_work(draft, "b", "RH-VN")
    assert [one.key for one in gone.pieces] == ["a", "c"]


WEEK = {day: ["09:00", "17:00"] for day in ("mon", "tue", "wed", "thu", "fri")}


@pytest.mark.parametrize(
    ("days", "opening", "ready"),
    [
        (0, Opening(WEEK, UTC), date(2026, 11, 25)),
        (1, Opening(WEEK, UTC), date(2026, 11, 26)),
        (3, Opening(WEEK, UTC), date(2026, 11, 30)),  # over the weekend
        (3, Opening(WEEK, UTC, ((date(2026, 11, 27), date(2026, 11, 30), "stocktaking"),)), date(2026, 12, 2)),
        (3, Opening({}, UTC), date(2026, 11, 28)),  # nobody has said when it is open
    ],
)
def test_ready_is_counted_by_the_days_the_shop_is_open(days: int, opening: Opening, ready: date) -> None:
    """Wednesday 25 November 2026 (calendar arithmetic, by hand)."""
    assert ready_day(date(2026, 11, 25), days, opening) == ready
