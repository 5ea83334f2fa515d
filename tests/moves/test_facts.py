"""The gate asks only for what the exits of a stage look at; the full set must lead to the same answers."""

from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.book.gate import may_move
from jobs.book.models import Hold, Job
from jobs.book.stages import HOLDS, MOVES, OPEN_STAGES, Stage
from jobs.moves.facts import NEEDED, facts_in, facts_of, gather, with_facts
from tests import factory

flag = st.booleans()
money = st.sampled_from([None, Decimal(0), Decimal("120.00"), Decimal("400.00")])
moment = st.sampled_from([None, factory.NOW, factory.NOW + timedelta(hours=1)])
everything = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(["repair", "internal", "warranty"]),
        "agreed_words": st.sampled_from(["", "rehair"]),
        "assigned_id": st.sampled_from([None, 1]),
        "has_note": flag,
        "visit_unsigned": st.sampled_from([None, "", "left at the door"]),
        "has_tag": flag,
        "has_place": flag,
        "has_draft": flag,
        "newest_state": st.sampled_from([None, "sent", "answered", "replaced"]),
        "has_approval": flag,
        "last_answer": st.sampled_from([None, True, False]),
        "refusal_reassemble": st.sampled_from([None, True, False]),
        "refusal_fee": money,
        "deposit_asked": money,
        "deposit_paid": st.sampled_from([Decimal(0), Decimal("120.00")]),
        "clock_of": st.sampled_from([None, "Tobiah Wrenfield"]),
        "has_spell": flag,
        "last_stop": moment,
        "check_passed": st.sampled_from([None, True, False]),
        "check_by": st.sampled_from([None, "Jorin Pellwick"]),
        "check_at": st.sampled_from([factory.NOW, factory.NOW + timedelta(minutes=30)]),
        "nothing_needed": flag,
        "invoiced": money,
        "credited": st.sampled_from([Decimal(0), Decimal("120.00")]),
        "received": st.sampled_from([Decimal(0), Decimal("280.00"), Decimal("400.00")]),
        "has_on_account": flag,
        "has_release": flag,
        "wait_what": st.sampled_from(["glue", "varnish", "settling", "other"]),
        "wait_until": moment,
    }
)


@given(st.sampled_from(OPEN_STAGES), everything, st.lists(st.sampled_from(sorted(HOLDS)), max_size=2))
def test_what_a_stage_asks_for_is_enough(stage: Stage, found: dict[str, object], holds: list[str]) -> None:
    some = {name: found[name] for name in {"kind", "agreed_words", "assigned_id", *NEEDED[stage]}}
    for to in MOVES[stage]:
        asked, full = facts_in(some, holds, at=factory.NOW), facts_in(found, holds, at=factory.NOW)
        assert may_move(stage, to, asked) == may_move(stage, to, full)


@pytest.mark.django_db
@pytest.mark.parametrize("stage", OPEN_STAGES)
def test_gathering_reads_the_same_as_the_full_set(stage: Stage) -> None:
    job = factory.job(stage, assigned=factory.person())
    factory.approved(job, "Fit a new bridge")
    Hold.objects.create(job=job, kind="parts", laid_at=factory.NOW)
    full = facts_of(with_facts(Job.objects.all()).get(pk=job.pk), ["parts"])
    gathered = gather(job)
    assert full.approved
    assert full.holds == ("parts",)
    for to in MOVES[stage]:
        assert may_move(stage, to, gathered) == may_move(stage, to, full)
