"""The first walk through the shop's rooms."""

import pytest
from django.test import Client

from jobs.book.models import Entry
from jobs.office.rooms import ROOMS
from shop.people.roles import Role
from shop.profile.models import Walked
from tests import factory
from tests.office.rooms import head

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.shop()
    factory.prices()


def sign_in(role: Role) -> str:
    person = factory.person(role)
    return str(Client().post("/sign-in/", {"username": person.username, "password": factory.PASSWORD})["Location"])


def test_the_head_luthier_of_a_new_shop_begins_with_the_walk_and_nobody_else_does() -> None:
    assert sign_in(Role.HEAD) == "/shop/begin/"
    assert sign_in(Role.DESK) != "/shop/begin/"
    Walked.objects.create(code="facts", at=factory.NOW)
    assert sign_in(Role.HEAD) != "/shop/begin/"


def test_each_room_is_confirmed_or_left_and_the_walk_goes_on_where_it_stopped() -> None:
    client = head()
    page = client.get("/shop/begin/").content.decode()
    assert f"1. {ROOMS[0].name}" in page
    client.post(f"/shop/begin/{ROOMS[0].code}/said/", {"do": "done"})
    client.post(f"/shop/begin/{ROOMS[1].code}/said/", {"do": "later"})
    again = head().get("/shop/begin/").content.decode()
    assert f'id="ahead">3. {ROOMS[2].name}' in again
    assert "left for later" in again
    client.post(f"/shop/begin/{ROOMS[0].code}/said/", {"do": "later"})
    assert Walked.objects.get(code=ROOMS[0].code).later is False, "what was confirmed stays confirmed"
    client.post(f"/shop/begin/{ROOMS[1].code}/said/", {"do": "done"})
    client.post(f"/shop/begin/{ROOMS[1].code}/said/", {"do": "done"})
    assert Entry.objects.filter(action="walk.done").count() == 2
    for room in ROOMS[2:]:
        client.post(f"/shop/begin/{room.code}/said/", {"do": "done"})
    assert "The walk is done" in client.get("/shop/begin/").content.decode()
    assert "not confirmed yet" not in client.get("/shop/").content.decode()


def test_samples_are_marked_until_they_are_confirmed() -> None:
    client = head()
    assert "These are samples" in client.get("/shop/taxes/").content.decode()
    assert client.get("/shop/").content.decode().count(">sample</b>") == sum(room.sample for room in ROOMS)
    client.get("/shop/begin/taxes/")
    assert "A tax adviser has looked at this" in client.get("/shop/taxes/").content.decode()
    client.post("/shop/begin/taxes/said/", {"do": "done"})
    page = client.get("/shop/taxes/").content.decode()
    assert "These are samples" not in page
    assert "A tax adviser has looked at this" not in page


def test_a_room_that_is_not_there_is_not_there() -> None:
    client = head()
    assert client.get("/shop/begin/cellar/").status_code == 404
    assert client.post("/shop/begin/cellar/said/", {"do": "done"}).status_code == 302
    assert not Walked.objects.exists()


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.code)
def test_every_room_opens_on_the_walk_and_carries_the_bar(room: object) -> None:
    client = head()
    code = getattr(room, "code")  # noqa: B009
    page = client.get(f"/shop/begin/{code}/", follow=True).content.decode()
    assert "First walk:" in page
