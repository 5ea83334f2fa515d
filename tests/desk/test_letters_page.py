"""The letters page: what waits for a hand, what did not go, what owners ask."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.desk import letter_views
from jobs.estimates.questions import ask
from jobs.links.reads import address_of
from jobs.updates.models import Message
from shop.people.roles import Role
from tests import factory
from tests.updates.test_sending import letter

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    factory.shop()
    return factory.job(Stage.BEN)


@pytest.fixture
def maris(job: Job) -> Client:
    client = Client()
    client.force_login(factory.person(Role.DESK), backend="django.contrib.auth.backends.ModelBackend")
    return client


def _page(client: Client) -> str:
    return str(client.get(reverse("desk:letters")).content.decode())


def test_an_empty_page_says_so(maris: Client) -> None:
    assert "Nothing waits for you." in _page(maris)


def test_a_letter_to_tell_by_hand_is_read_printed_and_ticked(job: Job, maris: Client) -> None:
    message = letter(job, state="byhand", channel="hand", subject="Ready to collect")
    assert "1 to tell by hand." in _page(maris)
    printed = maris.get(reverse("desk:letter", args=[message.pk])).content.decode()
    assert message.link is not None
    assert address_of(message.link) in printed
    assert maris.post(reverse("desk:letter-told", args=[message.pk]), {"how": "telephone"}).status_code == 302
    text = _page(maris)
    assert "by telephone, Maris" in text
    assert "No letter waits to be told by hand." in text


def test_a_letter_by_mail_keeps_its_link_to_its_reader(job: Job, maris: Client) -> None:
    message = letter(job, state="sent", sent_at=timezone.now())
    text = maris.get(reverse("desk:letter", args=[message.pk])).content.decode()
    assert "/o/" not in text
    assert "the owner’s own link stands here" in text


def test_ticking_without_saying_how_is_refused_beside_the_letter(job: Job, maris: Client) -> None:
    message = letter(job, state="byhand", channel="hand")
    answer = maris.post(reverse("desk:letter-told", args=[message.pk]))
    assert (answer.status_code, "Say how it was told" in answer.content.decode()) == (422, True)


def test_a_failed_letter_shows_its_reason_and_goes_again_to_a_corrected_address(job: Job, maris: Client) -> None:
    message = letter(job, state="failed", failure="The mail server does not take the address: 550 No such person")
    assert "550 No such person" in _page(maris)
    again = reverse("desk:letter-again", args=[message.pk])
    wrong = maris.post(again, {"address": "imelda@"})
    assert wrong.status_code == 422
    assert 'value="imelda@"' in wrong.content.decode()
    assert maris.post(again, {"address": "imelda@example.net"}).status_code == 302
    assert Message.objects.get(again_of=message).address == "imelda@example.net"
    assert "Every letter has gone out." in _page(maris)


def test_a_letter_perhaps_sent_waits_for_somebody_to_decide(job: Job, maris: Client) -> None:
    message = letter(job, state="perhaps", claimed_at=timezone.now(), failure="It may have arrived.")
    assert "Perhaps sent. It may have arrived." in _page(maris)
    assert maris.post(reverse("desk:letter-arrived", args=[message.pk])).status_code == 302
    message.refresh_from_db()
    assert message.state == "sent"


def test_all_that_failed_go_again_but_not_what_is_perhaps_out(job: Job, maris: Client) -> None:
    failed = [letter(job, state="failed") for _ in range(2)]
    lost = letter(job, state="perhaps")
    assert maris.post(reverse("desk:letters-again")).status_code == 302
    states = dict(Message.objects.values_list("pk", "state"))
    assert [states[one.pk] for one in failed] == ["due", "due"]
    assert states[lost.pk] == "perhaps"


def test_all_again_bears_that_somebody_else_is_doing_it_too(
    job: Job, maris: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine, theirs = letter(job, state="failed"), letter(job, state="failed")
    monkeypatch.setattr(letter_views, "not_sent", lambda: _seen_by_both(theirs))
    answer = maris.post(reverse("desk:letters-again"), follow=True)
    assert "1 letter will be sent again." in answer.content.decode()
    mine.refresh_from_db()
    assert mine.state == "due"


def _seen_by_both(theirs: Message) -> Any:
    read = Message.objects.filter(state__in=("failed", "due"))
    Message.objects.filter(pk=theirs.pk).update(state="due")

    class Read:
        def filter(self, **_by: object) -> Any:
            return read

    return Read()


def test_a_letter_tried_again_by_itself_says_when(job: Job, maris: Client) -> None:
    letter(job, state="due", tries=2, failure="The mail server cannot be reached: refused")
    text = _page(maris)
    assert "tried 2 times" in text
    assert "cannot be reached" in text


def test_a_question_is_read_and_put_to_rest(job: Job, maris: Client) -> None:
    question = ask(job, party=job.roles.all()[0].party, words="May I look at it?", at=timezone.now())
    assert "1 question." in _page(maris)
    assert maris.post(reverse("desk:question-seen", args=[question.pk])).status_code == 302
    assert "May I look at it?" not in _page(maris)


def test_the_bench_sees_no_letters(job: Job) -> None:
    client = Client()
    client.force_login(factory.person(Role.LUTHIER), backend="django.contrib.auth.backends.ModelBackend")
    assert client.get(reverse("desk:letters")).status_code == 403


def test_the_page_costs_the_same_however_many_letters_wait(
    job: Job, maris: Client, django_assert_max_num_queries: object
) -> None:
    for n in range(30):
        letter(job, state=("byhand", "failed", "sent")[n % 3])
    with django_assert_max_num_queries(9):  # type: ignore[operator]
        maris.get(reverse("desk:letters"))
