"""Own network: what the head luthier sees, and the sheet to hang up."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from jobs.office.network_reads import own_network
from shop.people.roles import Role
from shop.starting.authority import fingerprint, own
from tests import factory
from tests.starting.test_authority import NAMES

pytestmark = pytest.mark.django_db


@pytest.fixture
def head() -> Client:
    factory.shop()
    client = Client()
    client.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def authority(tmp_path: Path, settings: Any) -> bytes:
    files = own(tmp_path, "Marrowfen", NAMES, at=datetime.now(UTC))
    settings.AUTHORITY = files.authority
    settings.PUBLIC_ADDRESS = settings.OWNERS_ADDRESS = "https://192.168.1.20:8000"
    settings.TRUST_ADDRESS = "http://192.168.1.20:8001"
    return files.authority.read_bytes()


def test_the_page_names_where_a_device_begins_and_what_to_compare(head: Client, authority: bytes) -> None:
    text = head.get("/shop/network/").content.decode()
    assert "http://192.168.1.20:8001" in text
    assert fingerprint(authority) in text
    assert "owners cannot come there from outside" in text
    assert "192.168.1.20:8000" in head.get("/shop/").content.decode()


@pytest.mark.parametrize("page", ["a4", "us-letter"])
def test_the_sheet_is_one_page_of_the_shops_paper(head: Client, authority: bytes, page: str) -> None:
    shop = factory.shop()
    shop.page = page
    shop.save(update_fields=["page"])
    answer = head.get("/shop/network.pdf")
    assert answer["Content-Type"] == "application/pdf"
    assert b"/Type/Pages/Count 1/" in answer.content


def test_a_shop_without_https_is_told_what_that_means(head: Client, settings: Any) -> None:
    settings.AUTHORITY, settings.PUBLIC_ADDRESS = Path(), "http://127.0.0.1:8000"
    assert "keep their camera shut" in head.get("/shop/network/").content.decode()
    assert head.get("/shop/network.pdf").status_code == 404


def test_a_shop_behind_another_server_is_left_alone(head: Client, settings: Any) -> None:
    settings.AUTHORITY, settings.PUBLIC_ADDRESS = Path(), "https://strings.example"
    assert "looked after by whatever answers there" in head.get("/shop/network/").content.decode()


def test_one_that_was_not_started_anew_for_too_long_warns(head: Client, authority: bytes) -> None:
    later = datetime.now(UTC) + timedelta(days=750)
    found = own_network(later)
    assert found is not None
    assert found.soon
