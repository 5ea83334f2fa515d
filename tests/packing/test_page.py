"""The page of the safe copies, and the notice where letters wait."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.packing import steps
from shop.packing.models import SafeCopy
from shop.people.roles import Role
from tests import factory
from tests.packing.shops import packed

pytestmark = pytest.mark.django_db(transaction=True)
PAGE = "/shop/copies/"
KEY = "a-key-of-one-press"


@pytest.fixture
def head(tmp_path: Path, settings: Any) -> Client:
    """The head luthier, in a shop with a home of its own."""
    settings.SHOP_HOME = tmp_path / "home"
    settings.SHOP_HOME.mkdir()
    settings.COPIES_FOLDER = tmp_path / "copies"
    factory.shop()
    client = Client()
    client.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    return client


def shown(client: Client) -> str:
    return client.get(PAGE).content.decode()


def test_its_address_is_where_the_day_page_and_the_front_page_say() -> None:
    assert reverse("office:copies") == PAGE


def test_before_the_first_copy_it_warns_and_says_what_comes(head: Client) -> None:
    page = shown(head)
    assert '<span class="tape">There is no good safe copy of the shop yet.</span>' in page
    assert "The first is made by itself" in page


def test_a_press_asks_for_one_copy_and_a_second_press_for_no_other(head: Client) -> None:
    for _ in range(2):
        assert head.post("/shop/copies/make/", {"press": KEY}).status_code == 302
    copy = SafeCopy.objects.get()
    assert copy.asked_by is not None
    assert (copy.asked_by.username, copy.state) == ("ottilie", "due")
    assert "A copy is being made" in shown(head)
    assert head.get("/shop/copies/now/").json() == {"making": True, "doing": "waits for the worker"}
    steps.make(copy.pk, clock=timezone.now)
    assert head.get("/shop/copies/now/").json() == {"making": False, "doing": ""}
    page = shown(head)
    assert "The last good copy was made just now." in page
    assert f"unpack {Path(SafeCopy.objects.get().path).name}" in page
    assert "lie on the same disk as the shop" in page
    assert "They are not locked." in page


def test_another_press_while_one_is_made_is_refused_in_words(head: Client) -> None:
    head.post("/shop/copies/make/", {"press": KEY})
    answer = head.post("/shop/copies/make/", {"press": "a-key-of-another-press"})
    assert answer.status_code == 422
    assert "A copy is being made already." in answer.content.decode()
    assert SafeCopy.objects.count() == 1


def test_an_old_page_makes_nothing(head: Client) -> None:
    assert head.post("/shop/copies/make/", {}).status_code == 422
    assert not SafeCopy.objects.exists()


def test_one_that_is_not_good_says_why(head: Client, tmp_path: Path, settings: Any) -> None:
    (tmp_path / "a-file").write_text("")
    packed(tmp_path / "a-file" / "in", settings)
    page = shown(head)
    assert "Not good" in page
    assert "cannot be written" in page


def test_when_the_last_good_one_is_old_it_lies_under_tape(head: Client, settings: Any) -> None:
    copy = packed(settings.COPIES_FOLDER, settings)
    SafeCopy.objects.filter(pk=copy.pk).update(made_at=timezone.now() - timedelta(days=3, hours=1))
    assert '<span class="tape">The last good copy is 3 days old.</span>' in shown(head)
    assert "The last good copy is 3 days old." in head.get("/shop/").content.decode()


def test_a_copy_put_back_says_so_to_head_and_desk_until_it_is_the_shop(head: Client) -> None:
    steps.mark_restored(timezone.now() - timedelta(hours=9), at=timezone.now())
    assert "This is a copy: letters to owners wait" in shown(head)
    desk = Client()
    desk.force_login(factory.person(Role.DESK), backend="django.contrib.auth.backends.ModelBackend")
    assert "put back from a safe copy" in desk.get("/letters/").content.decode()
    assert desk.post("/shop/copies/is-the-shop/").status_code == 403
    for _ in range(2):
        assert head.post("/shop/copies/is-the-shop/").status_code == 302
    assert "This is a copy" not in shown(head)
    assert "put back from a safe copy" not in desk.get("/letters/").content.decode()


def test_a_desk_sees_no_copies() -> None:
    factory.shop()
    client = Client()
    client.force_login(factory.person(Role.DESK), backend="django.contrib.auth.backends.ModelBackend")
    assert [client.get(PAGE).status_code, client.post("/shop/copies/make/").status_code] == [403, 403]
