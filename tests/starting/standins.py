"""Tiny parts to supervise in tests: `python -m tests.starting.standins WHAT FOLDER`."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

from shop.starting.supervisor import Part, Supervisor

ME = "tests.starting.standins"


def stay(folder: Path) -> None:
    """Stay until asked to end."""
    (folder / f"stay-{os.getpid()}").touch()
    time.sleep(600)


def stubborn(folder: Path) -> None:
    """Stay when asked to end, with a child of the same kind."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    child = subprocess.Popen(
        [sys.executable, "-c", "import signal,time; signal.signal(signal.SIGTERM, signal.SIG_IGN); time.sleep(600)"]
    )
    (folder / f"child-{child.pid}").touch()
    (folder / f"stubborn-{os.getpid()}").touch()
    time.sleep(600)


def dying(folder: Path) -> None:
    """Say something and end."""
    (folder / f"dying-{os.getpid()}").touch()
    print("the cupboard is bare", flush=True)
    sys.exit(7)


def supervising(folder: Path) -> None:
    """A supervisor of one part that stays and one that is stubborn, for tests that end it from outside."""
    parts = [Part(name, (ME, name, str(folder))) for name in ("stay", "stubborn")]
    (folder / "log").mkdir()
    supervisor = Supervisor(parts, os.environ, folder / "log", grace=2.0)
    look_at = ["stay-*", "stubborn-*", "child-*"]
    sys.exit(
        supervisor.run(
            look=lambda: "" if all([*folder.glob(pattern)] for pattern in look_at) else "parts",
            ready=lambda: (folder / "ready").touch(),
        )
    )


if __name__ == "__main__":
    {"stay": stay, "stubborn": stubborn, "dying": dying, "supervising": supervising}[sys.argv[1]](Path(sys.argv[2]))
