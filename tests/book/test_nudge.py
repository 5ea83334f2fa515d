"""Nudging the worker: after commit, quickly, and never at the cost of the step."""

import socket
from collections.abc import Iterator
from pathlib import Path
from time import monotonic

import pytest
from django.db import transaction
from pytest_django import DjangoCaptureOnCommitCallbacks

from jobs.book import nudge as nudging
from jobs.book.nudge import nudge
from shop.celery import app


@pytest.fixture(autouse=True)
def _line_of_its_own(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(nudging, "_line", None)
    monkeypatch.setattr(nudging, "_rest_until", 0.0)
    yield
    nudging._hang_up()


def _waiting(name: str = "shop") -> list[tuple[str, list[object]]]:
    """What lies in a queue of the broker in memory, taken out."""
    with app.connection_for_read("memory://") as connection, connection.SimpleQueue(name) as queue:
        found = []
        while queue.qsize():
            message = queue.get(timeout=2)
            message.ack()
            found.append((message.headers["task"], message.payload[0]))
        return found


@pytest.fixture
def _in_memory(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setitem(app.conf, "broker_write_url", "memory://")
    yield
    _waiting()
    _waiting("messages")


@pytest.mark.usefixtures("_in_memory")
def test_a_nudge_reaches_the_queue_of_its_task() -> None:
    nudging._send("photos.look", (7, "a"))
    nudging._send("photos.look", (8,))
    nudging._send("updates.look", (9,))
    assert _waiting() == [("photos.look", [7, "a"]), ("photos.look", [8])]
    assert _waiting("messages") == [("updates.look", [9])], "letters have a queue of their own"


@pytest.mark.django_db
def test_nothing_is_sent_before_the_commit_and_nothing_after_a_failure(
    monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks
) -> None:
    sent: list[str] = []
    monkeypatch.setattr(nudging, "_send", lambda name, _args: sent.append(name))
    with django_capture_on_commit_callbacks(execute=True):
        with transaction.atomic():
            nudge("test.kept", 1)
        with pytest.raises(ZeroDivisionError), transaction.atomic():
            nudge("test.lost", 1)
            raise ZeroDivisionError
        assert sent == []
    assert sent == ["test.kept"]


@pytest.fixture
def silent() -> Iterator[str]:
    """A broker that takes the call and never says a word."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield f"redis://127.0.0.1:{server.getsockname()[1]}/0"


@pytest.mark.parametrize("how", ["refuses", "is silent", "has lost its folder"])
def test_a_broker_that_is_away_costs_at_most_a_second_and_is_then_left_alone(
    how: str, silent: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, tmp_path: Path
) -> None:
    url = {"refuses": "redis://127.0.0.1:1/0", "is silent": silent, "has lost its folder": "filesystem://"}[how]
    monkeypatch.setitem(app.conf, "broker_write_url", url)
    if how == "has lost its folder":
        in_the_way = tmp_path / "broker"
        in_the_way.write_text("a file where the folder should be")
        gone = str(in_the_way / "queue")
        nowhere = {"data_folder_in": gone, "data_folder_out": gone, "control_folder": str(in_the_way / "control")}
        monkeypatch.setitem(app.conf, "broker_transport_options", nowhere)
    started = monotonic()
    nudging._send("test.look", (1,))
    assert monotonic() - started < 1.5, "a second, and some for a busy machine"
    assert caplog.text.count("The broker is away, the sweep will find test.look") == 1
    started = monotonic()
    for number in range(200):
        nudging._send("test.look", (number,))
    assert monotonic() - started < 0.5, "no storm of tries"
    assert caplog.text.count("The broker is away") == 1


@pytest.mark.usefixtures("_in_memory")
def test_it_is_asked_again_after_a_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as away:
        away.setitem(app.conf, "broker_write_url", "redis://127.0.0.1:1/0")
        nudging._send("test.look", (1,))
    nudging._send("test.look", (2,))
    assert _waiting() == [], "it rests"
    monkeypatch.setattr(nudging, "monotonic", lambda: monotonic() + 11)
    nudging._send("test.look", (3,))
    assert _waiting() == [("test.look", [3])]


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("_in_memory")
def test_nobody_is_nudged_while_all_is_done_on_the_spot() -> None:
    with nudging.still():
        nudging.nudge("test.look", 1)
    assert _waiting() == []
    nudging.nudge("test.look", 2)
    assert _waiting() == [("test.look", [2])]
