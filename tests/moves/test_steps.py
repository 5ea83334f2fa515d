"""Moving, taking back, and being told who was first."""

from datetime import timedelta
from typing import Any

import pytest

from jobs.book.gate import Facts, needs_reason
from jobs.book.models import Entry, Job, Press
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import MOVES, Stage
from jobs.moves import steps
from jobs.updates.models import Message
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.moves.test_stage_table import IN_ORDER

pytestmark = pytest.mark.django_db
PAIRS = [(stage, to) for stage, tos in MOVES.items() for to in tos]
KEY = "a-press-of-a-button"


@pytest.fixture(autouse=True)
def the_shop() -> None:
    factory.shop()


def open_gate(monkeypatch: pytest.MonkeyPatch, **facts: Any) -> None:
    """Let the gate see everything in order: these tests are about the step, not the guards."""
    known = IN_ORDER if not facts else Facts(**facts)
    monkeypatch.setattr(steps, "gather", lambda job, **_: known)


@pytest.mark.parametrize(("stage", "to"), [pair for pair in PAIRS if pair[1] is not Stage.HOME])
def test_taking_back_restores_the_stage_for_every_move(
    stage: Stage, to: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    known = {"nothing_needed": True} if to is Stage.RDY and stage is not Stage.CHK else {}
    open_gate(monkeypatch, **known)
    jorin, job = factory.person(Role.TECHNICIAN), factory.job(stage)
    moved = steps.move(job.pk, to, by=jorin, at=NOW, seen=1, key=KEY, reason="asked for")
    assert (moved.was, moved.now, moved.revision) == (stage, to, 2)
    back = steps.undo(job.pk, by=jorin, at=NOW + timedelta(minutes=5), seen=2, key="another-press")
    job.refresh_from_db()
    assert (job.stage, job.revision, back.now) == (stage, 3, stage)
    assert list(job.entries.values_list("action", flat=True).order_by("id")) == [steps.MOVED, steps.UNMOVED]


@pytest.mark.parametrize(("stage", "to"), [pair for pair in PAIRS if needs_reason(*pair)])
def test_going_back_asks_for_a_reason(stage: Stage, to: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    open_gate(monkeypatch)
    job = factory.job(stage)
    with pytest.raises(Refused, match="needs a reason"):
        steps.move(job.pk, to, by=factory.person(), at=NOW, seen=1, key=KEY, reason="  ")
    assert not Entry.objects.filter(job=job).exists()
    assert not Press.objects.exists()
    steps.move(job.pk, to, by=factory.person(), at=NOW, seen=1, key=KEY, reason="the peg slips")
    assert Entry.objects.get(job=job).data["reason"] == "the peg slips"


def test_the_second_is_told_who_moved_it_when_and_where(monkeypatch: pytest.MonkeyPatch) -> None:
    open_gate(monkeypatch)
    job = factory.job(Stage.BEN)
    steps.move(job.pk, Stage.SET, by=factory.person(Role.LUTHIER), at=NOW, seen=1, key=KEY)
    with pytest.raises(Stale) as told:
        steps.move(job.pk, Stage.CUR, by=factory.person(), at=NOW, seen=1, key="another-press")
    assert told.value.words == "Tobiah moved this to Set-up and playing at 10:12. Look again, then choose."
    assert Job.objects.get(pk=job.pk).stage == Stage.SET


def test_a_second_press_of_the_same_button_moves_nothing_and_says_what_the_first_made(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    open_gate(monkeypatch)
    job = factory.job(Stage.BEN)
    first = steps.move(job.pk, Stage.SET, by=factory.person(), at=NOW, seen=1, key=KEY)
    with pytest.raises(Again) as again:
        steps.move(job.pk, Stage.SET, by=factory.person(), at=NOW, seen=1, key=KEY)
    assert again.value.made["entry"] == first.entry_id
    assert Entry.objects.filter(job=job, action=steps.MOVED).count() == 1


def test_a_move_can_be_taken_back_only_by_whoever_made_it_in_time_and_before_anything_followed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    open_gate(monkeypatch)
    jorin, maris = factory.person(Role.TECHNICIAN), factory.person(Role.DESK)
    job = factory.job(Stage.BEN)
    steps.move(job.pk, Stage.SET, by=jorin, at=NOW, seen=1, key=KEY)
    tries = {
        "Only whoever moved it": {"by": maris, "at": NOW},
        "more than five minutes": {"by": jorin, "at": NOW + timedelta(minutes=5, seconds=1)},
    }
    for words, given in tries.items():
        with pytest.raises(Refused, match=words):
            steps.undo(job.pk, seen=2, key="another-press", **given)  # type: ignore[arg-type]
    Entry.objects.create(job=job, action="note.made", at=NOW)
    with pytest.raises(Refused, match="Something was done since"):
        steps.undo(job.pk, by=jorin, at=NOW, seen=2, key="another-press")
    assert Job.objects.get(pk=job.pk).stage == Stage.SET


@pytest.mark.parametrize(("state", "may"), [("due", True), ("byhand", True), ("sending", False), ("sent", False)])
def test_a_move_the_owner_was_told_of_cannot_be_taken_back(
    state: str, may: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_gate(monkeypatch)
    jorin, job = factory.person(Role.TECHNICIAN), factory.job(Stage.BEN)
    moved = steps.move(job.pk, Stage.SET, by=jorin, at=NOW, seen=1, key=KEY)
    Message.objects.create(
        job=job, party=factory.party(), entry_id=moved.entry_id, kind="stage", channel="email", subject="News",
        body="", message_id="<1@example.org>", state=state, made_at=NOW, due_at=NOW,
    )  # fmt: skip
    if may:
        steps.undo(job.pk, by=jorin, at=NOW, seen=2, key="another-press")
        assert Message.objects.get().state == "dropped"
        return
    with pytest.raises(Refused, match="told already"):
        steps.undo(job.pk, by=jorin, at=NOW, seen=2, key="another-press")
    assert Message.objects.get().state == state


def test_a_closed_job_hangs_nowhere(monkeypatch: pytest.MonkeyPatch) -> None:
    open_gate(monkeypatch)
    job = factory.job(Stage.RDY, closed_at=NOW, closed_as="home")
    with pytest.raises(Refused, match="closed"):
        steps.move(job.pk, Stage.SET, by=factory.person(), at=NOW, seen=1, key=KEY, reason="again")
