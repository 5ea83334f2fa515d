"""What every test may use, and what is left out where a program or a server is missing."""

import os
import shutil
from collections import Counter
from typing import Any

import pytest
from django.db import connection
from hypothesis import settings

from tests.together import Together

# examples of a property test: some on every run, more with --hypothesis-profile=ci. How long one takes says nothing.
settings.register_profile("quick", max_examples=50, deadline=None)
settings.register_profile("ci", max_examples=200, deadline=None)
settings.load_profile("quick")

# marker → (what is wanted, how to have it)
WANTED = {
    "needs_chromium": ("Chromium", "install the package chromium, or set SHOP_CHROMIUM to the program"),
    "needs_poppler": ("poppler", "install the package poppler-utils"),
    "needs_certutil": ("certutil", "install the package libnss3-tools"),
    "needs_postgres": ("PostgreSQL", "set DATABASE_URL=postgres://… to run on it"),
    "needs_redis": ("Redis", "set REDIS_URL=redis://… to run on it"),
    "needs_sqlite": ("SQLite", "run without DATABASE_URL"),
}
# these have no meaning on the other database: they are left out of the run, and no fault of the machine
OTHER_RUN = {"needs_postgres", "needs_redis", "needs_sqlite"}
_left_out = pytest.StashKey[Counter[str]]()


@pytest.fixture(scope="session", autouse=True)
def _flush_past_the_trigger() -> None:
    # Tests that commit are cleaned up by deleting every row, which the entries' trigger refuses (TRUNCATE passes it).
    if connection.vendor != "sqlite":
        return
    operations = type(connection.ops)
    flush = operations.sql_flush
    guard = "CREATE TRIGGER entry_no_delete BEFORE DELETE ON jobs_entry BEGIN SELECT RAISE(ABORT, 'an entry is written once'); END"

    def sql_flush(*args: Any, **kwargs: Any) -> list[str]:
        statements = flush(*args, **kwargs)
        return ["DROP TRIGGER IF EXISTS entry_no_delete", *statements, guard] if statements else []

    operations.sql_flush = sql_flush  # type: ignore[method-assign]


def chromium() -> str | None:
    """Path of the Chromium to walk pages with, or None."""
    chosen = os.environ.get("SHOP_CHROMIUM")
    return chosen or shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


def _have(marker: str) -> bool:
    on_postgres = os.environ.get("DATABASE_URL", "").startswith("postgres")
    return {
        "needs_chromium": chromium() is not None,
        "needs_poppler": all(shutil.which(name) for name in ("pdftoppm", "pdftotext", "pdfsig")),
        "needs_certutil": shutil.which("certutil") is not None and shutil.which("openssl") is not None,
        "needs_postgres": on_postgres,
        "needs_redis": bool(os.environ.get("REDIS_URL")),
        "needs_sqlite": not on_postgres,
    }[marker]


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_left_out] = Counter()


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Together | None:
    """The suite's own way to share the work (`manage.py test`); None leaves it to pytest-xdist."""
    return Together(config, log) if config.getoption("dist") == "loadscope" else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    missing = {marker for marker in WANTED if not _have(marker)}
    stay: list[pytest.Item] = []
    gone: list[pytest.Item] = []
    for item in items:
        wants = {mark.name for mark in item.iter_markers()} & WANTED.keys()
        lacking = sorted(wants & missing)
        if not lacking:
            stay.append(item)
            continue
        config.stash[_left_out][lacking[0]] += 1
        if lacking[0] in OTHER_RUN:
            gone.append(item)
        else:
            stay.append(item)
            item.add_marker(pytest.mark.skip(reason=f"no {WANTED[lacking[0]][0]} on this machine"))
    if gone:
        config.hook.pytest_deselected(items=gone)
        items[:] = stay


def _skips_count(config: pytest.Config) -> bool:
    return os.environ.get("SHOP_NO_SKIPS") == "1" and not hasattr(config, "workerinput")


def pytest_sessionfinish(session: pytest.Session) -> None:
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if _skips_count(session.config) and reporter and reporter.stats.get("skipped") and session.exitstatus == 0:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    left_out = config.stash[_left_out]
    for marker, count in sorted(left_out.items()):
        wanted, how = WANTED[marker]
        tests = "1 test" if count == 1 else f"{count} tests"
        terminalreporter.write_line(
            f"Left out for want of {wanted}: {tests}. To run {'it' if count == 1 else 'them'}: {how}."
        )
    skipped = terminalreporter.stats.get("skipped", [])
    if skipped and _skips_count(config):
        terminalreporter.write_line(
            f"{len(skipped)} skipped, and nothing may be skipped here (SHOP_NO_SKIPS=1).", red=True
        )
