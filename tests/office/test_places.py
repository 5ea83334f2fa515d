"""Places: put up, renamed, ordered, closed when empty."""

import pytest

from jobs.book.models import Entry
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.custody.models import Location
from jobs.custody.place_reads import hanging
from jobs.custody.place_steps import add_place, change_place, move_place, open_place, shut_place
from jobs.custody.reads import last_seen, locations, places_by_room
from jobs.custody.steps import see
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory

pytestmark = pytest.mark.django_db
NOW = factory.NOW


@pytest.fixture
def by() -> Person:
    factory.shop()
    return factory.person(Role.HEAD)


def order() -> list[str]:
    return [one.name for one in locations()]


def test_a_new_place_hangs_at_the_end_of_its_room(by: Person) -> None:
    for name, room in (("A1", "bench room"), ("V1", "varnish room"), ("A2", "bench room")):
        add_place(name, room, by=by, at=NOW)
    assert order() == ["A1", "A2", "V1"]
    add_place("A10", "bench room", by=by, at=NOW, key="place-key-1")
    with pytest.raises(Again):
        add_place("A10", "bench room", by=by, at=NOW, key="place-key-1")
    with pytest.raises(Refused, match="called A10 already"):
        add_place("a10", "", by=by, at=NOW)
    assert order() == ["A1", "A2", "A10", "V1"]


def test_a_renamed_place_is_the_same_hook_and_the_entry_keeps_both_names(by: Person) -> None:
    job = factory.job(Stage.QUE)
    place = factory.location()
    assert change_place(place, "North 6", "north wall", seen="R2-6", by=by, at=NOW)
    assert last_seen(job.item).place == "North 6"  # type: ignore[union-attr]
    assert Entry.objects.get(action="place.changed").data["changes"] == {
        "name": ["R2-6", "North 6"],
        "room": ["bench room", "north wall"],
    }
    with pytest.raises(Stale, match="R2-6 is called North 6 by now"):
        change_place(place, "South 6", "", seen="R2-6", by=by, at=NOW)


def test_places_and_rooms_move_one_step(by: Person) -> None:
    for name, room in (("A1", "a"), ("A2", "a"), ("B1", "b")):
        add_place(name, room, by=by, at=NOW)
    move_place(Location.objects.get(name="A2"), True, by=by, at=NOW)
    assert order() == ["A2", "A1", "B1"]
    move_place(Location.objects.get(name="B1"), True, by=by, at=NOW)
    assert order() == ["B1", "A2", "A1"]
    move_place(Location.objects.get(name="B1"), True, by=by, at=NOW)
    assert [room for room, _ in places_by_room()] == ["b", "a"]


def test_a_place_is_closed_only_when_nothing_hangs_there(by: Person) -> None:
    job = factory.job(Stage.QUE)
    place, other = factory.location(), factory.location("R2-7")
    with pytest.raises(Refused, match=rf"R2-6 is not empty: Violin 4/4 \({job.number}\)"):
        shut_place(place, by=by, at=NOW)
    see(job.item, other, by=by, at=NOW, how="hand")
    assert hanging(place.pk) == []
    shut_place(place, by=by, at=NOW)
    shut_place(place, by=by, at=NOW)
    assert order() == ["R2-7"]
    place.refresh_from_db()
    with pytest.raises(Refused, match="R2-6 is closed"):
        see(job.item, place, by=by, at=NOW, how="hand")
    with pytest.raises(Refused, match="last open place"):
        see(job.item, None, by=by, at=NOW, how="home")
        shut_place(other, by=by, at=NOW)
    open_place(place, by=by, at=NOW)
    assert Entry.objects.filter(action__in=("place.shut", "place.opened")).count() == 2
