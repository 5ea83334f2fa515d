"""What the desk does with letters: tell by hand, send again, ask for a fresh link."""

from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.links.models import Link
from jobs.links.reads import Why, open_link, token
from jobs.links.steps import close, link_for, renew
from jobs.updates.again import send_again
from jobs.updates.models import Message
from jobs.updates.reads import by_hand, lately_told, not_sent, tried_again
from jobs.updates.steps import arrived, ask_fresh_link, tell
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.updates.test_sending import letter

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def maris() -> Person:
    factory.shop()
    return factory.person(Role.DESK)


@pytest.fixture
def job(maris: Person) -> Job:
    return factory.job(Stage.BEN)


def test_a_letter_told_by_hand_says_who_told_it_and_how(job: Job, maris: Person) -> None:
    message = letter(job, state="byhand", channel="hand")
    tell(message, how="telephone", by=maris, at=NOW)
    tell(message, how="post", by=maris, at=NOW + timedelta(hours=1))
    message.refresh_from_db()
    assert (message.state, message.told_how, message.seen_by, message.sent_at) == ("told", "telephone", maris, NOW)
    assert job.entries.filter(action="letter.told").count() == 1


def test_a_letter_on_its_way_by_mail_is_not_ticked_off(job: Job, maris: Person) -> None:
    with pytest.raises(Refused, match="goes by e-mail"):
        tell(letter(job), how="telephone", by=maris, at=NOW)
    with pytest.raises(Refused, match="how it was told"):
        tell(letter(job, state="byhand"), how="pigeon", by=maris, at=NOW)


@pytest.mark.parametrize("state", ["failed", "perhaps"])
def test_sending_again_is_the_same_letter(job: Job, maris: Person, state: str) -> None:
    message = letter(job, state=state, tries=6, failure="450 Try later", claimed_at=NOW)
    ident = message.message_id
    again = send_again(message, by=maris, at=NOW + timedelta(hours=6))
    assert again.pk == message.pk
    assert (again.state, again.tries, again.message_id, again.claimed_at) == ("due", 0, ident, None)
    assert Message.objects.count() == 1
    with pytest.raises(Refused, match="not waiting"):
        send_again(message, by=maris, at=NOW)


def test_a_corrected_address_is_a_new_letter_and_stops_the_old_link(job: Job, maris: Person) -> None:
    message = letter(job, state="failed", failure="550 No such person")
    assert message.link is not None
    old = token(message.link)
    again = send_again(message, by=maris, at=NOW, address=" Imelda@Example.ORG ")
    assert (again.address, again.again_of, again.state, again.entry) == ("imelda@example.org", message, "due", None)
    assert again.message_id != message.message_id
    assert Party.objects.get(pk=message.party_id).email == "imelda@example.org"
    assert open_link(old, at=NOW).why is Why.RENEWED
    assert open_link(token(Link.objects.get(pk=message.link.pk)), at=NOW).why is None
    message.refresh_from_db()
    assert (message.state, message.seen_by) == ("failed", maris)
    assert not not_sent().exists()


@pytest.mark.parametrize("address", ["imelda@", "no address", "a@b@c"])
def test_what_is_no_address_is_refused_and_nothing_is_sent(job: Job, maris: Person, address: str) -> None:
    message = letter(job, state="failed")
    with pytest.raises(Refused, match="not an e-mail address"):
        send_again(message, by=maris, at=NOW, address=address)
    message.refresh_from_db()
    assert (message.state, Message.objects.count()) == ("failed", 1)


def test_another_partys_address_is_refused(job: Job, maris: Person) -> None:
    factory.party("Lorcan Appletree", email="lorcan@example.org")
    with pytest.raises(Refused, match="Lorcan Appletree already"):
        send_again(letter(job, state="failed"), by=maris, at=NOW, address="lorcan@example.org")


def test_a_letter_that_did_arrive_is_put_to_rest(job: Job, maris: Person) -> None:
    message = letter(job, state="perhaps", claimed_at=NOW, failure="may have arrived")
    arrived(message, by=maris, at=NOW + timedelta(hours=1))
    message.refresh_from_db()
    assert (message.state, message.sent_at, message.failure) == ("sent", NOW, "")


def test_the_desk_sees_each_letter_in_its_place(job: Job) -> None:
    hand, failed, lost, retried, sent = (
        letter(job, state=state, tries=tries)
        for state, tries in (("byhand", 0), ("failed", 1), ("perhaps", 1), ("due", 1), ("sent", 1))
    )
    letter(job, state="due")
    letter(job, state="dropped")
    assert list(by_hand()) == [hand]
    assert list(not_sent()) == [failed, lost]
    assert list(tried_again()) == [retried]
    assert list(lately_told()) == [sent]


def _link(job: Job) -> Link:
    return link_for("owner", job_id=job.pk, party_id=job.roles.all()[0].party_id, at=NOW)


def _gone_home(job: Job) -> Link:
    Job.objects.filter(pk=job.pk).update(stage=Stage.HOME, closed_at=NOW, closed_as="home")
    return _link(job)


def test_a_fresh_link_goes_to_the_address_on_file(job: Job) -> None:
    link = _gone_home(job)
    later = NOW + timedelta(days=40)
    opened = open_link(token(link), at=later)
    assert opened.why is Why.RAN_OUT
    ask_fresh_link(opened, at=later)
    message = Message.objects.get(kind="fresh-link")
    assert (message.address, message.state, message.due_at) == (link.party.email, "due", later)
    link.refresh_from_db()
    assert open_link(token(link), at=later).why is None


def test_a_fresh_link_is_not_sent_again_and_again(job: Job) -> None:
    link = _gone_home(job)
    at = NOW + timedelta(days=40)
    opened = open_link(token(link), at=at)
    for minutes in (0, 1, 9, 11, 22, 33, 44, 55, 66):
        ask_fresh_link(opened, at=at + timedelta(minutes=minutes))
    assert Message.objects.filter(kind="fresh-link").count() == 5
    ask_fresh_link(opened, at=at + timedelta(days=1, minutes=1))
    assert Message.objects.filter(kind="fresh-link").count() == 6


def test_whoever_holds_an_old_token_cannot_stop_the_present_one(job: Job) -> None:
    link = _link(job)
    old = open_link(token(link), at=NOW)
    present = renew(link, at=NOW)
    stale = open_link(token(link), at=NOW)
    assert (old.why, stale.why) == (None, Why.RENEWED)
    ask_fresh_link(stale, at=NOW)
    assert open_link(token(present), at=NOW).why is None
    assert Message.objects.filter(kind="fresh-link").count() == 1


def test_neither_a_strange_token_nor_a_shut_link_sends_anything(job: Job) -> None:
    link = _link(job)
    ask_fresh_link(open_link("x" * 32, at=NOW), at=NOW)
    close(link, at=NOW)
    ask_fresh_link(open_link(token(link), at=NOW), at=NOW)
    assert not Message.objects.exists()
    assert reverse("owner:fresh", args=["x" * 32])
