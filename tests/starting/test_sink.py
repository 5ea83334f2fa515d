"""The sample shop's mail sink takes letters over SMTP and shows them on a page."""

import signal
import smtplib
import socket
import subprocess
import sys
from collections.abc import Iterator
from email.message import EmailMessage
from pathlib import Path

import pytest
from django.test import Client, override_settings
from django.urls import reverse

from shop.starting import letters
from shop.starting.parts import ROOT

pytestmark = pytest.mark.django_db


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Path]:
    with override_settings(SHOP_HOME=tmp_path, ROOT_URLCONF="tests.starting.sink_root"):
        yield tmp_path


def sink_command(home: Path, listener: socket.socket) -> list[str]:
    return [sys.executable, "-m", "shop.starting.sink", str(home / letters.FOLDER), str(listener.fileno())]


@pytest.fixture
def port(home: Path) -> Iterator[int]:
    """Port of a sink that runs as it does in the sample shop: in its own process, on a socket handed to it."""
    with (
        socket.create_server(("127.0.0.1", 0)) as listener,
        subprocess.Popen(sink_command(home, listener), cwd=ROOT, pass_fds=[listener.fileno()]) as process,
    ):
        yield listener.getsockname()[1]
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=20) == 0


def send(port: int, *messages: EmailMessage) -> None:
    with smtplib.SMTP("127.0.0.1", port, timeout=20) as server:
        for message in messages:
            server.send_message(message)


def message(subject: str, text: str) -> EmailMessage:
    written = EmailMessage()
    written["From"], written["To"], written["Subject"] = "workshop@marrowfen.example", "owner@example.org", subject
    written.set_content(text)
    return written


def test_a_letter_sent_can_be_read_with_its_link_and_its_enclosure(home: Path, port: int, client: Client) -> None:
    written = message("Your cello, 小提琴 🎻", "Look here:\nhttps://shop.example/o/abc123\n<b>bold</b>\n")
    written.add_attachment(b"%PDF-1.7 sealed", maintype="application", subtype="pdf", filename="note 26-0417.pdf")
    send(port, written)

    page = client.get(reverse("sink:sink")).content.decode()
    assert "Your cello, 小提琴 🎻" in page
    assert "owner@example.org" in page
    (name,) = letters.names(home / letters.FOLDER)
    page = client.get(reverse("sink:letter", args=[name])).content.decode()
    assert '<a href="https://shop.example/o/abc123"' in page
    assert "&lt;b&gt;bold&lt;/b&gt;" in page
    answer = client.get(reverse("sink:enclosure", args=[name, 0]))
    assert answer.content == b"%PDF-1.7 sealed"
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'attachment; filename="note 26-0417.pdf"'


def test_letters_are_shown_the_newest_first_and_a_page_at_a_time(home: Path, port: int, client: Client) -> None:
    send(port, *(message(f"letter number {number}", "…") for number in range(53)))
    first = client.get(reverse("sink:sink")).content.decode()
    assert first.index("letter number 52") < first.index("letter number 51")
    assert "letter number 2<" not in first
    second = client.get(reverse("sink:sink"), {"page": "2"}).content.decode()
    assert "letter number 2<" in second
    assert "Newer" in second


def test_who_comes_before_the_sink_is_up_is_served_once_it_is(home: Path) -> None:
    with (
        socket.create_server(("127.0.0.1", 0)) as listener,
        socket.create_connection(listener.getsockname(), timeout=30) as early,
        subprocess.Popen(sink_command(home, listener), cwd=ROOT, pass_fds=[listener.fileno()]) as process,
    ):
        assert early.recv(100).startswith(b"220 ")
        process.terminate()


def test_with_no_letter_the_page_says_so(home: Path, client: Client) -> None:
    assert "No letter has been written yet." in client.get(reverse("sink:sink")).content.decode()


@pytest.mark.parametrize("name", ["20260101-000000-000000-abcd", "secret", "-"])
def test_a_letter_that_is_not_there_is_not_found(home: Path, client: Client, name: str) -> None:
    (home / "secret.eml").write_text("Subject: not a letter")
    assert client.get(f"/sink/{name}/").status_code == 404
    assert client.get(f"/sink/{name}/0/").status_code == 404


def test_an_enclosure_that_is_not_there_is_not_found(home: Path, port: int, client: Client) -> None:
    send(port, message("plain", "no enclosure"))
    (name,) = letters.names(home / letters.FOLDER)
    assert client.get(reverse("sink:enclosure", args=[name, 0])).status_code == 404


def test_outside_the_sample_shop_there_is_no_such_page(client: Client) -> None:
    assert client.get("/sink/").status_code == 404
