"""Builds the project's own environment out of the pins, and goes on inside it. Standard library only."""

import contextlib
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

try:
    import fcntl
except ImportError:  # not a POSIX system; `enter` says so
    fcntl = None  # type: ignore[assignment]

# Megabytes each set takes when installed, measured, with room for the downloads.
ROOM = {"app": 700, "test": 1100}
NETWORK = (
    "name resolution",
    "getaddrinfo failed",
    "connection refused",
    "connection broken",
    "newconnectionerror",
    "network is unreachable",
    "no route to host",
    "timed out",
    "proxyerror",
    "sslerror",
    "could not find a version",
)


class CannotBuildError(Exception):
    """The environment cannot be made; the text says what happened, then what to do."""


def enter(root: Path, argv: list[str]) -> None:
    """Return at once inside an up-to-date `.venv`; else build it and replace this process by one inside it."""
    wanted = "test" if argv[1:2] == ["test"] else "app"
    try:
        if os.name != "posix":
            raise CannotBuildError("This runs on Linux and macOS. On Windows, start it inside WSL.")
        inside = Path(sys.prefix).resolve() == (root / ".venv").resolve()
        if inside and is_current(root, wanted):
            return
        make_current(root, wanted, inside=inside)
    except CannotBuildError as error:
        sys.exit(f"\n{error}")
    except KeyboardInterrupt:
        sys.exit("\nStopped before the environment was complete; the next start goes on with it.")
    sys.stdout.flush()
    python = environment_python(root)
    os.execv(python, [python, *argv])


def environment_python(root: Path) -> str:
    """The Python of the project's own environment."""
    return str(root / ".venv" / "bin" / "python")


def fingerprint(root: Path, wanted: str) -> str:
    """SHA-256 of the pins of `wanted` ("app" or "test")."""
    return hashlib.sha256((root / "shop" / "requirements" / f"{wanted}.txt").read_bytes()).hexdigest()


def is_current(root: Path, wanted: str) -> bool:
    """Whether `.venv` was completed from today's pins. The test pins hold all of the app's."""
    try:
        made_from = json.loads((root / ".venv" / "made-from.json").read_text())
    except (OSError, ValueError):
        return False
    return any(made_from.get(name) == fingerprint(root, name) for name in {wanted, "test"})


def make_current(root: Path, wanted: str, *, inside: bool = False) -> None:
    """Bring `.venv` up to the pins of `wanted`. A second start waits for the first and then finds nothing to do.

    Raises CannotBuildError with words for the person who started it.
    """
    with _alone(root):
        works = inside or _works(root)
        if works and is_current(root, wanted):
            return
        _check_room(root, wanted)
        # No record means a build that never finished. Inside, the environment cannot be cleared under our own feet.
        if not inside and not (works and (root / ".venv" / "made-from.json").exists()):
            _new_environment(root)
        _install(root, wanted)


@contextlib.contextmanager
def _alone(root: Path) -> Iterator[None]:
    """Hold the build lock, which the system lets go if we die."""
    try:
        lock = (root / ".venv.lock").open("a")
    except OSError as error:
        raise CannotBuildError(
            f"Cannot write in {root}: {error.strerror}.\nPut the project where you may write, then start again."
        ) from error
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            print("Another start is building the environment; waiting for it.", flush=True)
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _works(root: Path) -> bool:
    """Whether the environment's Python runs and finds Django (it does not after the system's Python was replaced)."""
    try:
        found = subprocess.run([environment_python(root), "-c", "import django"], capture_output=True, check=False)
    except OSError:
        return False
    return found.returncode == 0


def _check_room(root: Path, wanted: str) -> None:
    free = shutil.disk_usage(root).free // 1_000_000
    if free < ROOM[wanted]:
        raise CannotBuildError(_disk_full(root, wanted))


