"""Two people move one job at the same moment: one wins, the other is told, and no move is lost."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from jobs.book.models import Entry, Job
from jobs.book.refusals import Again, Stale
from jobs.book.stages import Stage
from jobs.moves import steps
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory, side_by_side
from tests.factory import NOW
from tests.side_by_side import Opener, on_a_file

pytestmark = pytest.mark.django_db(transaction=True)
together = partial(side_by_side.together, told=(Stale, Again))


@pytest.fixture
def on_disk(tmp_path: Path, transactional_db: None) -> Iterator[Opener]:
    """Calls that let a thread work on a real database file."""
    factory.shop()
    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        yield open_file


def bench() -> tuple[Job, Person, Person]:
    jorin = factory.person(Role.TECHNICIAN)
    job = factory.job(Stage.BEN, assigned=jorin)
    factory.approved(job, "Fit a new bridge")
    return job, jorin, factory.person(Role.LUTHIER)


def test_one_of_two_movers_wins_and_the_other_is_told(on_disk: Opener) -> None:
    for _ in range(12):
        job, jorin, tobiah = bench()
        results = together(
            on_disk,
            partial(steps.move, job.pk, Stage.CUR, by=jorin, at=NOW, seen=1, key=f"jorin-press-{job.pk}"),
            partial(steps.move, job.pk, Stage.SET, by=tobiah, at=NOW, seen=1, key=f"tobiah-press-{job.pk}"),
        )
        won = [one for one in results if isinstance(one, steps.Moved)]
        told = [one for one in results if isinstance(one, Stale)]
        assert (len(won), len(told)) == (1, 1), results
        job.refresh_from_db()
        assert (job.stage, job.revision) == (won[0].now, 2)
        winner = "Jorin" if won[0].now is Stage.CUR else "Tobiah"
        assert told[0].words.startswith(f"{winner} moved this to ")
        assert Entry.objects.filter(job=job, action=steps.MOVED).count() == 1


def test_one_button_pressed_twice_at_once_moves_once(on_disk: Opener) -> None:
    job, jorin, _ = bench()
    one = partial(steps.move, job.pk, Stage.CUR, by=jorin, at=NOW, seen=1, key="the-same-press")
    results = together(on_disk, one, one, one)
    assert sorted(type(result).__name__ for result in results) == ["Again", "Again", "Moved"]
    job.refresh_from_db()
    assert (job.stage, job.revision) == (Stage.CUR, 2)


def test_many_movers_of_many_jobs_lose_nothing(on_disk: Opener) -> None:
    jobs = [bench()[0] for _ in range(8)]
    jorin = factory.person(Role.TECHNICIAN)

    def move_all(order: list[Job], name: str) -> int:
        made = 0
        for job in order:
            try:
                steps.move(job.pk, Stage.CUR, by=jorin, at=NOW, seen=1, key=f"{name}-press-{job.pk}")
                made += 1
            except Stale:
                pass
        return made

    results = together(
        on_disk,
        lambda: move_all(jobs, "first"),
        lambda: move_all(jobs[::-1], "second"),
        lambda: move_all(jobs, "third"),
    )
    assert sum(made for made in results if isinstance(made, int)) == len(jobs)
    assert Entry.objects.filter(action=steps.MOVED).count() == len(jobs)
    assert set(Job.objects.values_list("stage", "revision")) == {("CUR", 2)}
