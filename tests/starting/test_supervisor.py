"""The supervisor with tiny stand-in parts: it starts, mends and stops, and leaves nothing behind."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from shop.starting.parts import ROOT
from shop.starting.supervisor import Part, Supervisor, exit_words, last_lines, trim
from tests.starting.standins import ME


def wait_for(happened: Callable[[], object], seconds: float = 20) -> None:
    """Wait until something is so; fail when it does not come about."""
    until = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < until, "it did not come about in time"
        time.sleep(0.05)


def pids(folder: Path) -> list[int]:
    return [int(path.name.rpartition("-")[2]) for path in folder.glob("*-*")]


def alive(pid: int) -> bool:
    """Whether a process runs; one that ended but was not yet collected by its new parent does not."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    stat = Path(f"/proc/{pid}/stat")
    try:
        return not stat.exists() or stat.read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.fixture
def supervising(tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    """A supervisor in a process of its own, all its parts up."""
    command = [sys.executable, "-m", ME, "supervising", str(tmp_path)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
        try:
            wait_for((tmp_path / "ready").exists)
            assert len(pids(tmp_path)) == 3
            assert all(alive(pid) for pid in pids(tmp_path))
            yield process
        finally:
            process.kill()
            for pid in pids(tmp_path):
                if alive(pid):
                    os.kill(pid, signal.SIGKILL)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_told_to_stop_it_ends_every_part_and_says_which_would_not(
    supervising: subprocess.Popen[str], tmp_path: Path, number: signal.Signals
) -> None:
    supervising.send_signal(number)
    said, _ = supervising.communicate(timeout=20)
    assert supervising.returncode == 0
    assert not [pid for pid in pids(tmp_path) if alive(pid)]
    assert "stubborn did not stop by itself" in said
    assert "stay did not" not in said
    assert said.endswith("All stopped.\n")


def test_a_second_ctrl_c_does_not_wait(supervising: subprocess.Popen[str], tmp_path: Path) -> None:
    supervising.send_signal(signal.SIGINT)
    time.sleep(0.3)
    begun = time.monotonic()
    supervising.send_signal(signal.SIGINT)
    supervising.wait(timeout=20)
    assert time.monotonic() - begun < 1.2  # of the two seconds it would have given
    assert not [pid for pid in pids(tmp_path) if alive(pid)]


def test_when_the_supervisor_is_killed_no_part_outlives_it(supervising: subprocess.Popen[str], tmp_path: Path) -> None:
    supervising.kill()
    wait_for(lambda: not [pid for pid in pids(tmp_path) if alive(pid)])


def test_a_part_that_dies_is_started_again_later_each_time_and_that_is_said(tmp_path: Path) -> None:
    said: list[str] = []
    started = tmp_path / "parts"
    started.mkdir()
    supervisor = Supervisor([Part("dying", (ME, "dying", str(started)))], os.environ, tmp_path, say=said.append)

    def look() -> str:
        if len(pids(started)) >= 3:
            os.kill(os.getpid(), signal.SIGTERM)
        return "it keeps dying"

    begun = time.monotonic()
    assert supervisor.run(look=look, ready=lambda: said.append("ready")) == 0
    assert time.monotonic() - begun >= 3  # one second, then two
    assert [line for line in said if line.startswith("dying")][:2] == [
        "dying ended (exit code 7); it starts again in 1 s.",
        "dying ended (exit code 7); it starts again in 2 s.",
    ]
    assert "    the cupboard is bare" in said
    assert "ready" not in said


def test_what_is_missing_is_told_after_a_while(tmp_path: Path) -> None:
    said: list[str] = []
    supervisor = Supervisor([Part("stay", (ME, "stay", str(tmp_path)))], os.environ, tmp_path, say=said.append)
    looks: list[int] = []

    def look() -> str:
        looks.append(1)
        if len(looks) == 3:
            os.kill(os.getpid(), signal.SIGTERM)
        return "worker: no heartbeat"

    supervisor.run(look=look, ready=lambda: None, patience=0)
    assert [line for line in said if "Not ready yet: worker: no heartbeat" in line]


def test_a_part_run_once_gives_its_exit_code(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    supervisor = Supervisor([], os.environ, tmp_path)
    assert supervisor.run_once(Part("dying", (ME, "dying", str(tmp_path)))) == 7
    assert "the cupboard is bare" in capfd.readouterr().out


def test_the_handlers_of_signals_are_as_before_afterwards(tmp_path: Path) -> None:
    before = signal.getsignal(signal.SIGTERM)
    Supervisor([], os.environ, tmp_path).run_once(Part("dying", (ME, "dying", str(tmp_path))))
    assert signal.getsignal(signal.SIGTERM) is before


def test_exit_codes_have_words() -> None:
    assert exit_words(2) == "exit code 2"
    assert exit_words(-9) == "killed by SIGKILL"


def test_a_grown_log_is_set_aside_and_goes_on_at_the_start(tmp_path: Path) -> None:
    log = tmp_path / "web.log"
    with log.open("ab") as out:
        out.write(b"old line\n" * 100)
        out.flush()
        trim(log, limit=500)
        out.write(b"new line\n")
        out.flush()
        assert log.read_bytes() == b"new line\n"
    assert (tmp_path / "web.log.1").read_bytes() == b"old line\n" * 100
    assert last_lines(log) == ["new line"]
