"""Signing in, lockout, and what a kiosk shows."""

from datetime import timedelta
from typing import Any

import pytest
from axes.models import AccessAttempt
from django.contrib.auth import get_user
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.people import kiosk
from shop.people.models import Device
from shop.people.roles import Role
from tests import factory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.shop()


def _sign_in(client: Client, password: str) -> Any:
    return client.post(reverse("people:sign-in"), {"username": "maris", "password": password})


def _kiosk() -> Client:
    """A tablet that the head luthier made a kiosk."""
    client = Client()
    client.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    answer = client.post(reverse("office:device-register"), {"name": "Front desk tablet"})
    assert answer.status_code == 302
    return client


def _unlock(client: Client, pin: str = "2580", username: str = "maris") -> Any:
    return client.post(reverse("kiosk:open"), {"username": username, "pin": pin})


def test_name_and_password_open_the_shop() -> None:
    factory.person(Role.DESK)
    client = Client()
    assert _sign_in(client, factory.PASSWORD).status_code == 302
    assert get_user(client).is_authenticated


def test_a_wrong_password_is_said_in_words_and_keeps_the_name() -> None:
    factory.person(Role.DESK)
    page = _sign_in(Client(), "wrong").content.decode()
    assert "do not go together" in page
    assert 'value="maris"' in page


@pytest.mark.parametrize("name", ["x" * 61, "x" * 5000, "ma\x00ris" * 30])
def test_a_name_longer_than_any_is_refused_before_it_is_written_down(name: str) -> None:
    factory.person(Role.DESK)
    answer = Client().post(reverse("people:sign-in"), {"username": name, "password": "wrong"})
    assert answer.status_code == 200
    assert not AccessAttempt.objects.exists()
    assert _unlock(_kiosk(), "0000", name).status_code == 422
    assert not AccessAttempt.objects.exists()


def test_six_wrong_tries_lock_the_name_here_even_for_the_right_password() -> None:
    factory.person(Role.DESK)
    client = Client()
    for _ in range(6):
        _sign_in(client, "wrong")
    answer = _sign_in(client, factory.PASSWORD)
    assert answer.status_code == 429
    assert "Too many tries" in answer.content.decode()
    assert not get_user(client).is_authenticated


def test_six_wrong_pins_lock_the_kiosk_for_that_name() -> None:
    factory.person(Role.DESK)
    client = _kiosk()
    for _ in range(6):
        _unlock(client, "0000")
    assert client.get(reverse("intake:start")).status_code == 302
    _unlock(client)
    assert client.get(reverse("intake:start")).status_code == 302


def test_someone_deactivated_is_out_at_once() -> None:
    person = factory.person(Role.DESK)
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    person.is_active = False
    person.save(update_fields=["is_active"])
    assert client.get(reverse("board:rails")).status_code == 302


def test_only_the_head_luthier_makes_a_kiosk() -> None:
    client = Client()
    client.force_login(factory.person(Role.DESK), backend="django.contrib.auth.backends.ModelBackend")
    assert client.post(reverse("office:device-register"), {"name": "x"}).status_code == 403
    assert not Device.objects.exists()


def test_making_a_kiosk_signs_the_maker_out_and_keeps_only_a_hash_of_its_token() -> None:
    client = _kiosk()
    assert not get_user(client).is_authenticated
    token = client.cookies[kiosk.COOKIE].value
    assert Device.objects.get().token_hash == kiosk.token_hash(token)
    assert client.cookies[kiosk.COOKIE]["httponly"]


@pytest.mark.parametrize("name", ["board:rails", "desk:letters", "till:money", "people:sign-in"])
def test_a_kiosk_shows_nothing_but_intake(name: str) -> None:
    factory.person(Role.DESK)
    client = _kiosk()
    for _ in range(2):  # locked, then with a receiver named
        answer = client.get(reverse(name))
        assert answer.status_code == 302
        assert answer["Location"] == reverse("kiosk:home")
        _unlock(client)


def test_a_pin_names_the_receiver() -> None:
    factory.person(Role.DESK)
    client = _kiosk()
    assert _unlock(client).status_code == 302
    assert client.get(reverse("intake:start")).status_code == 200


def test_a_pin_does_not_open_anything_away_from_a_kiosk() -> None:
    factory.person(Role.DESK)
    client = Client()
    _unlock(client)
    assert not get_user(client).is_authenticated
    assert client.get(reverse("board:rails")).status_code == 302


def test_an_apprentice_may_not_take_in_at_the_kiosk() -> None:
    factory.person(Role.APPRENTICE)
    assert _unlock(_kiosk(), username="elowen").status_code == 422


def test_two_idle_minutes_lock_it(monkeypatch: pytest.MonkeyPatch) -> None:
    factory.person(Role.DESK)
    client = _kiosk()
    _unlock(client)
    later = timezone.now() + timedelta(seconds=121)
    monkeypatch.setattr(timezone, "now", lambda: later)
    assert client.get(reverse("intake:start"))["Location"] == reverse("kiosk:home")


def test_a_clock_set_back_locks_it_too(monkeypatch: pytest.MonkeyPatch) -> None:
    factory.person(Role.DESK)
    client = _kiosk()
    _unlock(client)
    earlier = timezone.now() - timedelta(hours=1)
    monkeypatch.setattr(timezone, "now", lambda: earlier)
    assert client.get(reverse("intake:start"))["Location"] == reverse("kiosk:home")


def test_a_dead_device_is_no_kiosk() -> None:
    client = _kiosk()
    Device.objects.update(dead_at=factory.NOW)
    assert client.get(reverse("kiosk:home"))["Location"] == reverse("people:sign-in")


def test_every_page_says_no_store() -> None:
    client = Client()
    client.force_login(factory.person(Role.DESK), backend="django.contrib.auth.backends.ModelBackend")
    assert "no-store" in client.get(reverse("board:rails"))["Cache-Control"]
