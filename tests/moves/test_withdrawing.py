"""An answer written down wrongly is taken back: both kept, the gate closes, and what rests on it keeps it."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from jobs.bench.steps import start, stop
from jobs.book.models import Job
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.estimates.answers import Came, answer
from jobs.estimates.models import Answer, Estimate, WithdrawnAnswer
from jobs.estimates.refusals import settle
from jobs.moves.facts import gather
from jobs.moves.withdrawing import withdraw
from jobs.updates.models import Message
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def maris() -> Person:
    factory.shop()
    return factory.person(Role.DESK)


@pytest.fixture(autouse=True)
def _followed(django_capture_on_commit_callbacks: Any) -> Iterator[None]:
    with django_capture_on_commit_callbacks(execute=True):
        yield


def _answered(maris: Person, *, yes: bool = True, how: str = "slip") -> tuple[Job, Answer]:
    job = factory.job(Stage.ANS, assigned=factory.person(Role.LUTHIER))
    estimate = factory.sent(job)
    party = job.roles.get(role="owner").party
    came = Came(how=how, name=party.name, party=party, by=maris if how != "link" else None)
    option = estimate.options.get() if yes else None
    return job, answer(estimate, option=option, came=came, at=NOW)


def test_both_are_kept_and_the_estimate_waits_again(maris: Person) -> None:
    job, made = _answered(maris)
    was = made.pk
    withdraw(job, was, reason="She meant the other violin.", by=maris, at=LATER, key="press-0001")
    kept = WithdrawnAnswer.objects.get()
    assert (kept.was, kept.approved, kept.name, kept.paper, kept.reason) == (
        was, True, made.name, made.paper, "She meant the other violin.",
    )  # fmt: skip
    assert not Answer.objects.exists()
    assert Estimate.objects.get().state == "sent"
    assert not gather(job).approved
    assert job.entries.get(action="answer.withdrawn").data["reason"] == "She meant the other violin."
    with pytest.raises(Again):
        withdraw(job, was, reason="again", by=maris, at=LATER, key="press-0001")
    with pytest.raises(Stale, match="taken back already"):
        withdraw(job, was, reason="again", by=maris, at=LATER)


def test_a_reason_is_needed(maris: Person) -> None:
    job, made = _answered(maris)
    with pytest.raises(Refused, match="what was wrong"):
        withdraw(job, made.pk, reason=" ", by=maris, at=LATER)


def test_bench_time_keeps_it(maris: Person) -> None:
    job, made = _answered(maris)
    Job.objects.filter(pk=job.pk).update(stage=Stage.BEN)
    tobiah = factory.person(Role.LUTHIER)
    line = made.option.lines.get() if made.option else None
    stop(start(job, line, by=tobiah, at=LATER).spell, by=tobiah, at=LATER)
    with pytest.raises(Refused, match="Bench time"):
        withdraw(job, made.pk, reason="wrong", by=maris, at=LATER + timedelta(hours=1))
    assert Answer.objects.get() == made


def test_an_answer_by_link_is_the_owners_own(maris: Person) -> None:
    job, made = _answered(maris, how="link")
    with pytest.raises(Refused, match="by link"):
        withdraw(job, made.pk, reason="wrong", by=maris, at=LATER)


def test_an_answer_of_another_job_is_not_taken_back_here(maris: Person) -> None:
    _, made = _answered(maris)
    other, _ = _answered(maris)
    with pytest.raises(Stale):
        withdraw(other, made.pk, reason="wrong", by=maris, at=LATER)


@pytest.mark.django_db(transaction=True)
def test_the_job_hangs_on_the_owners_answer_again_and_an_untold_letter_is_dropped(maris: Person) -> None:
    job, made = _answered(maris)
    job.refresh_from_db()
    assert job.stage == Stage.QUE
    Message.objects.filter(kind="agreed").update(state="byhand")
    withdraw(job, made.pk, reason="wrong violin", by=maris, at=LATER)
    job.refresh_from_db()
    assert job.stage == Stage.ANS
    assert Message.objects.get(kind="agreed").state == "dropped"
    assert not Message.objects.filter(kind="taken-back").exists()


@pytest.mark.django_db(transaction=True)
def test_who_was_told_already_gets_a_letter_that_it_was_our_mistake(maris: Person) -> None:
    job, made = _answered(maris, yes=False)
    settle(job, reassemble=False, take_fee=False, by=maris, at=NOW)
    job.refresh_from_db()
    assert job.stage == Stage.RDY
    Message.objects.filter(kind="declined").update(state="sent")
    withdraw(job, made.pk, reason="wrong violin", by=maris, at=LATER)
    job.refresh_from_db()
    assert job.stage == Stage.ANS
    assert "our mistake" in Message.objects.get(kind="taken-back").body
    # nobody had been told yet that it is ready, and nobody is now
    assert Message.objects.get(kind="stage-RDY").state == "dropped"
    assert gather(job).awaits
