"""Sending through a real SMTP server on loopback: taken, refused, away, hanging."""

import socket
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.test import override_settings

from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.links.reads import address_of
from jobs.links.steps import link_for
from jobs.papers.canonical import sha256
from jobs.papers.models import Paper
from jobs.updates.letters import LINK
from jobs.updates.models import Message
from jobs.updates.outcome import WAITS, Post, next_try
from jobs.updates.sending import LOST_AFTER, perhaps, send, sweep
from jobs.updates.steps import new_message_id
from tests import factory
from tests.factory import NOW
from tests.updates.conftest import Serving

pytestmark = pytest.mark.django_db(transaction=True)
BACKEND = "jobs.updates.post.PostBackend"


@pytest.fixture
def job() -> Job:
    factory.shop(email="desk@shop.example")
    return factory.job(Stage.BEN)


def letter(job: Job, **fields: Any) -> Message:
    party = job.roles.get(role="owner").party
    given: dict[str, Any] = {
        "job": job,
        "party": party,
        "kind": "stage-BEN",
        "channel": "email",
        "address": party.email,
        "subject": "Your violin, 26-0001: work has begun – schön",
        "body": f"Dear Imelda Rookstone,\n\n{LINK}\n\n中文 שלום 🎻\n",
        "link": link_for("owner", job_id=job.pk, party_id=party.pk, at=NOW),
        "message_id": new_message_id(),
        "made_at": NOW,
        "due_at": NOW,
    }
    return Message.objects.create(**{**given, **fields})


def go(at: datetime = NOW) -> int:
    return sweep(clock=lambda: at)


def again(message: Message) -> Message:
    message.refresh_from_db()
    return message


def test_a_due_letter_goes_out_once_with_its_link_and_its_own_id(job: Job, serving: Serving) -> None:
    server, message = serving(), letter(job)
    assert go() == 1
    assert go() == 0
    assert again(message).state == "sent"
    assert message.sent_at == NOW
    [mail] = server.taken
    assert mail["Message-ID"] == message.message_id
    assert mail["Subject"].strip() == message.subject
    assert mail["To"] == message.address
    assert mail["From"].startswith("Marrowfen Strings Workshop <")
    assert mail["Reply-To"] == "desk@shop.example"
    assert mail["Auto-Submitted"] == "auto-generated"
    text = mail.get_content()
    assert message.link is not None
    assert address_of(message.link) in text
    assert LINK not in text
    assert "中文 שלום 🎻" in text


def test_the_stored_body_never_holds_the_link(job: Job, serving: Serving) -> None:
    serving()
    message = letter(job)
    go()
    assert LINK in again(message).body
    assert "/o/" not in message.body


def test_a_letter_waits_for_its_minute(job: Job, serving: Serving) -> None:
    server, message = serving(), letter(job, due_at=NOW + timedelta(seconds=60))
    assert go(NOW + timedelta(seconds=59)) == 0
    assert not server.taken
    assert go(NOW + timedelta(seconds=60)) == 1
    assert again(message).state == "sent"


def test_many_letters_share_a_connection(job: Job, serving: Serving) -> None:
    server = serving()
    for n in range(120):
        letter(job, subject=f"Letter {n}")
    assert go() == 120
    assert len(server.taken) == 120
    assert server.connections == 3


def test_a_paper_goes_beside_its_letter_once_it_is_printed(job: Job, serving: Serving) -> None:
    server = serving()
    paper = Paper.objects.create(
        kind="note", number="N26-0001", visit=job.visit, text="{}", text_sha256="0" * 64, position=1, at=NOW
    )
    message = letter(job, paper=paper)
    assert go() == 0
    assert again(message).state == "due"
    pdf = b"%PDF-1.7 sample"
    paper.pdf.save("n.pdf", ContentFile(pdf), save=False)
    paper.state, paper.pdf_sha256 = "made", sha256(pdf)
    paper.save()
    assert go() == 1
    [enclosure] = server.taken[0].iter_attachments()
    assert enclosure.get_filename() == "condition-note-N26-0001.pdf"
    assert enclosure.get_content() == pdf


def test_a_paper_that_cannot_be_printed_is_shown_with_its_reason(job: Job, serving: Serving) -> None:
    serving()
    paper = Paper.objects.create(
        kind="note", number="N26-0001", visit=job.visit, text="{}", text_sha256="0" * 64, position=1, at=NOW,
        state="failed", failure="typst: no such font",
    )  # fmt: skip
    message = letter(job, paper=paper)
    go()
    assert again(message).state == "failed"
    assert "typst: no such font" in message.failure


def test_a_damaged_paper_is_not_sent(job: Job, serving: Serving) -> None:
    server = serving()
    paper = Paper.objects.create(
        kind="note", number="N26-0001", visit=job.visit, text="{}", text_sha256="0" * 64, position=1, at=NOW,
        state="made", pdf_sha256="1" * 64,
    )  # fmt: skip
    paper.pdf.save("n.pdf", ContentFile(b"%PDF-1.7 other"))
    message = letter(job, paper=paper)
    go()
    assert again(message).state == "failed"
    assert "no longer the one that was sealed" in message.failure
    assert not server.taken


