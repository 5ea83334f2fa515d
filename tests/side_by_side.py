"""Several threads at the same moment, each with its own connection to one real database."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Barrier, Thread

from django.db import connection, connections

Opener = Callable[[], None]


@contextmanager
def on_a_file(path: Path) -> Iterator[Opener]:
    """Move the test's database into a file on SQLite, and give the call that opens it in a thread.

    On PostgreSQL every thread has its own connection anyway, and nothing is done.
    """

    def open_file() -> None:
        if connection.vendor != "sqlite":
            return
        fresh = connections.create_connection("default")
        fresh.settings_dict = {**fresh.settings_dict, "NAME": str(path)}
        connections["default"] = fresh

    before = connections["default"]
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(path)])
    open_file()
    yield open_file
    if connection.vendor == "sqlite":
        connection.close()
        connections["default"] = before


def together(open_file: Opener, *tries: Callable[[], object], told: tuple[type[Exception], ...] = ()) -> list[object]:
    """Start every try at the same moment, each in its own thread; their results, or the exceptions named in `told`."""
    gate, results = Barrier(len(tries)), [None] * len(tries)  # type: tuple[Barrier, list[object]]

    def run(place: int, one: Callable[[], object]) -> None:
        open_file()
        gate.wait()
        try:
            results[place] = one()
        except told as said:
            results[place] = said
        finally:
            connection.close()

    threads = [Thread(target=run, args=(place, one)) for place, one in enumerate(tries)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    return results
