"""A mail server that cannot be reached."""

from typing import Any

from django.core.mail.backends.base import BaseEmailBackend


class Backend(BaseEmailBackend):
    """Refuses every letter as a broken line does."""

    def send_messages(self, email_messages: Any) -> int:
        raise ConnectionRefusedError("away")
