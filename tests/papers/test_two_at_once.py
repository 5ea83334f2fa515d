"""Many freeze and print at the same moment: the chain never forks, and a paper is made once."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction

from jobs.book.models import Entry
from jobs.papers import reads
from jobs.papers.canonical import read
from jobs.papers.models import ChainHead, Paper
from jobs.papers.steps import freeze, print_paper
from tests import factory
from tests.factory import NOW
from tests.papers import samples
from tests.side_by_side import Opener, on_a_file, together

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def on_disk(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, transactional_db: None, settings: Any
) -> Iterator[Opener]:
    """The demo shop in a database file, with one key for all these tests."""
    settings.SHOP_HOME = tmp_path_factory.getbasetemp()
    factory.shop()
    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        yield open_file


def frozen() -> Paper:
    with transaction.atomic():
        return freeze(samples.receipt(), by=None, at=NOW)


def test_papers_frozen_at_the_same_moment_stand_in_one_row(on_disk: Opener) -> None:
    def five() -> list[int]:
        return [frozen().position for _ in range(5)]

    made = together(on_disk, five, five, five, five)
    positions = sorted(position for some in made if isinstance(some, list) for position in some)
    assert positions == list(range(1, 21))
    assert reads.chain_faults() == []
    papers = list(Paper.objects.order_by("position"))
    assert sorted(paper.number for paper in papers) == [f"R26-{number:04}" for number in range(1, 21)]
    assert all(read(paper.text.encode())["previous"] == paper.previous_sha256 for paper in papers)
    head = ChainHead.objects.get()
    assert (head.position, head.sha256) == (20, papers[-1].text_sha256)


def test_a_page_and_the_worker_print_one_paper_once(on_disk: Opener) -> None:
    for _ in range(4):
        paper = frozen()
        results = together(on_disk, *[partial(print_paper, paper.pk, at=NOW)] * 3)
        paper.refresh_from_db()
        assert paper.state == "made"
        kept = reads.read_pdf(paper)
        assert {one for one in results if one is not None} == {kept}
        entries = [entry for entry in Entry.objects.filter(action="paper.made") if entry.data["paper"] == paper.pk]
        assert len(entries) == 1
