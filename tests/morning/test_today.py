"""The day of each role: what stands on it, for how many questions, and what never does."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.bench.models import Check, Wait, WorkSpell
from jobs.book.models import Hold, Job
from jobs.book.stages import OPEN_STAGES, Stage
from jobs.estimates.models import Question
from jobs.intake import drafts
from jobs.intake.steps import begin
from jobs.morning.lists import SHOWN
from jobs.morning.pages import day_of
from jobs.updates.models import Message
from jobs.updates.steps import new_message_id
from shop.people.roles import Role
from shop.profile.models import ClosedDay
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
TODAY = reverse("morning:today")
WEEK = {day: ["09:00", "17:00"] for day in ("mon", "tue", "wed", "thu", "fri")}
ROLES = [role for role in Role if role is not Role.OUTSIDE]


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.shop(hours=WEEK)


def signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


def page(role: Role) -> str:
    answer = signed_in(role).get(TODAY)
    assert answer.status_code == 200
    return answer.content.decode()


def cards(role: Role, at: datetime = NOW) -> dict[str, list[str]]:
    day = day_of(factory.person(role), shop=factory.shop(), at=at)
    return {one.title: [line.number for line in one.lines] for one in day.cards}


def letter(job: Job, state: str, **more: object) -> Message:
    fields: dict[str, object] = {
        "party": job.item.owner, "kind": "stage-RDY", "channel": "hand", "subject": "Your violin is ready",
        "body": "x", "message_id": new_message_id(), "state": state, "made_at": NOW, "due_at": NOW,
    }  # fmt: skip
    return Message.objects.create(job=job, **{**fields, **more})


def fill(times: int) -> None:
    """Something of everything, so many times."""
    jorin, maris = factory.person(Role.TECHNICIAN), factory.person(Role.DESK)
    for n in range(times):
        for stage in OPEN_STAGES:
            job = factory.job(stage, assigned=jorin if n % 2 else None, promised=NOW.date() + timedelta(days=n % 3 - 1))
            if stage is Stage.CUR:
                Wait.objects.create(job=job, what="glue", until=NOW + timedelta(hours=n), laid_at=NOW)
            if stage is Stage.ANS:
                factory.sent(job, at=NOW - timedelta(days=9))
            if stage is Stage.RDY:
                letter(job, "told" if n % 2 else "byhand", sent_at=NOW if n % 2 else None)
            Hold.objects.create(job=job, kind="quarantine", laid_at=NOW)
        Question.objects.create(job=job, party=job.item.owner, words="When?", at=NOW)
        begin(by=maris, at=NOW, draft=drafts.Draft())


@pytest.mark.parametrize("role", ROLES)
def test_the_day_costs_the_same_however_full_the_book_is(role: Role) -> None:
    client = signed_in(role)

    def asked() -> int:
        client.get(TODAY)  # what is prepared once is prepared
        with CaptureQueriesContext(connection) as seen:
            assert client.get(TODAY).status_code == 200
        return len([one for one in seen if "SAVEPOINT" not in one["sql"]])

    fill(1)
    few = asked()
    fill(5)
    assert asked() == few <= 16


@pytest.mark.parametrize("role", ROLES)
def test_an_empty_book_says_something_kind(role: Role) -> None:
    shown = day_of(factory.person(role), shop=factory.shop(), at=NOW)
    assert not shown.cards
    assert shown.sentence
    assert shown.date == "Wednesday 25 November"
    assert "None" not in page(role)


def test_an_outside_workshop_has_no_day() -> None:
    assert signed_in(Role.OUTSIDE).get(TODAY).status_code == 403


def test_the_desk_sees_who_comes_what_is_late_and_who_was_told() -> None:
    today = NOW.date()
    expected = factory.job(Stage.EXP, promised=today, ready=False)
    collects = factory.job(Stage.RDY, promised=today)
    late = factory.job(Stage.BEN, promised=today - timedelta(days=1))
    due = factory.job(Stage.SET, promised=today + timedelta(days=1))
    untold = factory.job(Stage.RDY)
    letter(collects, "told", sent_at=NOW - timedelta(days=2))
    letter(untold, "byhand")
    found = cards(Role.DESK)
    assert found["Comes today"] == [expected.short, collects.short]
    assert found["Past its day"] == [late.short]
    assert found["Due today and tomorrow"] == [due.short]
    assert found["Ready to collect"] == [untold.short, collects.short]
    assert found["Letters and calls"] == [untold.short]
    said = day_of(factory.person(Role.DESK), shop=factory.shop(), at=NOW)
    assert said.late == "One job is past its day."
    assert said.sentence == (
        "Two come or collect. One is due tomorrow. Two are ready, one owner not told. One letter or call to make."
    )


def test_a_bench_sees_its_own() -> None:
    jorin, today = factory.person(Role.TECHNICIAN), NOW.date()
    mine = factory.job(Stage.BEN, assigned=jorin, promised=today + timedelta(days=2))
    sooner = factory.job(Stage.QUE, assigned=jorin, promised=today + timedelta(days=1))
    factory.job(Stage.BEN, assigned=factory.person(Role.LUTHIER), promised=today)
    back = factory.job(Stage.SET, assigned=jorin)
    Check.objects.create(job=back, by=factory.person(Role.HEAD), at=NOW, passed=False, words="post leans")
    own, others = (factory.job(Stage.CHK, assigned=jorin) for _ in range(2))
    WorkSpell.objects.create(job=own, person=jorin, started_at=NOW - timedelta(hours=5), stopped_at=NOW)
    Hold.objects.create(job=mine, kind="parts", words="endpin", laid_at=NOW)
    WorkSpell.objects.create(job=mine, person=jorin, started_at=NOW - timedelta(hours=1))
    found = cards(Role.TECHNICIAN)
    assert found["Your clock runs"] == [mine.short]
    assert found["Sent back to you"] == [back.short]
    assert found["Yours, soonest day first"] == [sooner.short, mine.short, back.short]
    assert found["Waits for a second check"] == [others.short]
    assert found["Tape on yours"] == [mine.short]
    assert "Waits for a second check" not in cards(Role.APPRENTICE)


def test_the_head_luthier_sees_what_nobody_else_settles() -> None:
    examine = factory.job(Stage.EXA)
    apart = factory.job(Stage.EXA, assigned=factory.person(Role.LUTHIER))
    Hold.objects.create(job=apart, kind="quarantine", words="worm?", laid_at=NOW)
    forgotten = factory.job(Stage.BEN, assigned=factory.person(Role.LUTHIER))
    WorkSpell.objects.create(job=forgotten, person=factory.person(Role.LUTHIER), started_at=NOW - timedelta(days=1))
    piece = drafts.Piece(key="p1", kind="Vn", value="61000")
    begin(by=factory.person(Role.DESK), at=NOW, draft=drafts.Draft(pieces=(piece,)))
    found = cards(Role.HEAD)
    assert set(found["Estimates to write"]) == {examine.short, apart.short}
    assert found["Quarantine"] == [apart.short]
    assert found["Nobody has it"] == [examine.short]
    assert found["Clocks still running from before today"] == [forgotten.short]
    assert len(found["Values to accept"]) == 1
    assert "safe copy" in day_of(factory.person(Role.HEAD), shop=factory.shop(), at=NOW).copy_words


def test_the_bookkeeper_sees_money_and_no_bench() -> None:
    fill(1)
    deposit = factory.job(Stage.ANS)
    factory.approved(deposit, "new bass bar")
    option = deposit.estimates.get().options.get()
    option.deposit = 200
    option.save()
    found = cards(Role.BOOKS)
    assert set(found) <= {"Deposits to come", "Invoices still to be paid"}
    assert found["Deposits to come"] == [deposit.short]
    assert "200.00" in page(Role.BOOKS)


def test_a_clamp_passes_with_the_shops_clock() -> None:
    jorin = factory.person(Role.TECHNICIAN)
    job = factory.job(Stage.CUR, assigned=jorin)
    ends = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
    Wait.objects.create(job=job, what="glue", until=ends, laid_at=NOW - timedelta(hours=19))

    def knots(at: datetime) -> list[tuple[str, str]]:
        day = day_of(jorin, shop=factory.shop(), at=at)
        return [(one.kind, one.words) for one in day.hours if one.kind in {"now", "rest", "over"}]

    assert knots(NOW) == [("now", ""), ("rest", f"Clamps off, {job.short}")]
    assert knots(ends) == [("over", f"May come off, {job.short}"), ("now", "")]
    assert cards(Role.TECHNICIAN, ends)["May come off"] == [job.short]
    tomorrow = day_of(jorin, shop=factory.shop(), at=ends + timedelta(hours=20))
    late = next(one for one in tomorrow.hours if one.kind == "over")
    assert "since yesterday 15:00" in late.more


def test_a_closed_day_says_so_and_when_it_opens_again() -> None:
    ClosedDay.objects.create(first=NOW.date(), last=NOW.date(), words="stocktaking", made_at=NOW)
    day = day_of(factory.person(Role.DESK), shop=factory.shop(), at=NOW)
    assert day.closed
    assert day.open_words == "The shop is closed today: stocktaking. Open again Thu 26 Nov 09:00."
    friday = day_of(factory.person(Role.DESK), shop=factory.shop(), at=NOW + timedelta(days=2))
    factory.job(Stage.BEN, promised=NOW.date() + timedelta(days=4))  # a Sunday
    assert not friday.closed
    assert cards(Role.DESK, NOW + timedelta(days=2))["Due today and until Mon 30 Nov"]


@pytest.mark.parametrize("role", ROLES)
def test_no_childs_name_and_for_a_bench_no_money(role: Role) -> None:
    child = factory.party("Adaeze Sandhollow", minor=True)
    for stage in OPEN_STAGES:
        job = factory.job(stage, owner=child, assigned=factory.person(role), promised=timezone.localdate())
    letter(job, "byhand")
    shown = page(role)
    assert "Adaeze" not in shown
    if role not in {Role.HEAD, Role.DESK, Role.BOOKS}:
        assert "Invoices" not in shown


def test_signing_in_begins_with_the_day_also_from_the_bare_address() -> None:
    stranger = Client()
    factory.person(Role.DESK)
    asked = stranger.get("/")
    form = {"username": "maris", "password": factory.PASSWORD}
    answer = stranger.post(asked["Location"], {**form, "next": "/"})
    assert answer["Location"] == TODAY
    stranger.logout()
    answer = stranger.post(f"{reverse('people:sign-in')}?next=/letters/", form)
    assert answer["Location"] == "/letters/"


def test_the_part_alone_answers_a_page_that_asks_for_it() -> None:
    answer = signed_in(Role.DESK).get(TODAY, headers={"HX-Request": "true"})
    assert answer.content.decode().lstrip().startswith('<div class="day"')
    assert "HX-Request" in answer["Vary"]


def test_five_thousand_open_jobs_cost_no_question_more() -> None:
    fill(1)
    client = signed_in(Role.HEAD)

    def asked() -> int:
        client.get(TODAY)
        with CaptureQueriesContext(connection) as seen:
            assert client.get(TODAY).status_code == 200
        return len([one for one in seen if "SAVEPOINT" not in one["sql"]])

    few, some = asked(), list(Job.objects.all())
    Job.objects.bulk_create(
        Job(
            number=f"20-{n:04}",
            item_id=some[n % len(some)].item_id,
            stage=OPEN_STAGES[n % len(OPEN_STAGES)],
            promised=NOW.date() + timedelta(days=n % 40 - 20),
            opened_at=NOW,
            stage_since=NOW - timedelta(days=n % 60),
        )
        for n in range(5000)
    )
    assert asked() == few <= 16
    assert all(len(one.lines) <= SHOWN for one in day_of(factory.person(Role.HEAD), shop=factory.shop(), at=NOW).cards)
