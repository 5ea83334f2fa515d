"""Letters in these tests go through the shop's own SMTP backend to a server on loopback."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest
from django.test import override_settings

from tests.updates.mailserver import Handler, mail_server

Serving = Callable[..., Handler]


@pytest.fixture
def serving() -> Iterator[Serving]:
    """Start a mail server that behaves as said and send letters there."""
    with ExitStack() as running:

        def start(**ways: str) -> Handler:
            handler, port = running.enter_context(mail_server(**ways))
            backend = "jobs.updates.post.PostBackend"
            running.enter_context(
                override_settings(EMAIL_BACKEND=backend, EMAIL_HOST="127.0.0.1", EMAIL_PORT=port, EMAIL_TIMEOUT=1)
            )
            return handler

        yield start
