"""What a run leaves out is said in plain words, and may be forbidden."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from shop.starting.parts import ROOT

SOME_TESTS = """
import pytest
from django.conf import settings

def test_plain():
    assert "shop-test-" in str(settings.SHOP_HOME)

@pytest.mark.needs_chromium
def test_walks():
    pass

@pytest.mark.needs_poppler
def test_reads():
    pass

@pytest.mark.needs_poppler
@pytest.mark.needs_chromium
def test_walks_and_reads():
    pass

@pytest.mark.needs_postgres
def test_on_the_server():
    pass
"""


@pytest.fixture
def some_tests(tmp_path: Path) -> Path:
    (tmp_path / "test_some.py").write_text(SOME_TESTS)
    return tmp_path


def run(folder: Path, **environment: str) -> tuple[int, str]:
    """Run the sample tests under our rules; without any program on the path unless one is given."""
    inherited = {
        name: value for name, value in os.environ.items() if name not in {"DATABASE_URL", "REDIS_URL", "SHOP_CHROMIUM"}
    }
    found = subprocess.run(
        [sys.executable, "-m", "pytest", "-c", "pyproject.toml", "-p", "tests.conftest", "-q", str(folder)],
        cwd=ROOT,
        env={**inherited, "PATH": str(folder), "SHOP_NO_SKIPS": "", **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    return found.returncode, found.stdout


def give(folder: Path, *programs: str) -> None:
    for program in programs:
        (folder / program).write_text("#!/bin/sh\n")
        (folder / program).chmod(0o755)


def test_each_missing_program_is_named_with_what_it_costs_and_how_to_have_it(some_tests: Path) -> None:
    code, said = run(some_tests)
    assert code == 0
    assert "1 passed, 3 skipped, 1 deselected" in said
    assert "Left out for want of Chromium: 2 tests. To run them: install the package chromium" in said
    assert "Left out for want of poppler: 1 test. To run it: install the package poppler-utils" in said
    assert "Left out for want of PostgreSQL: 1 test. To run it: set DATABASE_URL" in said


def test_where_nothing_is_missing_nothing_is_left_out(some_tests: Path) -> None:
    give(some_tests, "chromium", "pdftoppm", "pdftotext", "pdfsig")
    code, said = run(some_tests, DATABASE_URL="postgres://nobody@127.0.0.1:1/nothing")
    assert code == 0
    assert "5 passed" in said
    assert "Left out" not in said


def test_a_skip_fails_a_run_that_may_leave_nothing_out(some_tests: Path) -> None:
    code, said = run(some_tests, SHOP_NO_SKIPS="1")
    assert code == 1
    assert "3 skipped, and nothing may be skipped here" in said


def test_no_environment_variable_puts_a_real_shop_in_the_place_of_the_tests_own(
    some_tests: Path, tmp_path: Path
) -> None:
    real = tmp_path / "real"
    code, said = run(some_tests, DJANGO_SETTINGS_MODULE="shop.settings", SHOP_HOME=str(real))
    assert "1 passed" in said
    assert code == 0
    assert not real.exists()


def test_tests_for_the_other_database_are_no_skips(some_tests: Path) -> None:
    give(some_tests, "chromium", "pdftoppm", "pdftotext", "pdfsig")
    code, said = run(some_tests, SHOP_NO_SKIPS="1")
    assert code == 0
    assert "4 passed, 1 deselected" in said
