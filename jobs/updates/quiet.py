"""Letters of past times: stored as told, never sent."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_quiet: ContextVar[bool] = ContextVar("letters_stay_here", default=False)


@contextmanager
def quiet() -> Iterator[None]:
    """Within it every letter is kept as told at the moment of its entry, and no mail goes out.

    Commit inside it: letters are written right after the commit of the step that asks for them.
    """
    before = _quiet.set(True)
    try:
        yield
    finally:
        _quiet.reset(before)


def is_quiet() -> bool:
    """Whether letters stay here."""
    return _quiet.get()
