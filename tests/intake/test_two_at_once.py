"""Two tablets, or a finger that presses twice, at the same moment: one note, and no change lost in silence."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from jobs.book.models import Job, Visit
from jobs.book.refusals import Again, Stale
from jobs.intake import drafts, steps
from jobs.intake.edits import with_fields
from jobs.intake.models import Draft
from jobs.intake.sealing import Sealed, seal
from jobs.papers.models import Paper
from tests import factory
from tests.factory import NOW
from tests.intake import sittings
from tests.side_by_side import Opener, on_a_file, together

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def on_disk(tmp_path: Path, transactional_db: None) -> Iterator[Opener]:
    sittings.open_shop()
    sittings.begun(sittings.draft(factory.party(), sittings.piece(), sittings.piece("26-0402", kind="Bw")))
    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        yield open_file


def test_a_note_sealed_from_four_sides_is_one_note(on_disk: Opener) -> None:
    row = Draft.objects.select_related("by").get()
    facts: dict[str, Any] = {
        "seen": 1,
        "seen_sha256": sittings.seen_hash(row),
        "signs": sittings.signs(),
        "by": row.by,
        "at": NOW,
    }
    tries = [partial(seal, row, **facts, key=key) for key in ("press-one", "press-one", "press-two", "press-three")]
    results = together(on_disk, *tries, told=(Again,))
    assert sum(isinstance(one, Sealed) for one in results) == 1
    assert sum(isinstance(one, Again) for one in results) == 3
    assert (Visit.objects.count(), Paper.objects.count(), Job.objects.count()) == (1, 1, 2)


def test_of_two_changes_on_one_version_one_is_kept_and_the_other_told(on_disk: Opener) -> None:
    row = Draft.objects.select_related("by").get()
    key = drafts.from_json(row.data).pieces[0].key

    def change(words: str) -> str:
        typed = {f"said-{key}": words}
        steps.save(row, partial(with_fields, step="said", typed=typed), seen=1, by=row.by, at=NOW)
        return words

    results = together(on_disk, *(partial(change, f"tablet {n}") for n in range(4)), told=(Stale,))
    kept = [one for one in results if isinstance(one, str)]
    assert len(kept) == 1
    assert sum(isinstance(one, Stale) for one in results) == 3
    row.refresh_from_db()
    assert (drafts.from_json(row.data).pieces[0].said, row.version) == (kept[0], 2)