def _disk_full(root: Path, wanted: str) -> str:
    free = shutil.disk_usage(root).free // 1_000_000
    return (
        f"The disk is full: the environment takes up to {ROOM[wanted]} MB and {free} MB are free in {root}.\n"
        "Make room, then start again."
    )


def _new_environment(root: Path) -> None:
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    missing = (
        f"This Python ({sys.executable}, {version}) cannot make an environment: its venv part is not installed.\n"
        "Install it, then start again:\n"
        f"    Debian, Ubuntu:   apt install python{version}-venv\n"
        "    Fedora, openSUSE: the package python3-pip\n"
        "    elsewhere:        a complete Python, with venv and ensurepip"
    )
    if not (importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")):
        raise CannotBuildError(missing)
    print("Making the project's own environment in .venv.", flush=True)
    made = subprocess.run(
        [sys.executable, "-m", "venv", "--clear", str(root / ".venv")],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if made.returncode == 0:
        return
    if "No space left" in made.stdout:
        raise CannotBuildError(_disk_full(root, "app"))
    if "ensurepip" in made.stdout:
        raise CannotBuildError(missing)
    raise CannotBuildError(f"{_last_lines(made.stdout)}\nThe environment could not be made in {root / '.venv'}.")


def _install(root: Path, wanted: str) -> None:
    pins = root / "shop" / "requirements" / f"{wanted}.txt"
    record = root / ".venv" / "made-from.json"
    mark = fingerprint(root, wanted)
    before = record.read_text() if record.exists() else None
    record.unlink(missing_ok=True)
    code, output = _pip(root, pins)
    if code:
        # Everything is fetched before anything is changed: a failed download leaves the environment as it was.
        if before is not None and "Installing collected packages" not in output:
            _write(record, before)
        raise CannotBuildError(f"{_last_lines(output)}\n\n{_why_not(root, wanted, output)}")
    _write(record, json.dumps({wanted: mark}))


def _write(path: Path, text: str) -> None:
    fresh = path.with_suffix(f".{os.getpid()}")
    fresh.write_text(text)
    fresh.replace(path)


def _pip(root: Path, pins: Path) -> tuple[int, str]:
    """Run pip on the pins; its exit code and all it said. Shows how far it is when somebody is looking."""
    count = sum("==" in line for line in pins.read_text().splitlines())
    print(f"Installing {count} packages into .venv (the first time takes a minute or two).", flush=True)
    words = ["--disable-pip-version-check", "--no-input", "--progress-bar", "off", "--require-hashes"]
    said: list[str] = []
    with subprocess.Popen(
        [environment_python(root), "-m", "pip", "install", *words, "--requirement", str(pins)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PIP_USER": "0"},
    ) as pip:
        assert pip.stdout is not None  # noqa: S101
        for line in pip.stdout:
            said.append(line)
            if sys.stdout.isatty() and line.startswith(("Collecting", "Installing collected")):
                fetched = sum(each.startswith("Collecting") for each in said)
                step = f"fetching, {fetched} so far" if line.startswith("Collecting") else "putting them in place"
                print(f"\r    {step:<40}", end="" if line.startswith("Collecting") else "\n", flush=True)
    return pip.returncode, "".join(said)


def _why_not(root: Path, wanted: str, output: str) -> str:
    low = output.lower()
    if "no space left" in low:
        return _disk_full(root, wanted)
    if "do not match the hashes" in low:
        return (
            "A package that came down is not the one that was pinned, so it was not installed.\n"
            "Start again; if it happens again, ask whoever looks after your network or package mirror."
        )
    if any(sign in low for sign in NETWORK):
        return (
            "The packages could not be downloaded. Look at the network connection (and the proxy, if you use one),\n"
            "then start again: what has come down already is kept."
        )
    return "The packages could not be installed; the lines above are the installer's own words. Then start again."


def _last_lines(output: str, count: int = 12) -> str:
    return "\n".join(output.strip().splitlines()[-count:])
