"""The mail server, as SMTP that can say afterwards whether a letter may be out although no answer came.

After the text of a letter is handed over and before the server's answer is read, nobody can know (RFC 5321 §4.5.3.2.6,
RFC 1047). Every other failure means that the letter is not out.
"""

import smtplib
from typing import Any

from django.core.mail.backends.smtp import EmailBackend


class _Watched(smtplib.SMTP):
    """Knows whether it is between handing over a letter and the server's answer."""

    handing = False

    def data(self, msg: Any) -> Any:
        self.handing = True
        try:
            answer = super().data(msg)
        except smtplib.SMTPDataError:
            self.handing = False  # refused before the text
            raise
        self.handing = False
        return answer


class _WatchedSSL(_Watched, smtplib.SMTP_SSL):
    """The same over TLS from the first byte."""


class PostBackend(EmailBackend):
    """Django's SMTP backend over a watched connection."""

    @property
    def connection_class(self) -> type[smtplib.SMTP]:
        return _WatchedSSL if self.use_ssl else _Watched
