"""The second check: by someone else, line by line, with everything that was left here."""

from datetime import timedelta

import pytest

from jobs.bench import steps
from jobs.bench.checks import check
from jobs.bench.models import Check
from jobs.book.models import Accessory, Entry, Job
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.estimates.models import Line
from jobs.moves.facts import gather
from jobs.moves.judging import judge
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=3)


@pytest.fixture
def job() -> Job:
    """Worked on by Tobiah, now at Second check."""
    factory.shop()
    made = factory.job(Stage.BEN, assigned=factory.person(Role.LUTHIER))
    lines = factory.approved(made, "New bridge", "New soundpost")
    spell = steps.start(made, lines[0], by=factory.person(Role.LUTHIER), at=NOW).spell
    steps.stop(spell, by=factory.person(Role.LUTHIER), at=NOW + timedelta(hours=1))
    Job.objects.filter(pk=made.pk).update(stage=Stage.CHK)
    made.refresh_from_db()
    return made


@pytest.fixture
def ottilie(job: Job) -> Person:
    return factory.person(Role.HEAD)


def keys(job: Job) -> list[str]:
    return [str(line.pk) for line in Line.objects.filter(option__estimate__job=job).order_by("position")]


def all_done(job: Job) -> dict[str, str]:
    return dict.fromkeys(keys(job), "done")


def test_someone_else_passes_it_and_the_gate_knows_who(job: Job, ottilie: Person) -> None:
    check(job, ticks=all_done(job), here=set(), passed=True, words="", by=ottilie, at=LATER)
    assert gather(job).checked_by == ottilie.name
    assert Entry.objects.filter(job=job, action="check.passed", by=ottilie).count() == 1
    assert list(Check.objects.get().ticks.values_list("words", "done")) == [
        ("New bridge", True),
        ("New soundpost", True),
    ]


def test_whoever_worked_on_it_may_not_check_it(job: Job) -> None:
    with pytest.raises(Refused, match="You worked on this"):
        check(job, ticks=all_done(job), here=set(), passed=True, words="", by=factory.person(Role.LUTHIER), at=LATER)
    assert not Check.objects.exists()


def test_every_line_must_be_ticked(job: Job, ottilie: Person) -> None:
    with pytest.raises(Refused, match="Still open: New soundpost"):
        check(job, ticks={keys(job)[0]: "done"}, here=set(), passed=True, words="", by=ottilie, at=LATER)


def test_a_line_marked_sent_back_cannot_pass(job: Job, ottilie: Person) -> None:
    ticks = {**all_done(job), keys(job)[1]: "back"}
    with pytest.raises(Refused, match="“New soundpost” is marked sent back"):
        check(job, ticks=ticks, here=set(), passed=True, words="", by=ottilie, at=LATER)


def test_a_missing_accessory_stops_the_check(job: Job, ottilie: Person) -> None:
    case = Accessory.objects.create(job=job, words="case, brown")
    Accessory.objects.create(job=job, words="shoulder rest", left=False)
    with pytest.raises(Refused, match=r"Not seen here: case, brown\."):
        check(job, ticks=all_done(job), here=set(), passed=True, words="", by=ottilie, at=LATER)
    check(job, ticks=all_done(job), here={case.pk}, passed=True, words="", by=ottilie, at=LATER)


def test_only_a_job_at_second_check_is_checked(job: Job, ottilie: Person) -> None:
    Job.objects.filter(pk=job.pk).update(stage=Stage.SET)
    with pytest.raises(Refused, match="does not hang on Second check"):
        check(job, ticks=all_done(job), here=set(), passed=True, words="", by=ottilie, at=LATER)


def test_work_after_the_check_makes_it_no_check_any_more(job: Job, ottilie: Person) -> None:
    check(job, ticks=all_done(job), here=set(), passed=True, words="", by=ottilie, at=LATER)
    Job.objects.filter(pk=job.pk).update(stage=Stage.SET)
    job.refresh_from_db()
    line = Line.objects.get(pk=keys(job)[0])
    spell = steps.start(job, line, by=factory.person(Role.LUTHIER), at=LATER + timedelta(hours=1)).spell
    steps.stop(spell, by=factory.person(Role.LUTHIER), at=LATER + timedelta(hours=2))
    assert gather(job).checked_by == ""


def test_sending_back_says_why_and_moves_it_in_one_press(job: Job, ottilie: Person) -> None:
    ticks = {**all_done(job), keys(job)[1]: "back"}
    made = judge(
        job,
        ticks=ticks,
        here=set(),
        back_to=Stage.SET,
        words="Post leans.",
        by=ottilie,
        at=LATER,
        seen=1,
        key="press-one-x",
    )
    job.refresh_from_db()
    assert (job.stage, job.revision, made.passed) == (Stage.SET, 2, False)
    moved = Entry.objects.get(job=job, action="job.moved")
    assert moved.data["reason"] == "Post leans."
    assert list(made.ticks.values_list("done", flat=True)) == [True, False]


def test_sending_back_without_words_does_nothing(job: Job, ottilie: Person) -> None:
    with pytest.raises(Refused, match="what is to be done again"):
        judge(
            job,
            ticks=all_done(job),
            here=set(),
            back_to=Stage.BEN,
            words=" ",
            by=ottilie,
            at=LATER,
            seen=1,
            key="press-one-x",
        )
    job.refresh_from_db()
    assert job.stage == Stage.CHK


def test_sending_back_from_an_old_page_writes_no_check(job: Job, ottilie: Person) -> None:
    with pytest.raises(Stale):
        judge(
            job,
            ticks=all_done(job),
            here=set(),
            back_to=Stage.BEN,
            words="Post.",
            by=ottilie,
            at=LATER,
            seen=7,
            key="press-one-x",
        )
    assert not Check.objects.exists()


def test_one_press_makes_one_check(job: Job, ottilie: Person) -> None:
    ticks = all_done(job)
    judge(job, ticks=ticks, here=set(), back_to=None, words="", by=ottilie, at=LATER, seen=1, key="press-one-x")
    with pytest.raises(Again):
        judge(job, ticks=ticks, here=set(), back_to=None, words="", by=ottilie, at=LATER, seen=1, key="press-one-x")
    assert Check.objects.count() == 1
