"""Figures of the pages: the rails, their poll, the scan, one move."""

from django.db import connection, transaction
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Entry, Followed, Job, Pulse
from jobs.book.stages import Stage
from jobs.management.measuring.figures import Figure, paired
from jobs.management.measuring.world import add_jobs, make_shop
from jobs.moves.steps import MOVED, move
from jobs.updates.models import Message

URLS = "jobs.management.measuring.urls"
HOST = "127.0.0.1"
ROUNDS = 60


def _client() -> Client:
    client = Client(SERVER_NAME=HOST)
    client.force_login(make_shop(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def _open(client: Client, address: str) -> None:
    answer = client.get(address, follow=True)
    if answer.status_code >= 400:
        raise RuntimeError(f"{address} answered {answer.status_code}")


def _queries(client: Client, address: str) -> int:
    _open(client, address)
    with CaptureQueriesContext(connection) as seen:
        _open(client, address)
    return len(seen)


def board() -> list[Figure]:
    """The full rails with 500 open jobs against the admin's list of the same."""
    with override_settings(ROOT_URLCONF=URLS):
        client, address = _client(), reverse("board:rails")
        add_jobs(50)
        few = _queries(client, address)
        add_jobs(450)
        ours, admin = paired(
            lambda: _open(client, address), lambda: _open(client, "/measure-admin/jobs/job/?all="), rounds=7
        )
        add_jobs(4500, closed=True)
        many = _queries(client, address)
    times = admin / ours
    return [
        Figure("board", ours * 1000, "ms", "admin list of the same 500 jobs", times, "≥ 3 × faster", times >= 3),
        Figure(
            "board-queries",
            many,
            "queries",
            "the same page with 50 jobs",
            many / few,
            "≤ 10, and the same at 50 and 5,000 jobs",
            many <= 10 and many == few,
        ),
    ]


def board_poll() -> list[Figure]:
    """“Anything new?” when nothing is, against an empty view that loads the signed-in user."""
    with override_settings(ROOT_URLCONF=URLS):
        client = _client()
        add_jobs(50)
        pulse, _ = Pulse.objects.get_or_create(pk=1)
        address = f"{reverse('board:pulse')}?seen={pulse.beats}"
        ours, empty = paired(lambda: _open(client, address), lambda: _open(client, "/measure-empty/"), rounds=200)
        more = _queries(client, address) - _queries(client, "/measure-empty/")
    return [
        Figure(
            "board-poll",
            ours * 1000,
            "ms",
            "an empty view with the signed-in user",
            ours / empty,
            "≤ 2 ×",
            ours <= 2 * empty,
        ),
        Figure("board-poll-queries", more, "queries more", "the same empty view", None, "≤ 1", more <= 1),
    ]


def scan() -> list[Figure]:
    """The page behind a scanned tag, redirects and all, against the same empty view."""
    with override_settings(ROOT_URLCONF=URLS):
        client = _client()
        job = next(job for job in add_jobs(50) if job.stage == Stage.BEN)
        address = f"/T/{job.item.tags.get().code}"
        ours, empty = paired(lambda: _open(client, address), lambda: _open(client, "/measure-empty/"), rounds=60)
        more = _queries(client, address) - _queries(client, "/measure-empty/")
    return [
        Figure(
            "scan",
            ours * 1000,
            "ms",
            "an empty view with the signed-in user",
            ours / empty,
            "≤ 15 ×",
            ours <= 15 * empty,
        ),
        Figure("scan-queries", more, "queries more", "the same empty view", None, "≤ 12", more <= 12),
    ]


def moves() -> list[Figure]:
    """One move with its entry and letter, committed, against a bare UPDATE committed the same way.

    Each job is hung on the bench once, from the queue: that is what every owner is told.
    """
    head = make_shop()
    jobs = add_jobs(ROUNDS + 10, only=Stage.QUE)
    waiting = iter(jobs)
    moved: list[int] = []

    def once() -> None:
        job = next(waiting)
        move(job.pk, Stage.BEN, by=head, at=timezone.now(), seen=1, key=f"measure-{job.number}", reason="measured")
        moved.append(job.pk)

    def bare() -> None:
        with transaction.atomic():
            Job.objects.filter(pk=jobs[-1].pk).update(stage_since=timezone.now())

    ours, plain = paired(once, bare, rounds=ROUNDS)
    with CaptureQueriesContext(connection) as seen:
        once()
    statements = len(seen)
    _all_written(moved)
    return [
        Figure(
            "move",
            ours * 1000,
            "ms",
            "one bare UPDATE committed the same way",
            ours / plain,
            "≤ 40 ×",
            ours <= 40 * plain,
        ),
        Figure("move-statements", statements, "statements", "one move", None, "≤ 25", statements <= 25),
    ]


def _all_written(moved: list[int]) -> None:
    """Refuse the figure unless every move left its entry, was followed, and told the owner."""
    wanted = sorted(moved)
    entries = Entry.objects.filter(action=MOVED, data__to=Stage.BEN)
    written = {
        "moves": Job.objects.filter(stage=Stage.BEN).values_list("pk"),
        "entries": entries.values_list("job"),
        "followed": Followed.objects.filter(entry__in=entries, follower="updates").values_list("entry__job"),
        "letters": Message.objects.filter(kind="stage-BEN", entry__in=entries).values_list("job"),
    }
    for name, rows in written.items():
        if sorted(pk for (pk,) in rows) != wanted:
            raise RuntimeError(f"Of {len(wanted)} measured moves there are {len(rows)} {name}.")
