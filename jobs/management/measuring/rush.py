"""Figure of the rush: forty phones at once on a real server, every move accounted for."""

import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from socket import create_server
from tempfile import TemporaryDirectory
from threading import Thread
from urllib.parse import urlsplit, urlunsplit

from django.conf import settings
from django.db import connection
from django.test import Client

from jobs.book.models import Entry, Followed, Job, Press
from jobs.book.stages import Stage
from jobs.management.measuring.figures import Figure
from jobs.management.measuring.phone import GIVEN_UP, Kept, Phone
from jobs.management.measuring.world import add_jobs
from jobs.moves.steps import MOVED
from shop.people.models import Person
from shop.people.roles import Role
from shop.starting.parts import Listening, environment, missing, web

PHONES = 40
JOBS = 60  # so that two phones now and then hold the same one
STARTED_WITHIN = 60.0


def rush(seconds: float) -> list[Figure]:
    """Forty phones scan and move about once a second each; then the book is held against what they were told."""
    jobs = add_jobs(JOBS, only=Stage.BEN)
    tags = [job.item.tags.get().code for job in jobs]
    sessions = [_session(number) for number in range(PHONES)]
    with TemporaryDirectory(prefix="shop-rush-") as home, _server(Path(home)) as port:
        phones = [Phone(port, session) for session in sessions]
        until = time.monotonic() + seconds
        running = [
            Thread(target=phone.work, args=(tags,), kwargs={"until": until, "chance": Random(number)})
            for number, phone in enumerate(phones)
        ]
        for thread in running:
            thread.start()
        for thread in running:
            thread.join()
    return _figures([phone.kept for phone in phones], seconds)


def _session(number: int) -> str:
    person = Person(username=f"phone-{number}", name=f"Phone {number}", role=Role.TECHNICIAN)
    person.set_unusable_password()
    person.save()
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client.cookies[settings.SESSION_COOKIE_NAME].value


@contextmanager
def _server(home: Path) -> Iterator[int]:
    """The shop's own server on the database of this measure, as `serve` starts it."""
    with create_server(("127.0.0.1", 0)) as free:
        port = int(free.getsockname()[1])
    (home / "static").mkdir()
    where = Listening("127.0.0.1", port)
    part = web(where, processes=1 if connection.vendor == "sqlite" else 2, threads=8)
    seen = environment(
        home,
        f"http://127.0.0.1:{port}",
        DATABASE_URL=_database(),
        SHOP_SECRET_KEY=settings.SECRET_KEY,
    )
    said = home / "server.log"  # kept apart from the figures; a phone that came second is no news here
    with said.open("wb") as out:
        server = subprocess.Popen(
            [sys.executable, "-m", *part.argv], env=seen, cwd=settings.ROOT, stdout=out, stderr=subprocess.STDOUT
        )
    try:
        end = time.monotonic() + STARTED_WITHIN
        while missing(where, where.host, web_only=True):
            if server.poll() is not None or time.monotonic() > end:
                raise RuntimeError(f"The server for the rush did not start:\n{said.read_text(errors='replace')}")
            time.sleep(0.1)
        yield port
    finally:
        server.terminate()
        try:
            server.wait(20)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def _database() -> str:
    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite":
        return f"sqlite:///{name}"
    return urlunsplit(urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}"))


def _figures(kept: list[Kept], seconds: float) -> list[Figure]:
    times = sorted(one for phone in kept for one in phone.seconds)
    slow = times[int(len(times) * 0.99)] if times else GIVEN_UP
    wrong = Counter(words for phone in kept for words in phone.wrong)
    told = sum(phone.told_later for phone in kept)
    missed = _unaccounted({key for phone in kept for key in phone.moved})
    asked = f"{len(times)} answers in {seconds:g} s, {told} told that another was first"
    return [
        Figure("rush", slow * 1000, "ms, 99 of 100 are quicker", asked, None, "≤ 1000 ms", slow <= 1),
        Figure("rush-errors", wrong.total(), "errors", _listed(wrong), None, "0", not wrong),
        Figure("rush-moves", missed, "lost or doubled", f"{Entry.objects.count()} moves", None, "0", missed == 0),
    ]


def _listed(wrong: Counter[str]) -> str:
    return (
        "; ".join(f"{count} × {words}" for words, count in wrong.most_common(3)) or "every answer was as it should be"
    )


def _unaccounted(told: set[str]) -> int:
    """Moves that were said to be done and are not in the book, or are there otherwise than once, or leave a gap."""
    pressed = {made["entry"]: key for key, made in Press.objects.filter(action="move").values_list("key", "made")}
    entries = list(Entry.objects.filter(action=MOVED).order_by("pk").values_list("pk", "job", "data"))
    wrong = len(told ^ set(pressed.values())) + len(pressed.keys() ^ {pk for pk, _, _ in entries})
    hung = {job: (str(Stage.BEN), 1) for _, job, _ in entries}
    for _, job, data in entries:
        stage, revision = hung[job]
        wrong += (data["from"], data["revision"]) != (stage, revision + 1)
        hung[job] = (data["to"], data["revision"])
    now = {pk: (stage, revision) for pk, stage, revision in Job.objects.values_list("pk", "stage", "revision")}
    wrong += sum(now[job] != at for job, at in hung.items())
    return wrong + abs(Followed.objects.filter(follower="updates").count() - len(entries))
