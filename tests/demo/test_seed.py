"""The sample shop as it stands in the book, against its own table and the figures it was told with."""

from collections import defaultdict
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from django.conf import settings
from django.core import mail
from django.core.management import CommandError, call_command
from django.db.models import Sum
from django.utils import timezone

from jobs.bench.models import Wait, WorkSpell
from jobs.billing.models import Invoice, OnAccount, Payment
from jobs.book import followers
from jobs.book.models import Entry, Job
from jobs.book.steps import next_job_number
from jobs.custody.models import Sighting
from jobs.estimates.models import Line, Option
from jobs.estimates.reads import approved_option, newest_sent
from jobs.management.demo.days import BLOCKS, Days
from jobs.management.demo.sample import JobRow, sample
from jobs.papers.checking import check
from jobs.papers.models import Paper
from jobs.papers.reads import chain_faults, read_pdf
from jobs.papers.seal import key_path, read_key
from jobs.photos.models import Photo
from jobs.updates.models import Message
from shop.clock import local
from shop.people.models import Person
from shop.profile.reads import profile

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("filled")]

ROWS = sample().jobs
# the shop was closed, but the head luthier came in to clear a rack
SUNDAY = "0403"


def days() -> Days:
    """Days of the shop as they were counted when it was filled."""
    first = Entry.objects.filter(action="catalogue.added").earliest("pk")
    return Days.around(first.at, profile().zone)


def job(n: int) -> Job:
    """A job of the sample by its number in the table."""
    return Job.objects.select_related("item", "assigned").get(number=f"{days().day:%y}-{400 + n:04}")


def test_all_forty_stand_where_the_table_says() -> None:
    when = days()
    names = {row["id"]: row["name"] for row in sample().people}
    found, told = {}, {}
    for n, row in ROWS.items():
        one = job(n)
        holds = sorted(one.holds.filter(lifted_at__isnull=True).values_list("kind", "words"))
        found[n] = (one.stage, one.kind, one.promised, one.sureness, one.assigned and one.assigned.name, holds)
        day = when.on(row.promise) if row.promise is not None else None
        told[n] = (row.stage, row.kind, day, row.sure, names[row.who], sorted(row.holds))
    assert found == told
    assert Job.objects.count() == 40


def test_each_job_was_opened_on_its_day_or_the_saturday_before_a_sunday() -> None:
    when, zone = days(), profile().zone
    opened = {n: local(job(n).opened_at, zone).date() for n in ROWS}
    assert opened == {n: when.open_day(row.came) for n, row in ROWS.items()}


def test_the_next_job_of_the_year_is_0441() -> None:
    when = days()
    at = datetime.combine(when.day, datetime.min.time(), when.zone) + timedelta(hours=12)
    assert next_job_number(at) == f"{when.day:%y}-0441"


def test_those_expected_have_no_note_and_everything_else_has_one() -> None:
    assert set(Job.objects.filter(visit__isnull=True).values_list("stage", flat=True)) == {"EXP"}
    assert Job.objects.filter(visit__isnull=True).count() == 3
    assert job(36).linked_to == job(2)
    assert set(job(14).visit.jobs.all()) == {job(n) for n in (14, 15, 16, 17, 18, 22)}  # type: ignore[union-attr]


def _sum_of(one: Job, row: JobRow) -> Decimal:
    if row.agreed:
        return one.agreed_net or Decimal(0)
    if row.fee:
        return one.estimates.get().refusal.fee
    option: Option | None = approved_option(one)
    if option is None:
        newest = newest_sent(one)
        option = newest.options.get() if newest else None
    lines = Line.objects.filter(option=option, discount__isnull=True)
    return lines.aggregate(sum=Sum("net"))["sum"] or Decimal(0)


def test_what_was_agreed_or_proposed_comes_to_the_sum_of_the_table() -> None:
    with_sum = {n: row for n, row in ROWS.items() if row.total is not None and row.stage != "EXA"}
    assert {n: _sum_of(job(n), row) for n, row in with_sum.items()} == {n: row.total for n, row in with_sum.items()}
    assert len(with_sum) == 30


def test_money_taken_and_owed_is_what_the_sample_says() -> None:
    deposits = Payment.objects.filter(kind="deposit").values_list("job__number", "amount")
    # half of 13,900.00, of 456.30 (507.00 less 10 %), of 405.60 and of 1,036.50
    assert {number[-2:]: amount for number, amount in deposits} == {
        "01": Decimal("6950.00"),
        "04": Decimal("228.15"),
        "11": Decimal("202.80"),
        "21": Decimal("518.25"),
    }
    # 3.2 h × 78.00 = 249.60, strings 32.00, 8.25 % tax on the strings 2.64
    assert Invoice.objects.get(jobs=job(3)).balance == Decimal("284.24")
    # the fee of an estimate that was declined
    assert list(Invoice.objects.get(jobs=job(14)).jobs.order_by("number")) == [job(14), job(16)]
    assert Invoice.objects.get(jobs=job(37)).payments.get().amount == Decimal("25.00")
    assert job(37).closed_as == "refused"
    assert OnAccount.objects.get().job == job(19)


