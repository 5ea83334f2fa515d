"""The table of stages and the gate, walked by chance. Stages, moves and guards: trade practice, no source."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.gate import Facts, closes_as, may_move, offers
from jobs.book.stages import BACK, CLOSE_FROM, HOLDS, MOVES, OPEN_STAGES, PLACE, Stage

words = st.sampled_from(["", "Jorin", "120.00"])
facts = st.builds(
    Facts,
    **{
        name: st.booleans()
        for name in (
            "note_sealed", "tag_bound", "place_known", "assigned", "examiner_named", "estimate_saved", "estimate_sent",
            "approved", "refused", "settled", "reassemble", "awaits", "nothing_needed", "worked", "invoice_issued",
            "nothing_to_pay", "paid_or_on_account", "released", "loaner_out",
        )
    },
    deposit_due=words,
    checked_by=words,
    resting=st.sampled_from(["", "the clamps are off, 15:30"]),
    clock_running=st.sampled_from([(), ("Tobiah",), ("Tobiah", "Jorin")]),
    holds=st.lists(st.sampled_from(sorted(HOLDS)), unique=True, max_size=3).map(tuple),
)  # fmt: skip
stages = st.sampled_from(list(Stage))
# Everything in order: signed, tagged, placed, given out, sent, approved, worked on, checked, billed, paid, released.
IN_ORDER = Facts(
    note_sealed=True, tag_bound=True, place_known=True, assigned=True, examiner_named=True, estimate_saved=True,
    estimate_sent=True, approved=True, awaits=True, worked=True, checked_by="Tobiah", invoice_issued=True,
    paid_or_on_account=True, released=True,
)  # fmt: skip


@given(stages, stages, facts)
def test_a_move_is_open_only_if_the_table_has_it_and_a_refusal_always_has_words(
    stage: Stage, to: Stage, known: Facts
) -> None:
    reason = may_move(stage, to, known)
    if not reason:
        assert to in MOVES[stage]
    else:
        assert len(reason) > 10
        assert reason[0].isupper()
        assert reason.endswith(".")


@given(stages, facts)
def test_what_is_offered_is_the_table_with_the_gates_own_answers(stage: Stage, known: Facts) -> None:
    made = offers(stage, known)
    assert {offer.to for offer in made} == set(MOVES[stage])
    for offer in made:
        assert offer.open == (may_move(stage, offer.to, known) == "")
        assert offer.reason == may_move(stage, offer.to, known)
        assert offer.back == ((stage, offer.to) in BACK)
        assert offer.name == PLACE[offer.to].name


@given(stages, stages, facts)
def test_no_one_works_on_what_waits_in_quarantine(stage: Stage, to: Stage, known: Facts) -> None:
    laid = replace(known, holds=("quarantine",))
    if to in {Stage.EXA, Stage.BEN} and stage is not Stage.ANS:
        assert may_move(stage, to, laid)


@given(stages, stages, facts)
def test_nothing_leaves_a_bench_while_a_clock_runs(stage: Stage, to: Stage, known: Facts) -> None:
    running = replace(known, clock_running=("Tobiah",))
    if stage is Stage.BEN:
        assert may_move(stage, to, running)


FREE = (
    "note_sealed", "tag_bound", "place_known", "assigned", "estimate_sent", "approved", "refused", "nothing_needed",
    "worked", "invoice_issued", "nothing_to_pay", "paid_or_on_account", "released",
)  # fmt: skip


def reached(start: Stage, **fixed: bool | str) -> set[Stage]:
    """Every stage that can be come to from `start` while `fixed` holds and every other fact may be either way."""
    free = [name for name in FREE if name not in fixed]
    worlds = [
        Facts(**dict(zip(free, values, strict=True)), **fixed)  # type: ignore[arg-type]
        for values in product((False, True), repeat=len(free))
    ]
    steps = {
        (stage, to) for stage, tos in MOVES.items() for to in tos if any(not may_move(stage, to, one) for one in worlds)
    }
    found = {start}
    while more := {to for stage, to in steps if stage in found} - found:
        found |= more
    return found


def test_no_path_reaches_the_bench_before_somebody_agreed() -> None:
    benches = {Stage.QUE, Stage.BEN, Stage.CUR, Stage.SET, Stage.CHK}
    assert not reached(Stage.EXP, approved=False, worked=False) & benches
    assert reached(Stage.EXP, approved=True, worked=False) >= benches - {Stage.CHK}


def test_what_was_declined_goes_nowhere_before_somebody_said_what_follows() -> None:
    after = reached(Stage.ANS, approved=False, refused=True, settled=False, worked=False)
    assert after == {Stage.ANS, Stage.EXA}


def test_what_was_declined_unopened_reaches_no_bench_and_goes_home() -> None:
    benches = {Stage.QUE, Stage.BEN, Stage.CUR, Stage.SET, Stage.CHK}
    after = reached(Stage.ANS, approved=False, refused=True, settled=True, reassemble=False, worked=False)
    assert not after & benches
    assert Stage.HOME in after


def test_what_was_opened_and_declined_goes_home_only_by_bench_and_check() -> None:
    declined = {"approved": False, "refused": True, "settled": True, "reassemble": True}
    assert not reached(Stage.ANS, **declined, worked=False) & {Stage.CHK, Stage.RDY, Stage.HOME}
    assert not reached(Stage.ANS, **declined, worked=True, checked_by="") & {Stage.RDY, Stage.HOME}
    after = reached(Stage.ANS, **declined, worked=True, checked_by="Tobiah")
    assert after >= {Stage.QUE, Stage.BEN, Stage.CHK, Stage.RDY, Stage.HOME}


def test_nothing_is_put_together_again_that_nobody_declined() -> None:
    assert Stage.QUE not in reached(
        Stage.EXP, approved=False, refused=False, settled=True, reassemble=True, worked=False
    )


@given(facts, st.sampled_from([Stage.IN, Stage.EXA, Stage.ANS]))
def test_a_fee_is_invoiced_before_what_was_declined_is_ready(known: Facts, stage: Stage) -> None:
    declined = replace(known, refused=True, approved=False, settled=True, reassemble=False, worked=False)
    assert (may_move(stage, Stage.RDY, declined) == "") == (known.invoice_issued or known.nothing_to_pay)


@given(facts)
def test_what_was_declined_is_never_closed_as_gone_home(known: Facts) -> None:
    assert closes_as(known) == ("refused" if known.refused and not known.approved else "home")


def test_no_path_leads_from_the_bench_to_ready_without_the_second_check() -> None:
    after = reached(Stage.BEN, worked=True, checked_by="")
    assert not after & {Stage.RDY, Stage.HOME}
    assert Stage.HOME in reached(Stage.BEN, worked=True, checked_by="Tobiah")


def test_no_path_leads_home_without_the_release() -> None:
    assert Stage.HOME not in reached(Stage.EXP, released=False, checked_by="Tobiah")


def test_no_path_leads_into_the_shop_without_the_note_the_tag_and_a_place() -> None:
    for lacking in ("note_sealed", "tag_bound", "place_known"):
        assert reached(Stage.EXP, **{lacking: False}) == {Stage.EXP}


@pytest.mark.parametrize(("stage", "to"), [(stage, to) for stage, tos in MOVES.items() for to in tos])
def test_every_move_of_the_table_is_open_when_everything_is_in_order(stage: Stage, to: Stage) -> None:
    known = IN_ORDER
    if to is Stage.RDY and stage in {Stage.IN, Stage.EXA, Stage.ANS}:
        known = replace(IN_ORDER, worked=False, nothing_needed=True)  # ready without any work
    assert may_move(stage, to, known) == ""


def test_from_everywhere_there_is_a_way_home() -> None:
    reached = {Stage.HOME}
    for _ in Stage:
        reached |= {stage for stage, tos in MOVES.items() if reached & set(tos)}
    assert reached == set(Stage)


def test_going_back_is_a_move_of_the_table_and_only_open_stages_can_be_closed() -> None:
    assert all(to in MOVES[stage] for stage, to in BACK)
    assert set(CLOSE_FROM) <= set(OPEN_STAGES)
