"""A mail server for the sample shop: takes every letter, sends none, keeps each as a file.

python -m shop.starting.sink FOLDER LISTENING_SOCKET
"""

import asyncio
import secrets
import signal
import socket
import sys
from datetime import UTC, datetime
from pathlib import Path

from aiosmtpd.smtp import SMTP, Envelope, Session


class Sink:
    """Keeps each letter whole, in one step, under a name that sorts by time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        """Called by the mail server once a letter has come in whole."""
        content = envelope.content or b""
        if isinstance(content, str):
            content = content.encode()
        name = f"{datetime.now(UTC):%Y%m%d-%H%M%S-%f}-{secrets.token_hex(2)}"
        fresh = self.folder / f".{name}"
        fresh.write_bytes(content)
        fresh.rename(self.folder / f"{name}.eml")
        return "250 Kept"


async def serve(folder: Path, listener: socket.socket) -> None:
    """Take letters until told to stop."""
    loop = asyncio.get_running_loop()
    stop = asyncio.Event()
    loop.add_signal_handler(signal.SIGTERM, stop.set)
    sink = Sink(folder)
    server = await loop.create_server(
        lambda: SMTP(sink, hostname="localhost", enable_SMTPUTF8=True, data_size_limit=60_000_000), sock=listener
    )
    await stop.wait()
    server.close()


if __name__ == "__main__":
    asyncio.run(serve(Path(sys.argv[1]), socket.socket(fileno=int(sys.argv[2]))))
