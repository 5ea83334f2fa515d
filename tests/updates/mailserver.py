"""A real mail server on loopback that can be told to refuse, to hang and to hang up."""

import asyncio
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email.message import EmailMessage
from email.parser import BytesParser
from email.policy import default

from aiosmtpd.smtp import SMTP, Envelope, Session


@dataclass
class Handler:
    """`rcpt` and `data` are the answers given; `hang` and `cut` name the command that is never answered, or cut off."""

    rcpt: str = "250 OK"
    data: str = "250 Kept"
    hang: str = ""
    cut: str = ""
    taken: list[EmailMessage] = field(default_factory=list)
    tried: list[str] = field(default_factory=list)
    connections: int = 0

    async def _stop_here(self, server: SMTP, command: str) -> None:
        if self.cut == command:
            _hang_up(server)
        if command in (self.hang, self.cut):
            await asyncio.sleep(30)

    async def handle_EHLO(  # noqa: N802 - the name the server looks for
        self, server: SMTP, session: Session, envelope: Envelope, hostname: str, responses: list[str]
    ) -> list[str]:
        self.connections += 1
        session.host_name = hostname
        return responses

    async def handle_RCPT(  # noqa: N802 - the name the server looks for
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        self.tried.append(address)
        await self._stop_here(server, "RCPT")
        if self.rcpt.startswith("250"):
            envelope.rcpt_tos.append(address)
        return self.rcpt

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802 - as above
        content = envelope.content
        assert isinstance(content, bytes)
        if self.data.startswith("250"):
            parsed = BytesParser(policy=default).parsebytes(content)
            assert isinstance(parsed, EmailMessage)
            self.taken.append(parsed)
        await self._stop_here(server, "DATA")
        return self.data


def _hang_up(talk: SMTP) -> None:
    if isinstance(talk.transport, asyncio.WriteTransport):
        talk.transport.abort()


@contextmanager
def mail_server(**ways: str) -> Iterator[tuple[Handler, int]]:
    """Run it in a thread on a free port; gives the handler and the port."""
    handler = Handler(**ways)  # type: ignore[arg-type]
    listener = socket.create_server(("127.0.0.1", 0))
    port = listener.getsockname()[1]
    stop: list[Callable[[], object]] = []
    up = threading.Event()

    async def serve() -> None:
        loop, ended = asyncio.get_running_loop(), asyncio.Event()
        talks: list[SMTP] = []

        def talk() -> SMTP:
            talks.append(SMTP(handler, hostname="localhost", enable_SMTPUTF8=True, loop=loop))
            return talks[-1]

        server = await loop.create_server(talk, sock=listener)
        stop.append(lambda: loop.call_soon_threadsafe(ended.set))
        up.set()
        await ended.wait()
        server.close()
        for one in talks:
            _hang_up(one)
        await asyncio.sleep(0.05)

    thread = threading.Thread(target=lambda: asyncio.run(serve()), daemon=True)
    thread.start()
    assert up.wait(5)
    try:
        yield handler, port
    finally:
        stop[0]()
        thread.join(5)
