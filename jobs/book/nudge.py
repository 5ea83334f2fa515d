"""Tells the worker at once that there is work to take.

The database is the truth and a sweep looks every few seconds, so a lost nudge costs only time. That is why a broker that
is away may never fail, or hold up, the step that nudged.
"""

import logging
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import partial
from time import monotonic
from typing import Any

from django.db import transaction
from kombu.exceptions import KombuError

from shop.celery import app

log = logging.getLogger(__name__)
# the sweeps run every 5 to 10 seconds: until one has, there is nothing to gain from knocking again
_REST = 10.0
# one short try: no wait and no retry inside kombu, none inside the Redis client
_ONE_TRY = {
    "max_retries": 1,
    "interval_start": 0,
    "interval_step": 0,
    "connect_retries_timeout": 0.4,
    "socket_connect_timeout": 0.3,
    "socket_timeout": 0.3,
    "retry_on_timeout": False,
}
_still: ContextVar[bool] = ContextVar("nobody_is_nudged", default=False)
_door = threading.Lock()
_rest_until = 0.0
_line: tuple[int, Any] | None = None  # process and its kept kombu connection: opening one costs more than sending


@contextmanager
def still() -> Iterator[None]:
    """Within it nobody is nudged: for whoever does all that work on the spot, or can wait for the sweep."""
    before = _still.set(True)
    try:
        yield
    finally:
        _still.reset(before)


def nudge(task_name: str, *args: int | str) -> None:
    """Send a task by name once the open transaction is committed (at once when there is none).

    Arguments are ids or names. Never raises and never waits longer than about a second; while the broker is away it is
    asked once in ten seconds, so a busy desk does not feel it.
    """
    if not _still.get():
        transaction.on_commit(partial(_send, task_name, args), robust=True)


def _send(task_name: str, args: tuple[int | str, ...]) -> None:
    global _rest_until
    if monotonic() < _rest_until or not _door.acquire(timeout=0.5):
        return
    try:
        if monotonic() < _rest_until:
            return
        kept = _line is not None and _line[0] == os.getpid()
        try:
            _over_the_line(task_name, args)
        except (KombuError, OSError):
            _hang_up()
            if not kept:
                raise
            _over_the_line(task_name, args)  # the broker was started anew since the last nudge
    except (KombuError, OSError) as fault:
        _hang_up()
        _rest_until = monotonic() + _REST
        log.warning("The broker is away, the sweep will find %s %s: %s", task_name, args, fault)
    finally:
        _door.release()


def _over_the_line(task_name: str, args: tuple[int | str, ...]) -> None:
    global _line
    if _line is None or _line[0] != os.getpid():
        _line = os.getpid(), app.connection_for_write(connect_timeout=0.3, transport_options=_ONE_TRY)
    app.send_task(task_name, args=args, connection=_line[1], retry=False, ignore_result=True)


def _hang_up() -> None:
    global _line
    if _line is not None and _line[0] == os.getpid():
        _line[1].release()
    _line = None
