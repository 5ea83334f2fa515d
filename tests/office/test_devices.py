"""Kiosks and bench devices."""

from datetime import timedelta
from unittest import mock

import pytest
from django.test import Client
from django.utils import timezone

from jobs.book.models import Entry
from jobs.book.refusals import Refused, Stale
from jobs.book.stages import Stage
from jobs.office.device_steps import register, rename, stop
from shop.people.kiosk import COOKIE
from shop.people.models import Device
from shop.people.roles import Role
from tests import factory
from tests.office.rooms import head

pytestmark = pytest.mark.django_db
NOW = factory.NOW


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.shop()


def bench() -> tuple[Client, Device]:
    """A phone at the bench at which Jorin is signed in."""
    device, token = register("Bench phone", "bench", by=factory.person(Role.HEAD), at=NOW)
    phone = Client()
    phone.cookies[COOKIE] = token
    jorin = factory.person(Role.TECHNICIAN)
    phone.post("/sign-in/", {"username": jorin.username, "password": factory.PASSWORD})
    return phone, device


def test_what_is_done_at_a_bench_device_names_it_and_elsewhere_not() -> None:
    phone, device = bench()
    job = factory.job(Stage.QUE)
    answer = phone.post(f"/job/{job.number}/tape/", {"kind": "parts", "words": "a peg"})
    assert answer.status_code == 302
    assert Entry.objects.get(action="hold.laid").data["device"] == device.pk
    head().post(f"/job/{job.number}/tape/", {"kind": "parts", "words": "strings"})
    assert "device" not in Entry.objects.filter(action="hold.laid").last().data  # type: ignore[union-attr]


def test_a_stopped_bench_device_signs_its_person_out_at_once() -> None:
    phone, device = bench()
    assert phone.get("/wall/").status_code == 200
    stop(device, by=factory.person(Role.HEAD), at=NOW)
    gone = phone.get("/wall/")
    assert gone.status_code == 302
    assert gone["Location"].startswith("/sign-in/")
    assert phone.post("/sign-in/", {"username": "jorin", "password": factory.PASSWORD}).status_code == 302
    assert phone.get("/wall/").status_code == 200, "an ordinary browser again"


def test_nobody_stays_signed_in_at_the_bench_overnight_and_a_cookie_taken_away_signs_out() -> None:
    phone, _ = bench()
    phone.get("/wall/")
    assert 0 < phone.session.get_expiry_age() <= 12 * 3600
    del phone.cookies[COOKIE]
    assert phone.get("/wall/").status_code == 302


def test_last_seen_is_written_once_a_minute() -> None:
    phone, device = bench()
    device.refresh_from_db()
    first = device.seen_at
    assert first is not None
    phone.get("/wall/")
    device.refresh_from_db()
    assert device.seen_at == first
    with mock.patch("shop.people.kiosk.timezone.now", return_value=timezone.now() + timedelta(minutes=2)):
        phone.get("/wall/")
    device.refresh_from_db()
    assert device.seen_at > first


def test_a_stopped_kiosk_is_an_ordinary_browser_nobody_is_signed_in_at() -> None:
    device, token = register("Front desk tablet", "kiosk", by=factory.person(Role.HEAD), at=NOW)
    tablet = Client()
    tablet.cookies[COOKIE] = token
    factory.person(Role.DESK)
    tablet.post("/kiosk/open/", {"username": "maris", "pin": "2580"})
    assert tablet.get("/take-in/").status_code == 200
    stop(device, by=factory.person(Role.HEAD), at=NOW)
    stop(device, by=factory.person(Role.HEAD), at=NOW)
    assert tablet.get("/take-in/")["Location"].startswith("/sign-in/")
    assert Entry.objects.filter(action="device.stopped").count() == 1


def test_names_of_devices_stand_where_they_can_be_erased() -> None:
    head_luthier = factory.person(Role.HEAD)
    device, _ = register("Jorin’s phone", "bench", by=head_luthier, at=NOW)
    assert rename(device, "Bench phone 2", seen="Jorin’s phone", by=head_luthier, at=NOW)
    assert not Entry.objects.filter(data__icontains="Jorin").exists()
    with pytest.raises(Stale, match="called Bench phone 2 by now"):
        rename(device, "Other", seen="Jorin’s phone", by=head_luthier, at=NOW)
    with pytest.raises(Refused, match="Give it a name"):
        rename(device, " ", seen="Bench phone 2", by=head_luthier, at=NOW)
    with pytest.raises(Refused, match="kiosk"):
        register("Wall", "wall", by=head_luthier, at=NOW)


def test_registering_a_bench_device_leaves_one_signed_in_and_a_kiosk_signs_out() -> None:
    client = head()
    assert client.post("/kiosk/register/", {"name": "Bench phone", "kind": "bench"})["Location"] == "/shop/devices/"
    assert "You are at “Bench phone”" in client.get("/shop/devices/").content.decode()
    other = head()
    assert other.post("/kiosk/register/", {"name": "Tablet", "kind": "kiosk"})["Location"] == "/kiosk/"
    assert other.get("/shop/")["Location"] == "/kiosk/"
