"""Every address has a row: who may open it, and how many queries its page may cost."""

from collections.abc import Iterator

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from shop.people.roles import MAY, Act, Role
from tests import factory
from tests.rules.routes import ROWS, STRANGER, Row
from tests.rules.world import World, world

pytestmark = pytest.mark.django_db


def _names(patterns: list[URLPattern | URLResolver], space: str = "") -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _names(pattern.url_patterns, inner)
        else:
            yield f"{space}{pattern.name}"


def test_every_address_has_a_row_and_every_row_an_address() -> None:
    assert set(_names(get_resolver().url_patterns)) == set(ROWS)


@pytest.fixture
def shop_world() -> World:
    return world()


@pytest.mark.parametrize("name", sorted(ROWS))
def test_only_the_roles_of_its_row_may_open_it(name: str, shop_world: World) -> None:
    row = ROWS[name]
    address = reverse(name, kwargs=row.kwargs(shop_world))
    for role in Role:
        client = Client()
        client.force_login(factory.person(role))
        answer = client.generic(row.method, address)
        allowed = row.acts is STRANGER or any(role in MAY[act] for act in row.acts)
        if allowed:
            assert answer.status_code not in {401, 403}, (name, role, answer.status_code)
        else:
            assert answer.status_code == 403, (name, role, answer.status_code)


@pytest.mark.parametrize("name", sorted(name for name, row in ROWS.items() if row.acts is not STRANGER))
def test_a_stranger_is_sent_to_the_sign_in_page(name: str, shop_world: World) -> None:
    row = ROWS[name]
    answer = Client().generic(row.method, reverse(name, kwargs=row.kwargs(shop_world)))
    assert answer.status_code == 302, (name, answer.status_code)
    assert answer["Location"].startswith(reverse("people:sign-in")), (name, answer["Location"])


@pytest.mark.parametrize("name", sorted(name for name, row in ROWS.items() if row.queries))
def test_a_page_stays_within_its_query_budget(name: str, shop_world: World) -> None:
    row: Row = ROWS[name]
    client = Client()
    client.force_login(factory.person(Role.HEAD))
    address = reverse(name, kwargs=row.kwargs(shop_world))
    with CaptureQueriesContext(
        connection,
    ) as seen:
        answer = client.generic(row.method, address)
    assert answer.status_code < 400, (name, answer.status_code)
    assert len(seen) <= row.queries, (name, len(seen), [one["sql"][:110] for one in seen])


def test_every_act_of_the_role_table_is_asked_for_somewhere() -> None:
    asked = {act for row in ROWS.values() if row.acts is not STRANGER for act in row.acts}
    inside = {Act.SEE_OWNER, Act.OVERRIDE}  # asked for inside pages, not at a door
    assert set(Act) - asked <= inside
