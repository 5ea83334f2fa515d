"""A shop put back from a safe copy writes to no owner until a person says that it is the shop now."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from jobs.book.models import Entry
from jobs.book.stages import Stage
from jobs.updates.models import Message
from jobs.updates.restored_steps import take_up
from jobs.updates.sending import sweep
from shop.packing.reads import is_a_copy
from shop.packing.steps import mark_restored
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.updates.conftest import Serving
from tests.updates.test_sending import letter

pytestmark = pytest.mark.django_db(transaction=True)
COPIED, BACK = NOW + timedelta(minutes=5), NOW + timedelta(hours=8)


def test_nothing_goes_out_from_a_copy(serving: Serving) -> None:
    factory.shop()
    server, job = serving(), factory.job(Stage.BEN)
    waiting = letter(job)
    mark_restored(COPIED, at=BACK)
    assert is_a_copy()
    assert sweep(clock=lambda: BACK) == 0
    waiting.refresh_from_db()
    assert (waiting.state, waiting.tries, len(server.taken)) == ("due", 0, 0)


def test_what_waited_when_the_copy_was_made_is_asked_about_and_what_is_new_goes_out(serving: Serving) -> None:
    factory.shop()
    server, job = serving(), factory.job(Stage.BEN)
    due = letter(job)
    sending = letter(job, kind="note", state="sending", claimed_at=COPIED)
    later = letter(job, kind="stage-RDY", made_at=BACK, due_at=BACK, subject="it is ready")
    sent = letter(job, kind="agreed", state="sent")
    mark_restored(COPIED, at=BACK)
    head = factory.person(Role.HEAD)
    assert take_up(by=head, at=BACK) == 2
    assert not is_a_copy()
    assert sweep(clock=lambda: BACK) == 1
    states = dict(Message.objects.values_list("pk", "state"))
    assert [states[one.pk] for one in (due, sending, later, sent)] == ["perhaps", "perhaps", "sent", "sent"]
    due.refresh_from_db()
    assert "Ask before sending again" in due.failure
    assert len(server.taken) == 1
    entry = Entry.objects.get(action="copy.taken_up")
    assert (entry.by, entry.data["letters"]) == (head, 2)


def test_said_twice_is_the_same_as_once() -> None:
    factory.shop()
    mark_restored(COPIED, at=BACK)
    assert take_up(by=None, at=BACK) == 0
    assert take_up(by=None, at=BACK) is None
    assert Entry.objects.filter(action="copy.taken_up").count() == 1


def test_a_shop_that_was_never_put_back_is_the_shop() -> None:
    factory.shop()
    assert not is_a_copy()
    assert take_up(by=None, at=BACK) is None
    out = StringIO()
    call_command("is_the_shop", stdout=out)
    assert "It is the shop already." in out.getvalue()


def test_letters_nobody_had_written_yet_are_asked_about_too() -> None:
    """The move was committed just before the copy and its letter written just after: the old shop has sent it."""
    factory.shop()
    job = factory.job(Stage.BEN)
    Entry.objects.create(
        action="job.moved", job=job, item=job.item, at=NOW, data={"from": "QUE", "to": "BEN", "revision": 2}
    )
    mark_restored(COPIED, at=BACK)
    count = take_up(by=None, at=BACK)
    assert count == Message.objects.count() == 1
    assert Message.objects.get().state == "perhaps"
