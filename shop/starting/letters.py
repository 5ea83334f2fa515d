"""Reads the letters the sink has kept."""

import email
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from email.message import EmailMessage
from email.policy import default
from pathlib import Path

FOLDER = "letters"  # inside the home
NAME = re.compile(r"^\d{8}-\d{6}-\d{6}-[0-9a-f]{4}$")


@dataclass(frozen=True, slots=True)
class Enclosure:
    """Something sent along: its file name, kind and content."""

    name: str
    kind: str
    content: bytes

    @property
    def kilobytes(self) -> int:
        return max(1, round(len(self.content) / 1000))


@dataclass(frozen=True, slots=True)
class Letter:
    """One kept letter."""

    name: str
    at: datetime
    sender: str
    to: str
    subject: str
    text: str
    enclosures: tuple[Enclosure, ...]


def names(folder: Path) -> list[str]:
    """Names of all kept letters, the newest first."""
    if not folder.is_dir():
        return []
    return sorted((path.stem for path in folder.glob("*.eml") if NAME.match(path.stem)), reverse=True)


def read(folder: Path, name: str) -> Letter | None:
    """One letter, or None when there is none of that name."""
    if not NAME.match(name):
        return None
    try:
        raw = (folder / f"{name}.eml").read_bytes()
    except FileNotFoundError:
        return None
    message = email.message_from_bytes(raw, policy=default)
    assert isinstance(message, EmailMessage)  # noqa: S101
    body = message.get_body(("plain", "html"))
    return Letter(
        name=name,
        at=datetime.strptime(name[:15], "%Y%m%d-%H%M%S").replace(tzinfo=UTC),
        sender=str(message["From"] or ""),
        to=str(message["To"] or ""),
        subject=str(message["Subject"] or ""),
        text=body.get_content() if body else "",
        enclosures=tuple(_enclosure(part) for part in message.iter_attachments()),
    )


def _enclosure(part: EmailMessage) -> Enclosure:
    content = part.get_payload(decode=True)
    return Enclosure(
        part.get_filename() or "enclosure", part.get_content_type(), content if isinstance(content, bytes) else b""
    )
