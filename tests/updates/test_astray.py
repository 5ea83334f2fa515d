"""An e-mail put right: links in what went to the old one die, what waits turns, and what went astray goes again."""

from datetime import timedelta

import pytest
from django.core.mail import EmailMessage

from jobs.book.models import Entry, Job, Party
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.links.reads import Why, open_link, token
from jobs.links.steps import link_for
from jobs.updates.again import astray, correct_owner, send_again, send_astray
from jobs.updates.models import Message
from jobs.updates.outcome import Outcome, Post
from jobs.updates.sending import sweep
from jobs.updates.steps import new_message_id
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=2)


@pytest.fixture
def maris() -> Person:
    factory.shop()
    return factory.person(Role.DESK)


@pytest.fixture
def imelda() -> Party:
    return factory.party("Imelda Rookstone", email="imelda@exmaple.org", phone="+442079460155")


@pytest.fixture
def job(imelda: Party) -> Job:
    return factory.job(Stage.BEN, owner=imelda)


def went(job: Job, party: Party, state: str = "sent", kind: str = "stage-BEN", *, linked: bool = True) -> Message:
    link = link_for("owner", job_id=job.pk, party_id=party.pk, at=NOW) if linked else None
    return Message.objects.create(
        job=job, party=party, kind=kind, channel="email", address=party.email, subject="Work has begun", body="{link}",
        link=link, message_id=new_message_id(), state=state, made_at=NOW, due_at=NOW,
        sent_at=NOW if state == "sent" else None,
    )  # fmt: skip


def right(party: Party, maris: Person, **wanted: str) -> None:
    correct_owner(party.pk, wanted or {"email": "imelda@example.org"}, seen={}, by=maris, at=LATER)
    party.refresh_from_db()


def test_the_link_a_stranger_may_hold_dies_with_the_correction(job: Job, imelda: Party, maris: Person) -> None:
    letter = went(job, imelda)
    assert letter.link is not None
    old = token(letter.link)
    right(imelda, maris)
    assert open_link(old, at=LATER).why is Why.RENEWED


def test_a_name_put_right_kills_no_link(job: Job, imelda: Party, maris: Person) -> None:
    letter = went(job, imelda)
    assert letter.link is not None
    right(imelda, maris, name="Imelda Rookstein")
    assert open_link(token(letter.link), at=LATER).why is None


def test_what_went_astray_goes_again_to_the_right_address_with_one_new_link(
    job: Job, imelda: Party, maris: Person
) -> None:
    first, second = went(job, imelda), went(job, imelda, "perhaps", "note")
    went(job, factory.party())
    right(imelda, maris)
    assert list(astray(imelda, at=LATER)) == [first, second]
    assert send_astray(imelda, by=maris, at=LATER) == 2
    again = Message.objects.filter(again_of__isnull=False)
    assert {(one.address, one.state, one.again_of_id) for one in again} == {
        ("imelda@example.org", "due", first.pk),
        ("imelda@example.org", "due", second.pk),
    }
    # both carry the one link that opens now: the second letter did not kill the first's
    assert {open_link(token(one.link), at=LATER).why for one in again if one.link} == {None}
    assert not astray(imelda, at=LATER).exists()
    assert send_astray(imelda, by=maris, at=LATER) == 0
    assert Entry.objects.filter(action="letter.again", data__corrected=True).count() == 2


def test_a_letter_that_went_to_the_right_address_is_not_sent_again(job: Job, imelda: Party, maris: Person) -> None:
    letter = went(job, imelda)
    with pytest.raises(Refused, match="went to that address"):
        send_again(letter, by=maris, at=LATER)


def test_it_goes_again_once(job: Job, imelda: Party, maris: Person) -> None:
    letter = went(job, imelda)
    right(imelda, maris)
    send_again(letter, by=maris, at=LATER)
    with pytest.raises(Refused, match="again already"):
        send_again(letter, by=maris, at=LATER)


def test_a_letter_that_waits_turns_to_the_right_address(job: Job, imelda: Party, maris: Person) -> None:
    waiting = went(job, imelda, "due")
    right(imelda, maris)
    waiting.refresh_from_db()
    assert (waiting.address, waiting.state) == ("imelda@example.org", "due")


def test_without_an_email_what_waits_is_told_by_hand(job: Job, imelda: Party, maris: Person) -> None:
    waiting = went(job, imelda, "due")
    right(imelda, maris, email="")
    waiting.refresh_from_db()
    assert (waiting.address, waiting.state, waiting.channel) == ("+442079460155", "byhand", "hand")
    assert not astray(imelda, at=LATER).exists()


def test_a_failed_letter_with_the_old_address_goes_to_the_new_one(job: Job, imelda: Party, maris: Person) -> None:
    letter = went(job, imelda, "failed")
    right(imelda, maris)
    assert send_again(letter, by=maris, at=LATER).address == "imelda@example.org"
    imelda.refresh_from_db()
    assert imelda.email == "imelda@example.org"


def test_letters_of_long_closed_jobs_are_left_in_peace(job: Job, imelda: Party, maris: Person) -> None:
    went(job, imelda)
    Job.objects.filter(pk=job.pk).update(closed_at=NOW - timedelta(days=40), closed_as="home", stage=Stage.HOME)
    right(imelda, maris)
    assert not astray(imelda, at=LATER).exists()
    assert Message.objects.get().link is not None
    assert Message.objects.get().link.generation == 1  # type: ignore[union-attr]


class Busy(Post):
    """The server puts the letter off; meanwhile the desk puts the address right."""

    def __init__(self, party: Party, maris: Person) -> None:
        super().__init__()
        self.party, self.maris, self.tried = party, maris, list[str]()

    def open(self) -> None:
        return None

    def hand_over(self, letter: EmailMessage) -> Outcome:
        self.tried += letter.to
        if len(self.tried) > 1:
            return Outcome("sent")
        right(self.party, self.maris)
        return Outcome("later", "450 come back")


def test_a_letter_put_off_while_the_address_was_put_right_goes_to_the_right_one(
    job: Job, imelda: Party, maris: Person
) -> None:
    letter, post = went(job, imelda, state="due"), Busy(imelda, maris)
    for minutes in (0, 30, 60):
        sweep(clock=lambda at=NOW + timedelta(minutes=minutes): at, post=post)  # type: ignore[misc]
    assert post.tried == ["imelda@exmaple.org", "imelda@example.org"]
    letter.refresh_from_db()
    assert (letter.state, letter.address) == ("sent", "imelda@example.org")


def test_a_letter_put_off_while_the_address_was_taken_off_is_done_by_hand(
    job: Job, imelda: Party, maris: Person
) -> None:
    letter = went(job, imelda, state="due")
    Party.objects.filter(pk=imelda.pk).update(email="")  # as when it is put right between two tries
    sweep(clock=lambda: NOW, post=Busy(imelda, maris))
    letter.refresh_from_db()
    assert (letter.state, letter.channel, letter.address) == ("byhand", "hand", imelda.phone)
