"""Runs one module as `python -m` would, and ends it when the supervisor is gone.

    python -m shop.starting.child SUPERVISOR_PID GRACE_SECONDS MODULE [ARGUMENT …]

The supervisor holds the other end of our standard input and never writes to it: when that end closes, for whatever
reason, the supervisor is no more. Linux tells us besides by a signal.
"""

import contextlib
import ctypes
import os
import runpy
import signal
import sys
import threading
import time

PR_SET_PDEATHSIG = 1  # prctl(2)


def main(argv: list[str]) -> None:
    """Take the place of MODULE, watched."""
    supervisor, grace, module = int(argv[1]), float(argv[2]), argv[3]
    if sys.platform == "linux":
        with contextlib.suppress(OSError, AttributeError):
            ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
    if os.getppid() != supervisor:  # gone before we could ask to be told
        sys.exit(1)
    threading.Thread(target=_end_with_supervisor, args=(grace,), daemon=True, name="lifeline").start()
    sys.argv = [module, *argv[4:]]
    runpy.run_module(module, run_name="__main__", alter_sys=True)


def _end_with_supervisor(grace: float) -> None:
    while os.read(0, 64):
        pass
    os.kill(os.getpid(), signal.SIGTERM)
    time.sleep(grace)
    if os.getpgrp() == os.getpid():
        os.killpg(0, signal.SIGKILL)
    os.kill(os.getpid(), signal.SIGKILL)


if __name__ == "__main__":
    main(sys.argv)
