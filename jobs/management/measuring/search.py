"""The figure of the box that finds anything: time, queries and the database's own plan, over a crowded book."""

import sys

from django.db import connection
from django.test import override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.index.asking import question
from jobs.index.needle import read
from jobs.management.measuring.crowd import add_crowd
from jobs.management.measuring.figures import Figure, paired
from jobs.management.measuring.pages import URLS, _client, _open

ITEMS, JOBS = 10_000, 30_000
MOST_QUERIES, MOST_TIMES = 6, 20
NEEDLES = {
    "one letter": "a",
    "a word of half the book": "violin",
    "job number": "26-0012",
    "end of a telephone": "4600",
    "letters of a tag": "7K2",
    "two words": "anna cello",
    "two words of half the book": "violin 4/4",
    "nothing": "zzyzx",
}


def search() -> list[Figure]:
    """Each needle against an empty view that loads the signed-in user; its queries; the plan, printed and held to its index."""
    with override_settings(ROOT_URLCONF=URLS):
        client = _client()
        add_crowd(ITEMS, JOBS)
        figures = [figure for what, typed in NEEDLES.items() for figure in _of(client, what, typed)]
    unindexed = [what for what, typed in NEEDLES.items() if not by_index(plan(typed))]
    print(f"\nPlan of “{NEEDLES['two words']}”:", *plan(NEEDLES["two words"]), sep="\n  ", file=sys.stderr)
    figures.append(
        Figure("search-plan", len(unindexed), "needles", "without the index of words", None, "0", not unindexed)
    )
    return figures


def _of(client: object, what: str, typed: str) -> list[Figure]:
    asked = {"q": typed}
    head = {"HTTP_HX_REQUEST": "true"}

    def ask() -> None:
        answer = client.get(reverse("register:find"), asked, **head)  # type: ignore[attr-defined]
        if answer.status_code != 200:
            raise RuntimeError(f"find answered {answer.status_code}")

    ask()
    with CaptureQueriesContext(connection) as seen:
        ask()
    queries = len(seen)  # counted at once: the next request forgets them
    ours, empty = paired(ask, lambda: _open(client, "/measure-empty/"), rounds=15)  # type: ignore[arg-type]
    return [
        Figure(
            f"search, {what}",
            ours * 1000,
            "ms",
            "an empty view with the signed-in user",
            ours / empty,
            f"≤ {MOST_TIMES} ×",
            ours <= MOST_TIMES * empty,
        ),
        Figure(
            f"search-queries, {what}", queries, "queries", "one keystroke", None, f"≤ {MOST_QUERIES}",
            0 < queries <= MOST_QUERIES,
        ),
    ]  # fmt: skip


def plan(typed: str) -> list[str]:
    """How the database goes about it: EXPLAIN QUERY PLAN of SQLite, EXPLAIN of PostgreSQL."""
    sql, values = question(read(typed), reach=True)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"EXPLAIN QUERY PLAN {sql}", values)
            return [row[3] for row in cursor.fetchall()]
        cursor.execute(f"EXPLAIN {sql}", values)
        return [row[0] for row in cursor.fetchall()]


def by_index(steps: list[str]) -> bool:
    """Whether the words are reached by their indexes alone, and no table is read from end to end."""
    read_whole = [step for step in steps if "Seq Scan" in step or step.strip().startswith("SCAN jobs_")]
    return any("index_by_words" in step for step in steps) and not read_whole