def test_clocks_add_up_to_the_hours_of_the_table() -> None:
    spent = {}
    for n in ROWS:
        spells = WorkSpell.objects.filter(job=job(n), stopped_at__isnull=False)
        seconds = sum((one.stopped_at - one.started_at).total_seconds() for one in spells if one.stopped_at)
        spent[n] = Decimal(round(seconds)) / 3600
    assert {n: round(hours, 2) for n, hours in spent.items()} == {n: round(row.hours, 2) for n, row in ROWS.items()}


def test_clocks_ran_in_working_hours_and_one_at_a_time_for_each_person() -> None:
    zone, by_person = profile().zone, defaultdict(list)
    for spell in WorkSpell.objects.filter(stopped_at__isnull=False).order_by("started_at"):
        start, stop = local(spell.started_at, zone), local(spell.stopped_at, zone)  # type: ignore[arg-type]
        assert any(opens <= start.time() and stop.time() <= closes for opens, closes in BLOCKS), spell.job
        by_person[spell.person_id].append((start, stop))
    for stretches in by_person.values():
        assert all(before[1] <= after[0] for before, after in pairwise(stretches))


def test_nobody_did_anything_on_a_day_off_or_in_the_time_to_come() -> None:
    zone = profile().zone
    weekdays = {row["name"]: sample().weekdays[row["id"]] for row in sample().people}
    done = Entry.objects.exclude(by=None).select_related("by", "job")
    wrong = [
        f"{entry.by} {entry.action} {entry.job} {local(entry.at, zone):%a %d %b}"
        for entry in done
        if entry.by and local(entry.at, zone).weekday() not in weekdays[entry.by.name]
        if not (entry.job and entry.job.number.endswith(SUNDAY) and local(entry.at, zone).weekday() == 6)
    ]
    assert wrong == []
    assert Entry.objects.latest("at").at <= timezone.now()


def test_no_letter_waits_and_none_went_out() -> None:
    assert set(Message.objects.values_list("state", flat=True)) == {"sent", "told"}
    assert {one.channel for one in Message.objects.filter(state="told")} == {"hand"}
    assert [one for one in Message.objects.all() if one.sent_at != one.made_at] == []
    assert mail.outbox == []


def test_every_entry_was_followed_at_once() -> None:
    assert followers.sweep(at=timezone.now()) == 0


def test_every_paper_is_printed_at_its_own_time_and_verifies() -> None:
    certificate = read_key(key_path(settings.SHOP_HOME)).certificate
    papers = list(Paper.objects.order_by("position"))
    assert {paper.kind for paper in papers} == {"note", "estimate", "agreement", "invoice", "receipt", "release"}
    for paper in papers:
        pdf = read_pdf(paper)
        assert paper.made_at == paper.at
        assert check(pdf, book_sha256=paper.pdf_sha256, certificate=certificate).untouched, paper
        assert check(pdf, certificate=certificate).untouched, paper
    assert chain_faults() == []
    assert [paper.at for paper in papers] == sorted(paper.at for paper in papers)


def test_a_child_is_named_in_no_letter_and_on_no_paper() -> None:
    child = next(row["name"] for row in sample().owners if row.get("minor"))
    assert job(9).roles.filter(role="player", party__name=child).exists()
    assert not Message.objects.filter(body__contains=child).exists()
    assert not Paper.objects.filter(text__contains=child).exists()


def test_the_bow_that_was_lost_leaves_its_trail() -> None:
    trail = Sighting.objects.filter(item=job(31).item).order_by("at").values_list("location__name", "how", "by__name")
    assert list(trail) == [
        ("R2-6", "intake", "Maris Quillby"),
        ("R2-6", "scan", "Jorin Pellwick"),
        ("S", "hand", "Elowen Tarnhask"),
    ]


def test_pictures_are_kept_with_their_time_and_their_sizes() -> None:
    photos = Photo.objects.select_related("visit")
    assert photos.count() == 37
    assert {photo.state for photo in photos} == {"made"}
    assert all(photo.visit and photo.taken_at and photo.taken_at < photo.visit.at for photo in photos)


def test_everybody_may_sign_in() -> None:
    people = {person.username: person for person in Person.objects.all()}
    assert len(people) == 6
    for row in sample().people:
        assert people[row["username"]].check_password(sample().password)
        assert people[row["username"]].check_pin(row["pin"])


def test_a_book_that_holds_anything_is_not_filled_again() -> None:
    with pytest.raises(CommandError, match="The book is not empty: it holds people or jobs"):
        call_command("seed_demo")
    assert Job.objects.count() == 40


def test_what_rests_today_rests_until_the_hour_the_story_says() -> None:
    # 0408's clamps come off at three on D; the others later (0427 that evening, 0401's third coat, 0421's spline)
    when = days()
    ends = {
        n: when.later(day, clock)
        for n, day, clock in ((1, 1, "09:00"), (8, 0, "15:00"), (21, 2, "16:10"), (27, 0, "19:30"))
    }
    waiting = Wait.objects.filter(confirmed_at__isnull=True, dropped_at__isnull=True)
    assert dict(waiting.values_list("job__number", "until")) == {job(n).number: end for n, end in ends.items()}
