"""Every address has a row: who may open it, and how many queries its page may cost."""

from collections.abc import Iterator
from http.cookies import SimpleCookie
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from shop.people.roles import MAY, Act, Role
from tests import factory
from tests.rules.routes import ROWS, STRANGER
from tests.rules.world import World, world

pytestmark = pytest.mark.django_db


def _names(patterns: list[URLPattern | URLResolver], space: str = "") -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _names(pattern.url_patterns, inner)
        else:
            yield f"{space}{pattern.name}"


def _open(client: Client, name: str, shop: World) -> Any:
    """Ask for an address, and take back whatever it did."""
    row = ROWS[name]
    with transaction.atomic():
        answer = client.generic(row.method, reverse(name, kwargs=row.kwargs(shop)))
        transaction.set_rollback(True)
    content: Any = getattr(answer, "streaming_content", None)
    if content is not None:
        b"".join(content)  # a file is closed once it is read
    return answer


def _signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_every_address_has_a_row_and_every_row_an_address() -> None:
    assert set(_names(get_resolver().url_patterns)) == set(ROWS)


@pytest.mark.parametrize("role", list(Role))
def test_a_role_opens_what_its_rows_say_and_nothing_else(role: Role) -> None:
    shop, client, wrong = world(), _signed_in(role), []
    signed_in = dict(client.cookies)
    for name, row in ROWS.items():
        client.cookies = SimpleCookie({cookie: held.value for cookie, held in signed_in.items()})
        answer = _open(client, name, shop)
        allowed = row.acts is STRANGER or any(role in MAY[act] for act in row.acts)
        fits = answer.status_code not in {401, 403, 405, 500} if allowed else answer.status_code == 403
        if not fits:
            wrong.append((name, answer.status_code))
    assert not wrong


def test_a_stranger_is_sent_to_the_sign_in_page() -> None:
    shop, client, wrong = world(), Client(), []
    for name, row in ROWS.items():
        if row.acts is STRANGER:
            continue
        answer = _open(client, name, shop)
        if answer.status_code != 302 or not answer["Location"].startswith(reverse("people:sign-in")):
            wrong.append((name, answer.status_code))
    assert not wrong


def test_a_page_stays_within_its_query_budget() -> None:
    shop, client, wrong = world(), _signed_in(Role.HEAD), []
    for name, row in ROWS.items():
        if not row.queries:
            continue
        with CaptureQueriesContext(connection) as seen:
            answer = _open(client, name, shop)
        asked = [one["sql"] for one in seen if "SAVEPOINT" not in one["sql"]]
        if answer.status_code >= 400 or len(asked) > row.queries:
            wrong.append((name, answer.status_code, len(asked), row.queries))
    assert not wrong


def test_every_act_of_the_role_table_is_asked_for_somewhere() -> None:
    asked = {act for row in ROWS.values() if row.acts is not STRANGER for act in row.acts}
    inside = {Act.SEE_OWNER, Act.OVERRIDE}  # asked for inside pages, not at a door
    assert set(Act) - asked <= inside
