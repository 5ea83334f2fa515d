"""Notes at the bench, a tag that does not fit, and where things are."""

import pytest

from jobs.bench import steps
from jobs.bench.models import BenchNote
from jobs.book.models import Entry
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.custody.models import Sighting
from jobs.custody.reads import last_seen
from jobs.custody.steps import see
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


def test_a_note_is_written_once_for_one_press() -> None:
    factory.shop()
    job, tobiah = factory.job(Stage.BEN), factory.person(Role.LUTHIER)
    note = steps.add_note(job, "  Bar is loose.  ", by=tobiah, at=NOW, key="one-press-only")
    assert note.words == "Bar is loose."
    with pytest.raises(Again):
        steps.add_note(job, "Bar is loose.", by=tobiah, at=NOW, key="one-press-only")
    assert BenchNote.objects.count() == 1


def test_an_empty_note_is_refused() -> None:
    factory.shop()
    with pytest.raises(Refused, match="Write something, or take a photo"):
        steps.add_note(factory.job(Stage.BEN), "  ", by=factory.person(Role.LUTHIER), at=NOW)


def test_a_tag_that_does_not_fit_is_written_into_the_history() -> None:
    factory.shop()
    job = factory.job(Stage.BEN)
    steps.doubt_tag(job, "a viola with a light back", by=factory.person(Role.LUTHIER), at=NOW)
    assert Entry.objects.filter(job=job, item=job.item, action="tag.doubted").count() == 1


def test_where_it_is_is_the_last_sighting() -> None:
    factory.shop()
    job, jorin = factory.job(Stage.BEN), factory.person(Role.TECHNICIAN)
    see(job.item, factory.location("R1-3"), by=jorin, at=NOW, how="hand", job=job)
    see(job.item, factory.location("S"), by=jorin, at=NOW, how="scan", job=job)
    seen = last_seen(job.item)
    assert seen is not None
    assert (seen.place, seen.by, seen.how) == ("S", "Jorin", "scan")
    assert Sighting.objects.filter(item=job.item).count() == 3


def test_a_place_must_be_named_unless_it_went_home() -> None:
    factory.shop()
    job, jorin = factory.job(Stage.BEN), factory.person(Role.TECHNICIAN)
    with pytest.raises(Refused, match="Choose where it is"):
        see(job.item, None, by=jorin, at=NOW, how="hand")
    with pytest.raises(Refused, match="how it was seen"):
        see(job.item, factory.location(), by=jorin, at=NOW, how="guess")
    assert see(job.item, None, by=jorin, at=NOW, how="home").location is None
