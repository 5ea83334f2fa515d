"""Letters follow from what happened: to whom, once, with which paper, and not before its minute."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction

from jobs.billing.models import Invoice
from jobs.book.followers import follow, sweep
from jobs.book.models import Entry, Followed, Item, Job, JobParty, Party, Visit
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.book.steps import record
from jobs.estimates.answers import Came, answer
from jobs.links.models import Link
from jobs.moves.steps import move, undo
from jobs.papers.models import Paper
from jobs.updates.models import Message
from jobs.updates.quiet import quiet
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db(transaction=True)
MINUTE = timedelta(seconds=60)


@pytest.fixture
def tobiah() -> Person:
    factory.shop(telephone="020 7946 0123")
    return factory.person(Role.LUTHIER)


def _job(stage: Stage, tobiah: Person, **fields: Any) -> Job:
    return factory.job(stage, assigned=tobiah, agreed_words="New post", agreed_net=Decimal(78), **fields)


def _owner(job: Job) -> Party:
    return job.roles.get(role="owner").party


def _letters(job: Job) -> list[tuple[str, str]]:
    return list(Message.objects.filter(job=job).order_by("pk").values_list("kind", "state"))


def test_a_move_that_owners_are_told_about_waits_a_minute(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    message = Message.objects.get(job=job)
    assert (message.kind, message.state, message.due_at) == ("stage-BEN", "due", NOW + MINUTE)
    assert (message.party, message.address) == (_owner(job), _owner(job).email)
    assert message.link == Link.objects.get(job=job, party=_owner(job))


def test_a_move_taken_back_within_its_minute_is_never_told(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    undo(job.pk, by=tobiah, at=NOW + timedelta(seconds=20), seen=2, key="press-0001")
    assert _letters(job) == [("stage-BEN", "dropped")]


def test_a_move_that_was_told_cannot_be_taken_back(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    Message.objects.update(state="sending")
    with pytest.raises(Refused, match="told already"):
        undo(job.pk, by=tobiah, at=NOW + MINUTE, seen=2, key="press-0001")


def test_an_entry_is_told_once_however_often_it_is_followed(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah)
    moved = move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    follow(Entry.objects.get(pk=moved.entry_id))
    Followed.objects.all().delete()
    sweep(at=NOW)
    assert len(_letters(job)) == 1


def test_newer_news_overtakes_what_nobody_was_told_yet(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    move(job.pk, Stage.CUR, by=tobiah, at=NOW + timedelta(seconds=10), seen=2)
    assert _letters(job) == [("stage-BEN", "dropped"), ("stage-CUR", "due")]


def test_work_has_begun_is_news_once(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    Message.objects.update(state="sent")
    move(job.pk, Stage.CUR, by=tobiah, at=NOW + MINUTE, seen=2)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW + 2 * MINUTE, seen=3)
    assert [kind for kind, _ in _letters(job)] == ["stage-BEN", "stage-CUR"]


def test_stages_that_are_the_shops_own_business_are_not_told(tobiah: Person) -> None:
    job = _job(Stage.BEN, tobiah)
    job.spells.create(person=tobiah, started_at=NOW - MINUTE, stopped_at=NOW)
    move(job.pk, Stage.CHK, by=tobiah, at=NOW, seen=1)
    assert _letters(job) == []


def test_the_shops_own_instruments_tell_nobody(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah, kind="internal")
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    assert _letters(job) == []


def test_an_owner_without_email_is_told_by_hand(tobiah: Person) -> None:
    owner = factory.party("Wendeline Ashgrove", email="", phone="+442079460123")
    job = _job(Stage.QUE, tobiah, owner=owner)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    message = Message.objects.get(job=job)
    assert (message.state, message.channel, message.address) == ("byhand", "hand", "+442079460123")


def test_a_child_who_owns_is_told_through_a_grown_up(tobiah: Person) -> None:
    child, parent = factory.party("Tomi Sandhollow", minor=True), factory.party("Nkechi Sandhollow")
    job = _job(Stage.QUE, tobiah, owner=child)
    JobParty.objects.filter(job=job, role__in=("payer", "approver")).update(party=parent)
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    message = Message.objects.get(job=job)
    assert message.party == parent
    assert "Tomi" not in message.subject + message.body


def test_a_promised_range_is_told(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah, promised=NOW.date() + timedelta(days=2), sureness="likely")
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    assert "It should be ready Fri 27 to Mon 30 November." in Message.objects.get(job=job).body


def test_an_estimate_is_sent_to_whoever_may_approve_it(tobiah: Person) -> None:
    job = factory.job(Stage.EXA, assigned=tobiah)
    teacher = factory.party("Pascoe Dunwinter")
    JobParty.objects.filter(job=job, role="approver").update(party=teacher)
    factory.sent(job)
    message = Message.objects.get(job=job)
    assert (message.kind, message.party, message.due_at) == ("estimate", teacher, NOW)
    assert "It holds until Fri 25 December." in message.body


def test_what_was_agreed_is_confirmed_and_the_queue_not_told_again(tobiah: Person) -> None:
    job = factory.job(Stage.EXA, assigned=tobiah)
    estimate = factory.sent(job)
    answer(estimate, option=estimate.options.get(), came=Came(how="link", name="Imelda", party=_owner(job)), at=NOW)
    job.refresh_from_db()
    assert job.stage == Stage.QUE
    assert [kind for kind, _ in _letters(job)] == ["estimate", "agreed"]
    agreed = Message.objects.get(kind="agreed")
    assert "234.00 in all" in agreed.body
    assert "in line for the bench" in agreed.body


def test_a_deposit_is_asked_for_and_the_queue_told_once_it_is_paid(tobiah: Person) -> None:
    job = factory.job(Stage.EXA, assigned=tobiah)
    estimate = factory.sent(job, net=500)
    answer(estimate, option=estimate.options.get(), came=Came(how="link", name="Imelda", party=_owner(job)), at=NOW)
    assert "Before work begins we ask for 250.00" in Message.objects.get(kind="agreed").body
    job.payments.create(kind="deposit", method="card", amount=250, at=NOW, by=tobiah)
    move(job.pk, Stage.QUE, by=None, at=NOW + MINUTE)
    assert _letters(job)[-1] == ("stage-QUE", "due")


def _sealed(visit: Visit) -> Paper:
    return Paper.objects.create(
        kind="note", number="N26-0001", visit=visit, text="{}", text_sha256="0" * 64, position=1, at=NOW
    )


def _record(action: str, **fields: Any) -> Entry:
    with transaction.atomic():
        return record(action, by=None, at=NOW, **fields)


def test_the_depositor_gets_a_copy_of_the_note_with_the_paper(tobiah: Person) -> None:
    job = factory.job(Stage.EXP)
    assert job.visit is not None
    paper = _sealed(job.visit)
    _record("note.sealed", visit=job.visit, data={"paper": paper.pk})
    message = Message.objects.get(kind="note")
    assert (message.party, message.paper, message.due_at) == (job.visit.depositor, paper, NOW)
    assert message.link is not None


def test_a_visit_of_several_jobs_is_one_letter_without_a_link(tobiah: Person) -> None:
    first = factory.job(Stage.EXP)
    assert first.visit is not None
    second = factory.job(Stage.EXP, owner=_owner(first), item=factory.item(kind="Bw", size="violin"))
    Job.objects.filter(pk=second.pk).update(visit=first.visit)
    _sealed(first.visit)
    _record("note.sealed", visit=first.visit)
    message = Message.objects.get(kind="note")
    assert message.link is None
    assert f"your violin ({first.number}) and your violin bow ({second.number})" in message.body


def test_a_depositor_without_a_part_in_the_job_gets_the_note_but_no_page(tobiah: Person) -> None:
    job = factory.job(Stage.EXP)
    assert job.visit is not None
    carrier = factory.party("Teodor Milkweir")
    Visit.objects.filter(pk=job.visit.pk).update(depositor=carrier)
    _sealed(job.visit)
    _record("note.sealed", visit=Visit.objects.get(pk=job.visit.pk))
    message = Message.objects.get(kind="note")
    assert (message.party, message.link) == (carrier, None)


def test_the_invoice_goes_to_the_payer_with_its_paper(tobiah: Person) -> None:
    job = _job(Stage.CHK, tobiah)
    insurer = factory.party("Fennimore Quartet Trust", body=True)
    paper = Paper.objects.create(
        kind="invoice", number="2026-0001", job=job, text="{}", text_sha256="0" * 64, position=1, at=NOW
    )
    invoice = Invoice.objects.create(
        number="2026-0001", payer=insurer, issued_at=NOW, issued_by=tobiah,
        net=78, tax=0, gross=78, balance=78, paper=paper,
    )  # fmt: skip
    invoice.jobs.add(job)
    _record("invoice.issued", job=job, data={"invoice": invoice.pk})
    message = Message.objects.get(kind="invoice")
    assert (message.party, message.paper) == (insurer, paper)
    assert "To pay: 78.00." in message.body


def test_going_home_tells_until_when_the_check_is_free(tobiah: Person) -> None:
    job = _job(Stage.RDY, tobiah)
    Job.objects.filter(pk=job.pk).update(stage=Stage.HOME, closed_at=NOW, closed_as="home")
    _record("job.moved", job=job, data={"from": "RDY", "to": "HOME"})
    assert "free until Sun 24 January" in Message.objects.get(job=job).body


def test_quiet_letters_are_kept_as_told_then_and_never_sent(tobiah: Person) -> None:
    told = _job(Stage.QUE, tobiah)
    by_hand = _job(Stage.QUE, tobiah, owner=factory.party("Wendeline Ashgrove", email=""))
    before = NOW - timedelta(days=40)
    with quiet():
        move(told.pk, Stage.BEN, by=tobiah, at=before, seen=1)
        move(by_hand.pk, Stage.BEN, by=tobiah, at=before, seen=1)
    assert _letters(told) == [("stage-BEN", "sent")]
    assert _letters(by_hand) == [("stage-BEN", "told")]
    assert set(Message.objects.values_list("sent_at", flat=True)) == {before}
    move(told.pk, Stage.CUR, by=tobiah, at=NOW, seen=2)
    assert _letters(told)[-1] == ("stage-CUR", "due")


def test_the_item_is_named_as_an_owner_would(tobiah: Person) -> None:
    job = _job(Stage.QUE, tobiah)
    Item.objects.filter(pk=job.item_id).update(kind="Gt", size="steel-string", title="Steel-string guitar")
    move(job.pk, Stage.BEN, by=tobiah, at=NOW, seen=1)
    assert Message.objects.get(job=job).subject == f"Your steel-string guitar, {job.number}: work has begun"
