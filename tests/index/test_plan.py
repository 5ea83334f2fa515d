"""How the database goes about finding: by its indexes, never through all words."""

import pytest

from jobs.index.steps import fill
from jobs.management.measuring import search
from tests import factory

pytestmark = [pytest.mark.django_db, pytest.mark.needs_sqlite]  # PostgreSQL reads a table this small whole, and rightly


@pytest.mark.parametrize("typed", list(search.NEEDLES.values()))
def test_words_are_reached_by_their_indexes(typed: str) -> None:
    factory.job(owner=factory.party("Anna Ashford"))
    fill()
    steps = search.plan(typed)
    assert search.by_index(steps), steps
    assert not [step for step in steps if "jobs_indexword_1" in step and "(of=? AND kind=? AND word" not in step]


def test_a_table_read_whole_is_no_index() -> None:
    assert not search.by_index(["SEARCH w USING COVERING INDEX index_by_words", "SCAN jobs_indexword"])
    assert not search.by_index(["Index Only Scan using index_by_words", "  ->  Seq Scan on jobs_indexword a"])
    assert not search.by_index([])


def test_a_keystroke_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "ITEMS", 30)
    monkeypatch.setattr(search, "JOBS", 60)
    figures = {figure.name: figure for figure in search.search()}
    for what in search.NEEDLES:
        counted = figures[f"search-queries, {what}"]
        assert 3 <= counted.figure <= 6, counted
        assert counted.met
