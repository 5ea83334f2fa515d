"""What became of handing a letter to the mail server, in words, and when to try again."""

import logging
import smtplib
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core.mail import EmailMessage, get_connection

log = logging.getLogger(__name__)
WAITS = (
    timedelta(minutes=1),
    timedelta(minutes=5),
    timedelta(minutes=15),
    timedelta(hours=1),
    timedelta(hours=4),
)
PER_CONNECTION = 50
HANGS_UP = 421  # RFC 5321 §3.8: the server closes the line after this answer


@dataclass(frozen=True, slots=True)
class Outcome:
    """`sent`, `later` (not out, try again), `failed` (not out, never will be), `perhaps` (nobody can know)."""

    state: str
    words: str = ""


SENT = Outcome("sent")


def next_try(tries: int, at: datetime) -> datetime | None:
    """When to try again after so many tries; None when that was the last."""
    return at + WAITS[tries - 1] if 1 <= tries <= len(WAITS) else None


def _answer(code: int, words: bytes | str) -> str:
    text = words.decode(errors="replace") if isinstance(words, bytes) else words
    return f"{code} {' '.join(text.split())}".strip()


def outcome_of(fault: Exception, *, handing: bool) -> Outcome:
    """What a failure means. `handing`: it came between handing the text over and the server's answer."""
    if isinstance(fault, smtplib.SMTPRecipientsRefused):
        code, words = next(iter(fault.recipients.values()))
        return _refused("The mail server does not take the address", code, words)
    if isinstance(fault, smtplib.SMTPAuthenticationError):
        said = _answer(fault.smtp_code, fault.smtp_error)
        return Outcome("later", f"The mail server does not take our name and password: {said}")
    if isinstance(fault, smtplib.SMTPResponseException):
        return _refused("The mail server refused the letter", fault.smtp_code, fault.smtp_error)
    if isinstance(fault, smtplib.SMTPNotSupportedError):
        return Outcome("failed", f"The mail server cannot write to this address: {fault}")
    if handing:
        return Outcome(
            "perhaps",
            f"The mail server had the letter but did not answer ({_short(fault)}). "
            "It may have arrived: ask before sending again.",
        )
    if isinstance(fault, smtplib.SMTPException | OSError):
        return Outcome("later", f"The mail server cannot be reached: {_short(fault)}")
    return Outcome("failed", f"The letter could not be made up: {_short(fault)}")


def _refused(what: str, code: int, words: bytes | str) -> Outcome:
    return Outcome("failed" if 500 <= code < 600 else "later", f"{what}: {_answer(code, words)}")


def _short(fault: Exception) -> str:
    return str(fault) or type(fault).__name__


class Post:
    """One connection to the mail server, opened on need, renewed after fifty letters."""

    def __init__(self) -> None:
        self._line: Any = None
        self._used = 0

    def open(self) -> Outcome | None:
        """Open the connection, or say why it cannot be."""
        if self._line is not None:
            return None
        line = get_connection(fail_silently=False)
        try:
            line.open()
        except (smtplib.SMTPException, OSError) as fault:
            return Outcome("later", outcome_of(fault, handing=False).words)
        self._line, self._used = line, 0
        return None

    def close(self) -> None:
        """Close it. What goes wrong here changes nothing: every letter has been answered for."""
        line, self._line = self._line, None
        if line is not None:
            try:
                line.close()
            except (smtplib.SMTPException, OSError) as fault:
                log.info("The mail server did not say goodbye: %s", fault)

    def hand_over(self, letter: EmailMessage) -> Outcome:
        """Hand one letter over and hear the server's answer."""
        if self._used >= PER_CONNECTION:
            self.close()
        fresh = self._line is None or self._used == 0
        away = self.open()
        if away is not None:
            return away
        outcome, gone = self._once(letter)
        if gone and not fresh and outcome.state == "later":
            # a server may hang up on an idle line: that says nothing about this letter
            return self.open() or self._once(letter)[0]
        return outcome

    def _once(self, letter: EmailMessage) -> tuple[Outcome, bool]:
        """The outcome, and whether the line is gone."""
        try:
            taken = self._line.send_messages([letter])
        except (smtplib.SMTPException, OSError, ValueError) as fault:
            handing = bool(getattr(getattr(self._line, "connection", None), "handing", False))
            log.warning("Letter %s: %s: %s", letter.extra_headers.get("Message-ID"), type(fault).__name__, fault)
            gone = not isinstance(fault, smtplib.SMTPResponseException | smtplib.SMTPRecipientsRefused)
            if gone or getattr(fault, "smtp_code", 0) == HANGS_UP:
                self.close()
            return outcome_of(fault, handing=handing), gone
        if not taken:
            return Outcome("failed", "There is no address to send it to."), False
        self._used += 1
        return SENT, False
