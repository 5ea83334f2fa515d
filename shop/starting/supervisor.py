"""Starts the parts of the shop, keeps them going, and stops every one of them."""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
LOG_LIMIT = 5_000_000  # bytes; one older log is kept beside
LONGEST_WAIT = 30.0  # seconds between two starts of a part that keeps dying
LIVED = 60.0  # seconds after which a part counts as having run well
TICK = 0.1


def say_at_once(line: str) -> None:
    """Print a line, also where nobody reads it at a terminal."""
    print(line, flush=True)


@dataclass(frozen=True, slots=True)
class Part:
    """One process: a module with its arguments, and the open files it inherits."""

    name: str
    argv: tuple[str, ...]
    files: tuple[int, ...] = ()


@dataclass(slots=True)
class _Running:
    part: Part
    process: subprocess.Popen[bytes] | None = None
    started: float = 0.0
    failures: int = 0
    again_at: float = 0.0


@dataclass(slots=True)
class Supervisor:
    """Runs parts until it is told to stop.

    `environment` is what the parts see, `logs` the folder for what they say, `say` prints a line to the person who
    started it, `grace` the seconds a part has to end by itself.
    """

    parts: Sequence[Part]
    environment: Mapping[str, str]
    logs: Path
    say: Callable[[str], None] = say_at_once
    grace: float = 10.0
    _stops: int = field(default=0, init=False)
    _running: list[_Running] = field(default_factory=list, init=False)

    def run(self, *, look: Callable[[], str], ready: Callable[[], None], patience: float = 60.0) -> int:
        """Start all parts, call `ready` once `look` has nothing to complain of, and stay until a signal; 0 then.

        `look` answers "" when all is well, else what is missing, in words.
        """
        with self._listening():
            try:
                self._running = [_Running(part) for part in self.parts]
                for running in self._running:
                    self._start(running)
                self._keep_going(look, ready, time.monotonic() + patience)
            finally:
                self._stop_all()
        return 0

    def run_once(self, part: Part) -> int:
        """Run one part to its end, its words going to the terminal; its exit code, or 130 when told to stop."""
        with self._listening():
            process = _spawn(part, self.environment, self.grace, None)
            try:
                while not self._stops:
                    with contextlib.suppress(subprocess.TimeoutExpired):
                        return process.wait(TICK)
                return 130
            finally:
                _end([process], lambda: 0.0 if self._stops > 1 else self.grace)

    @contextlib.contextmanager
    def _listening(self) -> Iterator[None]:
        def stop(number: int, frame: FrameType | None) -> None:
            self._stops += 1

        before = {number: signal.signal(number, stop) for number in SIGNALS}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)

    def _start(self, running: _Running) -> None:
        log = self.logs / f"{running.part.name}.log"
        with log.open("ab") as out:
            running.process = _spawn(running.part, self.environment, self.grace, out.fileno())
        running.started = time.monotonic()

    def _keep_going(self, look: Callable[[], str], ready: Callable[[], None], tell_at: float) -> None:
        is_ready = False
        next_look = next_trim = 0.0
        while not self._stops:
            now = time.monotonic()
            for running in self._running:
                self._mend(running, now)
            if not is_ready and now >= next_look:
                missing = look()
                next_look = time.monotonic() + 0.3
                if not missing and not self._stops:
                    is_ready = True
                    ready()
                elif missing and now >= tell_at:
                    self._tell(f"Not ready yet: {missing}. The parts write into {self.logs}.")
                    tell_at = now + 30
            if now >= next_trim:
                next_trim = now + 60
                for running in self._running:
                    trim(self.logs / f"{running.part.name}.log")
            time.sleep(TICK)

    def _mend(self, running: _Running, now: float) -> None:
        """Start again what has ended, later each time it keeps ending."""
        if running.process is None:
            if now >= running.again_at:
                self._start(running)
            return
        code = running.process.poll()
        if code is None:
            return
        _end([running.process], lambda: 0.0)  # whatever it started itself
        running.process = None
        running.failures = 1 if now - running.started >= LIVED else running.failures + 1
        wait = min(LONGEST_WAIT, 2.0 ** (running.failures - 1))
        running.again_at = now + wait
        self._tell(f"{running.part.name} ended ({exit_words(code)}); it starts again in {wait:.0f} s.")
        for line in last_lines(self.logs / f"{running.part.name}.log"):
            self._tell(f"    {line}")

    def _stop_all(self) -> None:
        processes = [running.process for running in self._running if running.process is not None]
        if processes:
            self._tell("Stopping.")
        late = _end(processes, lambda: 0.0 if self._stops > 1 else self.grace)
        for running in self._running:
            if running.process in late:
                self._tell(f"{running.part.name} did not stop by itself within {self.grace:.0f} s and was ended.")
        if processes:
            self._tell("All stopped.")

    def _tell(self, line: str) -> None:
        with contextlib.suppress(OSError):  # the terminal may be gone; the parts still want stopping
            self.say(line)


def _spawn(part: Part, environment: Mapping[str, str], grace: float, out: int | None) -> subprocess.Popen[bytes]:
    """Start a part in a session of its own: Ctrl-C reaches the supervisor alone, and the whole session can be ended."""
    return subprocess.Popen(
        [sys.executable, "-m", "shop.starting.child", str(os.getpid()), str(grace), *part.argv],
        cwd=Path(__file__).resolve().parents[2],
        env=dict(environment),
        stdin=subprocess.PIPE,
        stdout=out,
        stderr=None if out is None else subprocess.STDOUT,
        pass_fds=part.files,
        start_new_session=True,
    )


def _end(processes: list[subprocess.Popen[bytes]], grace: Callable[[], float]) -> list[subprocess.Popen[bytes]]:
    """Ask each process to end, end those that do not, and their own children; those that had to be ended."""
    for process in processes:
        if process.poll() is None:
            process.terminate()
    begun = time.monotonic()
    while any(process.poll() is None for process in processes) and time.monotonic() - begun < grace():
        time.sleep(TICK / 2)
    late = [process for process in processes if process.poll() is None]
    for process in processes:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        if process.stdin:
            process.stdin.close()
    return late


def exit_words(code: int) -> str:
    """An exit code in words: "exit code 1", "killed by SIGKILL"."""
    if code >= 0:
        return f"exit code {code}"
    try:
        return f"killed by {signal.Signals(-code).name}"
    except ValueError:
        return f"killed by signal {-code}"


def last_lines(log: Path, count: int = 5) -> list[str]:
    """The end of a log, for the person at the terminal."""
    with log.open("rb") as source:
        source.seek(max(0, log.stat().st_size - 4000))
        return source.read().decode(errors="replace").splitlines()[-count:]


def trim(log: Path, limit: int = LOG_LIMIT) -> None:
    """Set a grown log aside. The part goes on writing at the start, since it appends."""
    if log.exists() and log.stat().st_size > limit:
        shutil.copyfile(log, log.with_suffix(".log.1"))
        os.truncate(log, 0)
