"""The intake at a registered kiosk: two idle minutes, other tablets, Back."""

from datetime import timedelta
from unittest import mock

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.intake import drafts
from jobs.intake.models import Draft
from tests import factory
from tests.intake import sittings
from tests.intake.sittings import hidden

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _open_shop(db: None) -> None:
    sittings.open_shop()


def begun_at(client: Client) -> Draft:
    start = client.get("/take-in/").content.decode()
    client.post("/take-in/", {"key": hidden(start, "key")})
    return Draft.objects.latest("pk")


def at(row: Draft, name: str, *more: str) -> str:
    return reverse(f"intake:{name}", args=[row.key, *more])


def test_a_locked_kiosk_shows_no_step_and_asks_for_name_and_pin() -> None:
    locked = sittings.kiosk(open_for="")
    assert locked.get("/take-in/")["Location"] == reverse("kiosk:home")
    assert "PIN" in locked.get(reverse("kiosk:home")).content.decode()


def test_two_idle_minutes_lock_the_kiosk_and_keep_the_draft() -> None:
    tablet = sittings.kiosk()
    row = begun_at(tablet)
    party = factory.party("Imelda Rookstone")
    tablet.post(at(row, "choose"), {"role": "depositor", "party": str(party.pk), "version": "1"})
    with mock.patch("shop.people.kiosk.timezone.now", return_value=timezone.now() + timedelta(seconds=121)):
        for address in (at(row, "step", "who"), "/take-in/"):
            gone = tablet.get(address)
            assert gone["Location"] == reverse("kiosk:home")
        assert "Imelda" not in tablet.get(reverse("kiosk:home")).content.decode()
    row.refresh_from_db()
    assert drafts.from_json(row.data).depositor == party.pk
    tablet.post("/kiosk/open/", {"username": "maris", "pin": sittings.PIN})
    assert "Imelda Rookstone" in tablet.get("/take-in/").content.decode()
    assert tablet.get(at(row, "step", "who")).status_code == 200


def test_a_finger_on_the_glass_keeps_it_open() -> None:
    tablet = sittings.kiosk()
    row = begun_at(tablet)
    now = timezone.now()
    for seconds in (100, 200, 300):
        with mock.patch("shop.people.kiosk.timezone.now", return_value=now + timedelta(seconds=seconds)):
            assert tablet.post("/take-in/awake/").status_code == 204
    with mock.patch("shop.people.kiosk.timezone.now", return_value=now + timedelta(seconds=400)):
        assert tablet.get(at(row, "step", "who")).status_code == 200


def test_what_is_typed_after_the_lock_is_not_taken_and_the_page_is_sent_home() -> None:
    tablet = sittings.kiosk()
    row = begun_at(tablet)
    tablet.post(reverse("kiosk:lock"))
    late = tablet.post(at(row, "save", "said"), {"version": "1"}, headers={"X-Quick": "1"})
    assert late["Location"] == reverse("kiosk:home")


def test_another_tablet_or_another_receiver_cannot_open_a_draft() -> None:
    row = begun_at(sittings.kiosk())
    assert sittings.kiosk("Back room tablet").get(at(row, "step", "who")).status_code == 404
    assert sittings.kiosk(open_for="ottilie").get(at(row, "step", "who")).status_code == 404
    assert sittings.desk().get(at(row, "step", "who")).status_code == 200


def test_a_desks_draft_does_not_open_at_the_kiosk() -> None:
    row = sittings.begun(sittings.draft(factory.party("Imelda Rookstone")))
    tablet = sittings.kiosk()
    assert tablet.get(at(row, "step", "who")).status_code == 404
    assert "Imelda" not in tablet.get("/take-in/").content.decode()


def test_after_the_note_is_sealed_and_placed_back_shows_nothing_of_the_last_person() -> None:
    tablet = sittings.kiosk()
    row = begun_at(tablet)
    made = sittings.draft(factory.party("Imelda Rookstone"))
    Draft.objects.filter(pk=row.pk).update(data=drafts.to_json(made))
    text = tablet.get(at(row, "step", "sign")).content.decode()
    tablet.post(at(row, "seal"), sittings.signed_form(text))
    for step in ("who", "items", "sign"):
        assert tablet.get(at(row, "step", step))["Location"] == at(row, "place")
    key = hidden(tablet.get(at(row, "place")).content.decode(), "key")
    place = {f"place-{made.pieces[0].key}": str(factory.location().pk), "key": key}
    blank = tablet.post(at(row, "place"), place, follow=True)
    assert blank.request["PATH_INFO"] == "/take-in/"
    assert "Next owner" in blank.content.decode()
    assert "Imelda" not in blank.content.decode()
    for name, args in (("step", ("who",)), ("step", ("sign",)), ("place", ()), ("note-pdf", ()), ("tags-pdf", ())):
        back = tablet.get(at(row, name, *args))
        assert back["Location"] == "/take-in/", name


def test_every_page_of_a_sitting_forbids_the_browser_to_keep_it() -> None:
    tablet = sittings.kiosk()
    row = begun_at(tablet)
    made = sittings.draft(factory.party("Imelda Rookstone"))
    Draft.objects.filter(pk=row.pk).update(data=drafts.to_json(made))
    sent = {"piece": made.pieces[0].key, "slot": made.pieces[0].key, "view": "front-full", "send_key": "send-front-1"}
    photo = tablet.post(at(row, "photo"), {**sent, "file": sittings.upload()}, headers={"X-Quick": "1"}).json()
    addresses = [photo["src"], "/take-in/", *(at(row, "step", step) for step in ("who", "photos", "sign"))]
    for address in addresses:
        answer = tablet.get(address)
        assert answer.getvalue()
        assert "no-store" in answer["Cache-Control"], address
