"""Sending an estimate and answering it: which version, which option, who, how."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from jobs.book.models import Job, JobParty, Party
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.catalogue.models import PriceList
from jobs.estimates.answers import Came, answer
from jobs.estimates.models import Answer, Estimate
from jobs.estimates.questions import ask, seen
from jobs.estimates.reads import approved_lines, approved_option, who_answers
from jobs.estimates.sending import send
from jobs.estimates.steps import add_line, add_option, begin_draft, write_option, write_words
from jobs.moves.facts import gather
from jobs.papers.canonical import read
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
DESK = Role.DESK


@pytest.fixture
def job() -> Job:
    factory.shop()
    return factory.job(Stage.EXA)


def _owner(job: Job) -> Party:
    return job.roles.get(role="owner").party


def _agree(estimate: Estimate, job: Job, **fields: Any) -> Answer:
    step: dict[str, Any] = {"option": estimate.options.get(letter="A"), "at": NOW, "key": ""}
    came: dict[str, Any] = {"how": "link", "name": "Imelda Rookstone", "party": _owner(job)}
    for name, value in fields.items():
        (step if name in step else came)[name] = value
    return answer(estimate, came=Came(**came), **step)


def test_sending_freezes_a_paper_that_says_what_the_owner_reads(job: Job) -> None:
    estimate = factory.sent(job, net=500)
    assert estimate.paper is not None
    words: Any = read(estimate.paper.text.encode())["words"]
    option = words["options"][0]
    assert (option["total"], option["deposit"], option["lines"][0]["words"]) == ("500.00", "250.00", "New soundpost")
    assert words["valid_until"] == "2026-12-25"
    assert "Not included: Strings" in words["words"]


def test_an_estimate_holds_thirty_days_from_the_shops_own_day() -> None:
    # common practice: a version of 1 March valid 30 days has 31 March as its last day
    factory.shop(time_zone="Pacific/Auckland")
    job = factory.job(Stage.EXA)
    late_evening = NOW.replace(month=3, day=1, hour=3)
    sent = factory.sent(job, at=late_evening)
    assert sent.expires_on is not None
    assert sent.expires_on.isoformat() == "2026-03-31"


def test_sending_replaces_an_older_version_nobody_answered(job: Job) -> None:
    first = factory.sent(job)
    second = factory.sent(job)
    first.refresh_from_db()
    assert (first.state, second.version, second.state) == ("replaced", 2, "sent")
    with pytest.raises(Refused, match="newer estimate"):
        _agree(first, job)


def test_an_answered_version_stays_answered_when_a_newer_one_is_sent(job: Job) -> None:
    first = factory.sent(job)
    _agree(first, job)
    factory.sent(job)
    first.refresh_from_db()
    assert first.state == "answered"


def test_what_the_owner_needs_must_be_there_before_it_goes(job: Job) -> None:
    by = factory.person(Role.LUTHIER)
    estimate = begin_draft(job, by=by, at=NOW)
    with pytest.raises(Refused, match="what you found"):
        send(estimate, by=by, at=NOW)
    write_words(estimate, words="The post fell.", not_included="", by=by, at=NOW)
    with pytest.raises(Refused, match="Option A has no line"):
        send(estimate, by=by, at=NOW)
    add_line(estimate.options.get(), words="Post", net=Decimal(78), tax_class="labour", by=by, at=NOW)
    second = add_option(estimate, title="More", by=by, at=NOW)
    add_line(second, words="Bridge", net=Decimal(156), tax_class="labour", by=by, at=NOW)
    write_option(second, title="More", recommended=True, by=by, at=NOW)
    with pytest.raises(Refused, match="why you would choose B"):
        send(estimate, by=by, at=NOW)
    write_words(estimate, words="The post fell.", not_included="", because="The bridge is bent.", by=by, at=NOW)
    assert send(estimate, by=by, at=NOW).state == "sent"


def test_labour_below_the_least_charge_is_not_sent(job: Job) -> None:
    factory.prices()
    PriceList.objects.update(minimum=Decimal(30))
    with pytest.raises(Refused, match=r"below the least charge of 30\.00"):
        factory.sent(job, net=20)
    PriceList.objects.update(minimum=Decimal(20))
    assert send(job.estimates.get(), by=factory.person(DESK), at=NOW).state == "sent"


@pytest.mark.parametrize(
    "words",
    [
        "The top has begun to sink.",
        "Old worm in the block.",
        "CR2 and cr-bbar to be closed.",
        "Crack 3 is open.",
        "Tomi plays it hard.",
    ],
)
def test_words_an_owner_should_not_read_stop_the_sending(job: Job, words: str) -> None:
    child = factory.party("Tomi Sandhollow", minor=True)
    JobParty.objects.create(job=job, party=child, role="player")
    draft = factory.draft(job)
    write_words(draft, words=words, not_included="", by=factory.person(Role.LUTHIER), at=NOW)
    with pytest.raises(Refused, match="The owner reads this"):
        send(draft, by=factory.person(DESK), at=NOW)


def test_a_length_beside_the_word_crack_is_no_number_of_a_crack(job: Job) -> None:
    draft = factory.draft(job)
    write_words(draft, words="A crack 31 mm long.", not_included="", by=factory.person(Role.LUTHIER), at=NOW)
    assert send(draft, by=factory.person(DESK), at=NOW).state == "sent"


def test_agreeing_names_version_option_ceiling_and_who(job: Job) -> None:
    draft = factory.draft(job, net=500)
    write_option(draft.options.get(), title="Full", contingency=Decimal(120), by=factory.person(Role.LUTHIER), at=NOW)
    estimate = send(draft, by=factory.person(DESK), at=NOW)
    made = _agree(estimate, job, begin_now=True)
    entry = job.entries.get(action="estimate.approved")
    assert entry.data == {
        "estimate": estimate.pk,
        "version": 1,
        "answer": made.pk,
        "how": "link",
        "party": _owner(job).pk,
        "option": "A",
        "total": "500.00",
        "ceiling": "620.00",
        "deposit": "250.00",
        "begin_now": True,
        "paper": made.paper_id,
    }
    assert entry.by is None


def test_agreed_work_is_what_the_bench_may_do(job: Job) -> None:
    assert approved_option(job) is None
    estimate = factory.sent(job)
    assert approved_lines(job) == []
    _agree(estimate, job)
    assert [line.words for line in approved_lines(job)] == ["New soundpost"]
    facts = gather(job)
    assert facts.approved
    assert facts.deposit_due == ""


def test_a_deposit_agreed_to_stands_in_the_way_of_work(job: Job) -> None:
    _agree(factory.sent(job, net=500), job)
    assert gather(job).deposit_due == "250.00"


def test_declining_is_an_answer_too(job: Job) -> None:
    estimate = factory.sent(job)
    made = _agree(estimate, job, option=None, name="")
    assert (made.approved, made.name) == (False, "Imelda Rookstone")
    assert gather(job).refused
    assert job.entries.filter(action="estimate.declined").count() == 1


def test_an_estimate_is_answered_once(job: Job) -> None:
    estimate = factory.sent(job)
    _agree(estimate, job)
    with pytest.raises(Refused, match="answered already"):
        _agree(estimate, job, option=None)
    assert Answer.objects.count() == 1


def test_a_double_press_is_one_answer(job: Job) -> None:
    estimate = factory.sent(job)
    _agree(estimate, job, key="press-0001")
    with pytest.raises(Again):
        _agree(estimate, job, key="press-0001")


def test_the_last_day_still_counts_and_the_next_does_not(job: Job) -> None:
    estimate = factory.sent(job)
    with pytest.raises(Refused, match="ran out on Fri 25 Dec"):
        _agree(estimate, job, at=NOW + timedelta(days=31))
    assert _agree(estimate, job, at=NOW + timedelta(days=30)).approved


def test_only_owner_or_approver_may_answer(job: Job) -> None:
    teacher, stranger = factory.party("Pascoe Dunwinter"), factory.party("Lorcan Appletree")
    JobParty.objects.filter(job=job, role="approver").update(party=teacher)
    JobParty.objects.create(job=job, party=stranger, role="collector")
    estimate = factory.sent(job)
    assert who_answers(job) == [teacher, _owner(job)]
    with pytest.raises(Refused, match="Only the owner"):
        _agree(estimate, job, party=stranger)
    assert _agree(estimate, job, party=teacher).party == teacher


def test_a_child_cannot_agree_to_spending(job: Job) -> None:
    Party.objects.filter(pk=_owner(job).pk).update(minor=True)
    with pytest.raises(Refused, match="Nobody on this job"):
        factory.sent(job)


def test_a_typed_name_is_needed_to_agree_by_link(job: Job) -> None:
    with pytest.raises(Refused, match="Type your name"):
        _agree(factory.sent(job), job, name=" ")


def test_an_option_of_another_version_is_refused(job: Job) -> None:
    first = factory.sent(job)
    second = factory.sent(job)
    with pytest.raises(Refused, match="another version"):
        _agree(second, job, option=first.options.get())


def test_a_draft_cannot_be_answered(job: Job) -> None:
    with pytest.raises(Refused, match="not been sent"):
        _agree(factory.draft(job), job)


def test_the_database_refuses_an_approval_without_an_option(job: Job) -> None:
    estimate = factory.sent(job)
    with pytest.raises(IntegrityError), transaction.atomic():
        Answer.objects.create(estimate=estimate, approved=True, how="link", name="A", at=NOW)


def test_a_question_waits_until_somebody_has_seen_it(job: Job) -> None:
    asked = ask(job, party=_owner(job), words=" Will it sound as before? ", at=NOW)
    assert asked.words == "Will it sound as before?"
    assert job.entries.filter(action="question.asked").count() == 1
    seen(asked, by=factory.person(DESK), at=NOW)
    seen(asked, by=factory.person(Role.HEAD), at=NOW)
    asked.refresh_from_db()
    assert asked.seen_by == factory.person(DESK)
    assert job.entries.filter(action="question.seen").count() == 1


def test_questions_have_an_end(job: Job) -> None:
    with pytest.raises(Refused, match="Write your question"):
        ask(job, party=_owner(job), words=" ", at=NOW)
    with pytest.raises(Refused, match="2,000 letters"):
        ask(job, party=_owner(job), words="a" * 2001, at=NOW)
    for n in range(20):
        ask(job, party=_owner(job), words=f"Question {n}", at=NOW)
    with pytest.raises(Refused, match="telephone us"):
        ask(job, party=_owner(job), words="One more", at=NOW)


@pytest.mark.django_db(transaction=True)
def test_sending_and_agreeing_move_the_job_on(job: Job) -> None:
    job.assigned = factory.person(Role.LUTHIER)
    job.save(update_fields=["assigned"])
    estimate = factory.sent(job)
    job.refresh_from_db()
    assert job.stage == Stage.ANS
    _agree(estimate, job)
    job.refresh_from_db()
    assert job.stage == Stage.QUE
