"""Two desks correct at the same moment: one wins, the other is told; one address never stands under two parties."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from jobs.book.corrections import correct_party
from jobs.book.models import Correction, Item, Job, Party
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.moves.putting_right import PutOn, put_on_item
from shop.people.roles import Role
from tests import factory, side_by_side
from tests.factory import NOW
from tests.side_by_side import Opener, on_a_file

pytestmark = pytest.mark.django_db(transaction=True)
together = partial(side_by_side.together, told=(Refused, Again))


@pytest.fixture
def on_disk(tmp_path: Path, transactional_db: None) -> Iterator[Opener]:
    factory.shop()
    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        yield open_file


def test_one_party_corrected_by_two(on_disk: Opener) -> None:
    maris, ottilie = factory.person(Role.DESK), factory.person(Role.HEAD)
    for n in range(6):
        party = factory.party(email=f"wrong{n}@example.org")
        seen = {"email": party.email}
        results = together(
            on_disk,
            partial(correct_party, party.pk, {"email": f"maris{n}@example.org"}, seen=seen, by=maris, at=NOW),
            partial(correct_party, party.pk, {"email": f"ottilie{n}@example.org"}, seen=seen, by=ottilie, at=NOW),
        )
        assert sum(isinstance(one, list) for one in results) == 1, results
        assert sum(isinstance(one, Stale) for one in results) == 1, results
        kept = Correction.objects.get(party=party)
        party.refresh_from_db()
        assert (kept.before, kept.after) == (f"wrong{n}@example.org", party.email)


def test_one_address_for_two_parties(on_disk: Opener) -> None:
    maris, ottilie = factory.person(Role.DESK), factory.person(Role.HEAD)
    for n in range(6):
        one, other, wanted = factory.party(), factory.party(), {"email": f"shared{n}@example.org"}
        results = together(
            on_disk,
            partial(correct_party, one.pk, wanted, seen={}, by=maris, at=NOW),
            partial(correct_party, other.pk, wanted, seen={}, by=ottilie, at=NOW),
        )
        assert sum(isinstance(each, list) for each in results) == 1, results
        assert sum(isinstance(each, Refused) for each in results) == 1, results
        assert Party.objects.filter(email=f"shared{n}@example.org").count() == 1
        assert Correction.objects.filter(after=f"shared{n}@example.org").count() == 1


def test_one_job_put_on_two_items(on_disk: Opener) -> None:
    maris, ottilie = factory.person(Role.DESK), factory.person(Role.HEAD)
    for n in range(6):
        job = factory.job(Stage.BEN)
        first, second = factory.item(), factory.item()

        def put(item: Item, by: object, key: str, job: Job = job) -> PutOn:
            return put_on_item(
                job.pk, item=item, new=None, was_away=False, reason="mixed up", by=by, at=NOW, seen=1, key=key,  # type: ignore[arg-type]
            )  # fmt: skip

        results = together(
            on_disk, partial(put, first, maris, f"maris-press-{n}"), partial(put, second, ottilie, f"ottilie-press-{n}")
        )
        assert sum(isinstance(one, PutOn) for one in results) == 1, results
        assert sum(isinstance(one, Stale) for one in results) == 1, results
        assert job.entries.filter(action="job.put_on_item").count() == 1
