"""A real shop for a journey: `serve` with web, workers and beat, on the database and broker of this test run."""

import json
import os
import secrets
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

ROOT = Path(__file__).resolve().parents[2]
PASSWORD = "soft-cord-on-varnish"
STAFF = (
    ("tobiah", "Tobiah Wrenfield", "luthier", 3, "2222"),
    ("jorin", "Jorin Pellwick", "technician", 2, "4444"),
    ("maris", "Maris Quillby", "desk", 0, "5555"),
)


class Letterbox:
    """A real SMTP server on loopback that keeps what it is given."""

    def __init__(self) -> None:
        self.letters: list[EmailMessage] = []
        self._controller = Controller(self, hostname="127.0.0.1", port=0)

    async def handle_DATA(self, _server: SMTP, _session: Session, envelope: Envelope) -> str:  # noqa: N802 - aiosmtpd's name
        letter = message_from_bytes(envelope.original_content or b"", policy=policy.default)
        letter["X-Delivered-To"] = ", ".join(envelope.rcpt_tos)
        self.letters.append(letter)
        return "250 kept"

    def __enter__(self) -> "Letterbox":
        self._controller.port = free_port()
        self._controller.start()
        return self

    def __exit__(self, *_exception: object) -> None:
        self._controller.stop()

    @property
    def port(self) -> int:
        return self._controller.port

    def wait(self, to: str, words: str, *, seconds: float = 40) -> EmailMessage:
        """The first letter to someone whose subject or text holds the words."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            for letter in self.letters:
                if to in letter["X-Delivered-To"] and words in f"{letter['Subject']}\n{text_of(letter)}":
                    return letter
            time.sleep(0.2)
        seen = [(letter["X-Delivered-To"], letter["Subject"]) for letter in self.letters]
        raise AssertionError(f"No letter to {to} with “{words}”; there were {seen}")


def text_of(letter: EmailMessage) -> str:
    """The plain text of a letter."""
    body = letter.get_body(("plain",))
    return str(body.get_content()) if body is not None else ""


def attachments(letter: EmailMessage) -> list[tuple[str, bytes]]:
    """Names and bytes of what came with a letter."""
    return [(part.get_filename() or "", part.get_payload(decode=True)) for part in letter.iter_attachments()]  # type: ignore[misc]


def free_port() -> int:
    """A loopback port nobody listens on just now."""
    with socket.create_server(("127.0.0.1", 0)) as made:
        return int(made.getsockname()[1])


@dataclass
class RealShop:
    """A running shop and its environment."""

    address: str
    home: Path
    environment: dict[str, str]
    letters: Letterbox
    process: subprocess.Popen[bytes]
    extra: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def manage(self, *words: str, code: int = 0) -> str:
        """Run a command of the shop; its output. Fails when it ends otherwise than asked."""
        done = subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        assert done.returncode == code, done.stdout + done.stderr
        return done.stdout + done.stderr

    def python(self, script: str) -> str:
        """Run a few lines inside the shop, as its keeper would in a shell."""
        return self.manage("shell", "--no-imports", "-c", script)

    def children(self, words: str) -> list[int]:
        """Process ids below the supervisor whose command line holds the words."""
        found = []
        for line in subprocess.run(
            ["ps", "-ww", "-eo", "pid=,ppid=,args="], capture_output=True, text=True, check=True
        ).stdout.splitlines():
            pid, parent, command = line.split(None, 2)
            if words in command and int(parent) == self.process.pid:
                found.append(int(pid))
        return found

    def kill(self, words: str) -> None:
        """Kill a part of the shop as a power cut would; the supervisor starts it again."""
        pids = self.children(words)
        assert pids, f"No part with “{words}” is running"
        for pid in pids:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)


@contextmanager
def database(base: str) -> Iterator[str]:
    """A database of its own on the PostgreSQL of this run, "" for SQLite."""
    if not base.startswith("postgres"):
        yield ""
        return
    parts = urlsplit(base)
    name = f"shop_journey_{secrets.token_hex(4)}"
    with psycopg.connect(urlunsplit(parts), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')  # type: ignore[arg-type, unused-ignore]
        try:
            yield urlunsplit(parts._replace(path=f"/{name}"))
        finally:
            connection.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')  # type: ignore[arg-type, unused-ignore]


@contextmanager
def real_shop(home: Path, **more: str) -> Iterator[RealShop]:
    """Start `serve` from environment variables alone, with a letterbox; stop it cleanly."""
    port = free_port()
    with Letterbox() as letters, database(os.environ.get("DATABASE_URL", "")) as url:
        environment = {
            **{
                name: value for name, value in os.environ.items() if name not in {"DJANGO_SETTINGS_MODULE", "SHOP_HOME"}
            },
            "SHOP_HOME": str(home),
            "SHOP_NAME": "Marrowfen Strings Workshop",
            "SHOP_ADDRESS": "3 Tannery Yard;Ostlemere",
            "SHOP_TELEPHONE": "+44 20 7946 0123",
            "SHOP_COUNTRY": "GB",
            "SHOP_CURRENCY": "EUR",
            "SHOP_TIME_ZONE": "Europe/London",
            "SHOP_FIRST_PERSON": "Ottilie Brackenshaw",
            "SHOP_FIRST_USERNAME": "ottilie",
            "SHOP_FIRST_PASSWORD": PASSWORD,
            "SHOP_FIRST_PIN": "1111",
            "SHOP_PORT": str(port),
            "SHOP_LETTER_GRACE": "0",
            "SHOP_MAIL_FROM": "Marrowfen Strings <workshop@marrowfen.example>",
            "SMTP_HOST": "127.0.0.1",
            "SMTP_PORT": str(letters.port),
            **({"DATABASE_URL": url} if url else {}),
            **more,
        }
        log = home.with_suffix(".log")
        with log.open("wb") as out:
            process = subprocess.Popen(
                [sys.executable, "manage.py", "serve"],
                cwd=ROOT,
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.STDOUT,
            )
        scheme = "https" if more.get("SHOP_CERTIFICATE") == "own" else "http"
        shop = RealShop(f"{scheme}://127.0.0.1:{port}", home, environment, letters, process)
        try:
            _wait_until_up(shop, log)
            _hire(shop)
            yield shop
        finally:
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(30)
            except subprocess.TimeoutExpired:
                process.kill()
                raise


def _wait_until_up(shop: RealShop, log: Path, seconds: float = 90) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if shop.process.poll() is not None:
            raise AssertionError(f"The shop ended by itself:\n{log.read_text()}")
        if _healthy(shop.address):
            return
        time.sleep(0.3)
    raise AssertionError(f"The shop did not come up:\n{log.read_text()}")


def _healthy(address: str) -> bool:
    parts = urlsplit(address)
    connection = HTTPConnection(parts.hostname or "", parts.port, timeout=5)
    if parts.scheme == "https":  # only asked whether it is up; whether it is trusted is its own test
        unasked = ssl._create_unverified_context()  # noqa: S323
        connection = HTTPSConnection(parts.hostname or "", parts.port, timeout=5, context=unasked)
    with suppress(OSError, HTTPException), closing(connection):
        connection.request("GET", "/healthz")
        return connection.getresponse().status == 200
    return False


def _hire(shop: RealShop) -> None:
    shop.python(
        "import json\n"
        "from shop.people.models import Person\n"
        f"for username, name, role, skill, pin in json.loads({json.dumps(json.dumps(STAFF))}):\n"
        "    person = Person(username=username, name=name, role=role, skill=skill)\n"
        f"    person.set_password({PASSWORD!r})\n"
        "    person.set_pin(pin)\n"
        "    person.save()\n"
    )
