"""Several workers at once, and a worker killed between the server's yes and our writing it down."""

import json
import os
import signal
import subprocess
import sys
from collections import Counter
from datetime import timedelta
from pathlib import Path
from threading import Thread

import pytest
from django.core.mail import EmailMessage
from django.db import connection

from jobs.updates.models import Message
from jobs.updates.outcome import Outcome, Post
from jobs.updates.sending import LOST_AFTER, perhaps, sweep
from tests import factory
from tests.factory import NOW
from tests.updates.conftest import Serving
from tests.updates.mailserver import mail_server
from tests.updates.test_sending import letter

ROOT = Path(__file__).resolve().parents[2]


class Workers:
    """Processes of their own around one home, sending to one port."""

    def __init__(self, home: Path, port: int) -> None:
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("SHOP_", "SMTP_"))}
        for name in ("DATABASE_URL", "REDIS_URL"):
            kept.pop(name, None)
        self.environment = kept | {
            "DJANGO_SETTINGS_MODULE": "shop.settings",
            "SHOP_HOME": str(home),
            "SMTP_HOST": "127.0.0.1",
            "SMTP_PORT": str(port),
        }

    def start(self, *words: str) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "tests.updates.worker", *words]
        return subprocess.Popen(command, cwd=ROOT, env=self.environment, stdout=subprocess.PIPE, text=True)

    def run(self, *words: str) -> tuple[int, list[list[str]]]:
        process = self.start(*words)
        out, _ = process.communicate(timeout=60)
        return process.returncode, json.loads(out) if out else []


@pytest.mark.needs_sqlite
def test_two_workers_send_each_letter_once(tmp_path: Path) -> None:
    with mail_server() as (server, port):
        workers = Workers(tmp_path, port)
        assert workers.run("prepare", "60")[0] == 0
        both = [workers.start("sweep"), workers.start("sweep")]
        for one in both:
            one.communicate(timeout=60)
            assert one.returncode == 0
        _, rows = workers.run("states")
        assert Counter(state for state, _ in rows) == {"sent": 60}
        assert Counter(str(mail["Message-ID"]) for mail in server.taken) == {ident: 1 for _, ident in rows}


@pytest.mark.needs_sqlite
def test_a_worker_killed_after_the_servers_yes_leaves_one_letter_perhaps_sent(tmp_path: Path) -> None:
    with mail_server() as (server, port):
        workers = Workers(tmp_path, port)
        workers.run("prepare", "3")
        status, _ = workers.run("die")
        assert status == -signal.SIGKILL
        _, rows = workers.run("sweep")
        assert [state for state, _ in rows] == ["sending", "sent", "sent"]
        assert Counter(str(mail["Message-ID"]) for mail in server.taken) == {ident: 1 for _, ident in rows}


@pytest.mark.needs_postgres
@pytest.mark.django_db(transaction=True)
def test_two_threads_send_each_letter_once(serving: Serving) -> None:
    server = serving()
    factory.shop()
    job = factory.job()
    for n in range(60):
        letter(job, subject=f"Letter {n}")

    def work() -> None:
        try:
            sweep(clock=lambda: NOW)
        finally:
            connection.close()

    threads = [Thread(target=work) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not Message.objects.exclude(state="sent").exists()
    assert Counter(str(mail["Message-ID"]) for mail in server.taken) == dict.fromkeys(
        Message.objects.values_list("message_id", flat=True), 1
    )


class Slow(Post):
    """The server takes its time; meanwhile a sweep gives the letter up for lost."""

    def hand_over(self, letter: EmailMessage) -> Outcome:
        outcome = super().hand_over(letter)
        assert perhaps(at=NOW + LOST_AFTER + timedelta(seconds=1)) == 1
        return outcome


@pytest.mark.django_db(transaction=True)
def test_what_the_sender_knows_goes_before_what_a_sweep_guessed(serving: Serving) -> None:
    server = serving()
    factory.shop()
    message = letter(factory.job())
    assert sweep(clock=lambda: NOW, post=Slow()) == 1
    message.refresh_from_db()
    assert (message.state, message.failure, len(server.taken)) == ("sent", "", 1)
