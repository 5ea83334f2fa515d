"""Two people write an answer down, or take it back, at the same moment: one wins, the other is told."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from jobs.book.models import Job, Party
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.estimates.answers import Came, answer
from jobs.estimates.models import Answer, Estimate, Refusal, WithdrawnAnswer
from jobs.estimates.refusals import settle
from jobs.estimates.sending import send
from jobs.moves.withdrawing import withdraw
from jobs.papers.models import Paper
from shop.people.roles import Role
from tests import factory, side_by_side
from tests.factory import NOW
from tests.side_by_side import Opener, on_a_file

pytestmark = pytest.mark.django_db(transaction=True)
together = partial(side_by_side.together, told=(Stale, Again, Refused))


@pytest.fixture
def on_disk(tmp_path: Path, transactional_db: None) -> Iterator[Opener]:
    """Calls that let a thread work on a real database file."""
    factory.shop()
    factory.person(Role.DESK)
    factory.person(Role.LUTHIER)
    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        yield open_file


def _sent() -> tuple[Job, Estimate, Party]:
    job = factory.job(Stage.ANS)
    return job, factory.sent(job), job.roles.get(role="owner").party


def _came(party: Party, how: str, role: Role = Role.DESK) -> Came:
    by = None if how == "link" else factory.person(role)
    return Came(how=how, name=party.name, party=party, by=by)


def test_of_two_answers_at_once_one_stands_with_one_paper(on_disk: Opener) -> None:
    for _ in range(6):
        job, estimate, party = _sent()
        option = estimate.options.get()
        results = together(
            on_disk,
            partial(answer, estimate, option=option, came=_came(party, "slip"), at=NOW, key=f"maris-press-{job.pk}"),
            partial(answer, estimate, option=None, came=_came(party, "link"), at=NOW, key=f"owner-press-{job.pk}"),
        )
        assert sorted(type(one).__name__ for one in results) == ["Answer", "Stale"], results
        made = Answer.objects.get(estimate=estimate)
        assert Paper.objects.filter(job=job, kind="agreement").count() == int(made.approved)
        assert job.entries.filter(action__in=("estimate.approved", "estimate.declined")).count() == 1


def test_one_button_pressed_three_times_at_once_answers_once(on_disk: Opener) -> None:
    _, estimate, party = _sent()
    one = partial(
        answer, estimate, option=estimate.options.get(), came=_came(party, "slip"), at=NOW, key="the-same-press"
    )
    results = together(on_disk, one, one, one)
    assert sorted(type(one).__name__ for one in results) == ["Again", "Again", "Answer"], results


def test_an_answer_and_a_newer_version_at_once_leave_no_answer_to_what_was_replaced(on_disk: Opener) -> None:
    for _ in range(6):
        job, first, party = _sent()
        newer = factory.draft(job)
        together(
            on_disk,
            partial(answer, first, option=first.options.get(), came=_came(party, "slip"), at=NOW),
            partial(send, newer, by=factory.person(Role.LUTHIER), at=NOW),
        )
        first.refresh_from_db()
        answered = Answer.objects.filter(estimate=first).exists()
        assert first.state == ("answered" if answered else "replaced")


def test_an_answer_is_taken_back_once_and_a_refusal_settled_once(on_disk: Opener) -> None:
    job, estimate, party = _sent()
    made = answer(estimate, option=estimate.options.get(), came=_came(party, "slip"), at=NOW)
    back = [
        partial(withdraw, job, made.pk, reason="wrong", by=factory.person(role), at=NOW)
        for role in (Role.DESK, Role.LUTHIER)
    ]
    assert sorted(type(one).__name__ for one in together(on_disk, *back)) == ["Stale", "WithdrawnAnswer"]
    assert WithdrawnAnswer.objects.count() == 1
    Job.objects.filter(pk=job.pk).update(stage=Stage.ANS)
    answer(estimate, option=None, came=_came(party, "slip"), at=NOW)
    says = [
        partial(settle, job, reassemble=again, take_fee=False, by=factory.person(Role.DESK), at=NOW)
        for again in (True, False)
    ]
    assert sorted(type(one).__name__ for one in together(on_disk, *says)) == ["Refusal", "Stale"]
    assert Refusal.objects.count() == 1
