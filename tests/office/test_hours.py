"""Hours and closed days, and what follows from them elsewhere."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from jobs.book.models import Entry, Job
from jobs.book.parties import promise
from jobs.book.refusals import Again, ClosedThen, Refused, Stale
from jobs.book.stages import Stage
from jobs.office.changing import Faults, mark
from jobs.office.hours_steps import change_week, close_days, open_again, week_shown
from shop.people.roles import Role
from shop.profile.models import ClosedDay, Profile
from shop.profile.reads import opening_words
from tests import factory
from tests.office.rooms import head, hidden

pytestmark = pytest.mark.django_db
NOW, TODAY = factory.NOW, factory.NOW.date()
WEEK = {day: ["9", "17"] for day in ("mon", "tue", "wed", "thu", "fri")}
CHRISTMAS = (date(2026, 12, 24), date(2026, 12, 26), "Christmas")


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.shop(hours_words="")


def week(typed: dict[str, list[str]], words: str = "", seen: str = "") -> bool:
    seen = seen or mark(week_shown(Profile.objects.get()))
    return change_week(typed, words, seen=seen, by=factory.person(Role.HEAD), at=NOW)


def close(first: date | None, last: date | None, words: str, key: str = "close-key-1") -> ClosedDay:
    return close_days(first, last, words, by=factory.person(Role.HEAD), at=NOW, key=key)


def test_hours_are_kept_and_said_by_themselves_unless_overwritten() -> None:
    week({**WEEK, "wed": ["9", "12.30", "13:30", "17"]})
    shop = Profile.objects.get()
    assert shop.hours["wed"] == ["09:00", "12:30", "13:30", "17:00"]
    assert opening_words(shop, TODAY) == "Mon to Tue 9 to 17, Wed 9 to 12:30 and 13:30 to 17, Thu to Fri 9 to 17"
    week({**WEEK}, words="by appointment")
    assert opening_words(Profile.objects.get(), TODAY) == "by appointment"
    assert Entry.objects.filter(action="hours.changed").last().data["changes"]["hours_words"] == [  # type: ignore[union-attr]
        "", "by appointment",
    ]  # fmt: skip


def test_closing_before_opening_is_said_at_its_day() -> None:
    with pytest.raises(Faults) as refused:
        week({**WEEK, "tue": ["17", "9"], "fri": ["9"]})
    assert set(refused.value.by_field) == {"tue", "fri"}
    assert Profile.objects.get().hours == {}


def test_two_who_change_the_week_at_once() -> None:
    seen = mark(week_shown(Profile.objects.get()))
    week(WEEK, seen=seen)
    with pytest.raises(Stale, match="Ottilie changed this"):
        week({"mon": ["9", "17"]}, seen=seen)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ((None, None, "Fair"), "first day"),
        ((TODAY, TODAY - timedelta(1), "Fair"), "before the first"),
        ((TODAY - timedelta(9), TODAY - timedelta(8), "Fair"), "are past"),
        ((TODAY, TODAY + timedelta(400), "Fair"), "more than a year"),
        ((date(9999, 1, 1), date(9999, 1, 1), "Fair"), "too far"),
        ((TODAY, TODAY, " "), "Say why"),
        ((TODAY, TODAY, "x" * 61), "Say why"),
    ],
)
def test_days_that_cannot_be_closed(days: tuple[date | None, date | None, str], words: str) -> None:
    with pytest.raises(Refused, match=words):
        close(*days)
    assert not ClosedDay.objects.exists()


def test_closed_days_are_written_once_and_can_be_taken_back() -> None:
    closed = close(*CHRISTMAS)
    with pytest.raises(Again):
        close(*CHRISTMAS)
    with pytest.raises(Refused, match="closed already: Christmas"):
        close(date(2026, 12, 25), None, "Again", key="close-key-2")
    assert opening_words(Profile.objects.get(), date(2026, 12, 20)) == "closed Thu 24 to Sat 26 December"
    head_luthier = factory.person(Role.HEAD)
    open_again(closed, by=head_luthier, at=NOW)
    open_again(closed, by=head_luthier, at=NOW)
    assert Entry.objects.filter(action="closed.off").count() == 1
    assert opening_words(Profile.objects.get(), date(2026, 12, 20)) == ""


def test_a_closed_day_is_not_promised_unless_said_anyway() -> None:
    week(WEEK)
    close(*CHRISTMAS)
    job, by = factory.job(Stage.QUE), factory.person(Role.DESK)
    with pytest.raises(ClosedThen) as asked:
        promise(job, date(2026, 12, 24), "firm", by=by, at=NOW, anyway=False)
    assert asked.value.words == "Thu 24 December is closed: Christmas. Take Mon 28 December, or say it anyway."
    assert asked.value.instead == date(2026, 12, 28)
    with pytest.raises(ClosedThen, match=r"Sun 29 November: closed on Sundays\. Take Mon 30 November"):
        promise(job, date(2026, 11, 29), "firm", by=by, at=NOW, anyway=False)
    promise(job, date(2026, 12, 24), "firm", by=by, at=NOW, anyway=True)
    assert Job.objects.get(pk=job.pk).promised == date(2026, 12, 24)


def test_the_job_page_asks_back_and_takes_the_tick() -> None:
    day = (timezone.now() + timedelta(days=3)).date()
    ClosedDay.objects.create(first=day, last=day, words="Fair", made_at=NOW)
    job, client = factory.job(Stage.QUE), head()
    address = f"/job/{job.number}/promise/"
    answer = client.post(address, {"day": day.isoformat(), "sure": "firm"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "is closed: Fair" in text
    assert "Say it anyway" in text
    assert client.post(address, {"day": day.isoformat(), "sure": "firm", "anyway": "1"}).status_code == 302
    assert Job.objects.get(pk=job.pk).promised == day


def test_closing_days_names_the_jobs_that_are_promised_for_them() -> None:
    day = (timezone.now() + timedelta(days=5)).date()
    job, client = factory.job(Stage.BEN, promised=day, sureness="firm"), head()
    page = client.get("/shop/hours/").content.decode()
    key = hidden(page, "key")
    sent = {"key": key, "first": day.isoformat(), "last": "", "words": "Fair"}
    told = client.post("/shop/hours/close/", sent, follow=True).content.decode()
    assert f"Promised for those days: {job.number}" in told
    client.post("/shop/hours/close/", sent)
    assert ClosedDay.objects.count() == 1, "a second press closes nothing twice"


def test_closing_without_a_press_key_is_an_old_page() -> None:
    answer = head().post("/shop/hours/close/", {"first": "2030-01-01", "words": "Fair"})
    assert answer.status_code == 422
