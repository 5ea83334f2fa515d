"""A shop's home: the folder with its database, files, keys and logs. Who may use it, and how it is emptied."""

import contextlib
import errno
import fcntl
import json
import os
import shutil
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

KIND = "home.json"
LOCK = "running.lock"


class CannotStartError(Exception):
    """It cannot start; the text says what happened, then what to do."""


@contextlib.contextmanager
def held(home: Path, kind: str, address: str) -> Iterator[None]:
    """Hold a home of one kind ("demo" or "shop") for as long as the block runs.

    Raises CannotStartError when another start holds it, it is of the other kind, or it holds other things.
    """
    before = os.umask(0o077)  # owners' names and addresses are nobody else's on this computer
    try:
        with _locked(home) as lock:
            _check_kind(home, kind)
            lock.truncate(0)
            lock.write(f"{address}, process {os.getpid()}")
            lock.flush()
            yield
            lock.truncate(0)
    finally:
        os.umask(before)


@contextlib.contextmanager
def held_new(home: Path) -> Iterator[None]:
    """Hold a home nobody has used yet for as long as the block runs; what it is gets noted by whoever fills it.

    Raises CannotStartError when it holds anything. A block that fails leaves it as empty as it was.
    """
    before = os.umask(0o077)
    try:
        with _locked(home):
            others = [path for path in home.iterdir() if path.name != LOCK]
            if others:
                raise CannotStartError(
                    f"{home} is in use: it holds {others[0].name}.\n"
                    "Nothing is put over an existing shop. Choose an empty or a new folder with --home."
                )
            try:
                yield
            except BaseException:
                _clear(home)
                raise
    finally:
        os.umask(before)


@contextlib.contextmanager
def _locked(home: Path) -> Iterator[TextIO]:
    try:
        home.mkdir(parents=True, exist_ok=True)
        lock = (home / LOCK).open("a+")
    except OSError as error:
        raise CannotStartError(
            f"Cannot write in {home}: {error.strerror}.\nChoose another folder with --home."
        ) from error
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            lock.seek(0)
            raise CannotStartError(
                f"It is already running from {home}: {lock.read().strip() or 'just starting'}.\n"
                "Stop it there first (Ctrl-C), or choose another folder with --home."
            ) from None
        yield lock


def _check_kind(home: Path, kind: str) -> None:
    found = kept(home).get("kind")
    others = [path for path in home.iterdir() if path.name != LOCK]
    if found is None and others:
        raise CannotStartError(
            f"{home} holds other things, such as {others[0].name}.\nChoose an empty or a new folder with --home."
        )
    if found is not None and found != kind:
        words = {"demo": "the sample shop", "shop": "a real shop"}
        raise CannotStartError(f"{home} is the home of {words[str(found)]}.\nChoose another folder with --home.")
    if found is None:
        keep(home, kind=kind)


def kept(home: Path) -> dict[str, object]:
    """What was noted about a home; empty for one never used."""
    try:
        noted = json.loads((home / KIND).read_text())
    except FileNotFoundError:
        return {}
    return dict(noted)


def keep(home: Path, **notes: object) -> None:
    """Add notes to what is kept about a home."""
    fresh = home / f".{KIND}"
    fresh.write_text(json.dumps({**kept(home), **notes}, indent=2) + "\n")
    fresh.replace(home / KIND)


def empty(home: Path) -> None:
    """Remove all a held sample shop has made, but not its lock."""
    _clear(home)
    keep(home, kind="demo")


def _clear(home: Path) -> None:
    for path in home.iterdir():
        if path.name == LOCK:
            continue
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink()


def logs(home: Path) -> Path:
    """The folder of the parts' logs."""
    folder = home / "log"
    folder.mkdir(exist_ok=True)
    return folder


def check_port(host: str, port: int) -> None:
    """Refuse a port that cannot be listened on. Raises CannotStartError."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, port))
        except PermissionError:
            raise CannotStartError(
                f"Port {port} is kept for the system.\nChoose one from 1024 up, for example --port {8000 if port == 80 else 8443}."
            ) from None
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                words = f"Port {port} on {host} is taken by another program.\nStop that, or choose another: --port {port + 1}"
            else:
                words = f"Cannot listen on {host}: {error.strerror}.\nChoose an address of this computer."
            raise CannotStartError(words) from None