@pytest.mark.parametrize(
    ("ways", "words"),
    [
        ({"rcpt": "550 5.1.1 No such person here"}, "does not take the address: 550 5.1.1 No such person here"),
        ({"data": "554 5.7.1 Looks like spam"}, "refused the letter: 554 5.7.1 Looks like spam"),
    ],
)
def test_a_lasting_refusal_fails_at_once(job: Job, serving: Serving, ways: dict[str, str], words: str) -> None:
    serving(**ways)
    message = letter(job)
    assert go() == 0
    assert (again(message).state, message.tries) == ("failed", 1)
    assert words in message.failure


@pytest.mark.parametrize("ways", [{"rcpt": "450 4.2.0 Try later"}, {"data": "451 4.3.0 Busy"}])
def test_a_passing_refusal_is_tried_again_with_growing_waits(job: Job, serving: Serving, ways: dict[str, str]) -> None:
    server, message, at = serving(**ways), letter(job), NOW
    for tries, wait in enumerate(WAITS, 1):
        assert go(at) == 0
        assert (again(message).state, message.tries, message.due_at) == ("due", tries, at + wait)
        assert "4" in message.failure
        assert go(at + wait - timedelta(seconds=1)) == 0
        at += wait
    go(at)
    assert (again(message).state, message.tries) == ("failed", 6)
    assert len(server.tried) == 6


def test_a_refusal_that_passes_is_forgotten_once_the_letter_is_taken(job: Job, serving: Serving) -> None:
    server, message = serving(rcpt="450 Try later"), letter(job)
    go()
    server.rcpt = "250 OK"
    assert go(NOW + WAITS[0]) == 1
    assert (again(message).state, message.failure) == ("sent", "")


def _nobody_there() -> int:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


def test_a_mail_server_that_is_away_costs_one_look_for_all_letters(job: Job) -> None:
    messages = [letter(job), letter(job)]
    with override_settings(EMAIL_BACKEND=BACKEND, EMAIL_HOST="127.0.0.1", EMAIL_PORT=_nobody_there(), EMAIL_TIMEOUT=1):
        assert go() == 0
    for message in messages:
        assert (again(message).state, message.tries, message.due_at) == ("due", 1, NOW + WAITS[0])
        assert "cannot be reached" in message.failure


def test_a_server_that_hangs_before_the_text_is_tried_again(job: Job, serving: Serving) -> None:
    serving(hang="RCPT")
    message = letter(job)
    go()
    assert (again(message).state, message.tries) == ("due", 1)


@pytest.mark.parametrize("ways", [{"hang": "DATA"}, {"cut": "DATA"}])
def test_a_server_that_has_the_text_and_says_nothing_leaves_it_perhaps_sent(
    job: Job, serving: Serving, ways: dict[str, str]
) -> None:
    server, message = serving(**ways), letter(job)
    assert go() == 0
    assert again(message).state == "perhaps"
    assert "may have arrived" in message.failure
    assert len(server.taken) == 1
    assert go(NOW + timedelta(days=2)) == 0
    assert len(server.taken) == 1


def test_one_bad_letter_does_not_hold_up_the_others(job: Job, serving: Serving) -> None:
    server = serving()
    bad, good = letter(job, subject="Two\nlines", due_at=NOW - timedelta(minutes=1)), letter(job)
    assert go() == 1
    assert again(bad).state == "failed"
    assert again(good).state == "sent"
    assert len(server.taken) == 1


def test_a_line_the_server_closed_meanwhile_is_opened_anew(job: Job, serving: Serving) -> None:
    server = serving()
    first, second = letter(job), letter(job)
    post, shop = Post(), factory.shop()
    assert send(first.pk, shop=shop, post=post, clock=lambda: NOW)
    post._line.connection.sock.close()
    assert send(second.pk, shop=shop, post=post, clock=lambda: NOW)
    post.close()
    assert (again(second).state, len(server.taken)) == ("sent", 2)


def test_a_letter_whose_sender_stopped_is_perhaps_sent_after_two_minutes(job: Job, serving: Serving) -> None:
    server = serving()
    message = letter(job, state="sending", claimed_at=NOW, tries=1)
    assert perhaps(at=NOW + LOST_AFTER) == 0
    assert perhaps(at=NOW + LOST_AFTER + timedelta(seconds=1)) == 1
    assert again(message).state == "perhaps"
    assert go(NOW + timedelta(hours=9)) == 0
    assert not server.taken


def test_waits_come_to_an_end() -> None:
    assert [next_try(tries, NOW) for tries in (0, 6, 7)] == [None, None, None]
    assert next_try(1, NOW) == NOW + timedelta(minutes=1)
    assert next_try(5, NOW) == NOW + timedelta(hours=4)
