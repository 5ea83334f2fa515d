"""The page of price-list work, pressed by hand and by the page itself; at the desk and at a kiosk."""

import re
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Job, Party
from jobs.book.stages import Stage
from jobs.custody.models import Location, Sighting
from jobs.intake import drafts
from jobs.intake.models import Draft
from jobs.intake.priced import ready_day
from jobs.photos.models import Photo
from shop.clock import Opening, day_words
from shop.people.roles import Role
from tests import factory
from tests.intake import sittings
from tests.intake.counters import WEEK, counted, open_counter
from tests.intake.test_counter import dearer_now

pytestmark = pytest.mark.django_db
START = reverse("intake:start")


@pytest.fixture
def desk() -> Client:
    open_counter()
    return sittings.desk()


def begin(client: Client) -> str:
    """Press “Price-list work”; the address of its page."""
    answer = client.post(START, {"key": "begin-by-list", "way": "list"})
    assert answer.status_code == 302
    assert answer["Location"].endswith("/counter/")
    return str(answer["Location"])


def send(client: Client, address: str, typed: dict[str, Any], *, quick: bool = False) -> Any:
    """The page's one form, as it stands there now."""
    version = Draft.objects.latest("pk").version
    headers = {"X-Quick": "1"} if quick else {}
    return client.post(f"{address}keep/", {"version": version, **typed}, headers=headers)


def test_from_the_first_press_to_the_queue(desk: Client) -> None:
    owner = factory.party()
    address = begin(desk)
    found = desk.post(address.replace("counter", "who/find"), {"version": 1, "role": "depositor", "sought": "Rook"})
    assert "Imelda Rookstone" in found.content.decode()
    version = Draft.objects.get().version
    chosen = desk.post(
        address.replace("counter", "who/choose"), {"version": version, "role": "depositor", "party": owner.pk}
    )
    assert chosen["Location"] == address
    answer = send(desk, address, {"n-RH-VN-Bw": "3", "to": "sign"})
    assert answer["Location"].endswith("/sign/")
    page = desk.get(answer["Location"]).content.decode()
    assert page.count("Agreed by signing, from the price list since Wed 1 Jan 2020") == 3
    assert "137.97" in page
    sealed = desk.post(address.replace("counter", "seal"), sittings.signed_form(page))
    assert sealed["Location"].endswith("/place/")
    place = desk.get(sealed["Location"]).content.decode()
    assert "All of them" in place
    tags = desk.get(address.replace("counter/", "tags.pdf"))
    assert tags.content.count(b"/Type/Page\n") + len(re.findall(rb"/Type\s*/Page\b(?!s)", tags.content)) >= 3
    hook = Location.objects.get(name="R2-7")
    placed = desk.post(sealed["Location"], {"key": sittings.hidden(place, "key"), "place-all": hook.pk})
    assert placed["Location"] == START
    assert list(Sighting.objects.values_list("location__name", flat=True)) == ["R2-7"] * 3
    # the follower runs after commit, which this test never reaches: the place page itself moves them on
    assert set(Job.objects.values_list("stage", flat=True)) == {Stage.QUE}
    assert desk.get(address)["Location"] == START, "Back shows nothing of the last person"


def test_the_page_is_told_the_sum_and_the_pieces_while_it_is_typed(desk: Client) -> None:
    address = begin(desk)
    answer = send(desk, address, {"n-ST-VN-Vn": "2"}, quick=True).json()
    tomorrow = ready_day(timezone.now().date(), 1, Opening(WEEK, ZoneInfo("UTC")))
    assert (answer["total"], answer["ready"]) == ("93.28", day_words(tomorrow))
    assert answer["html"].count("data-piece=") == 2
    assert answer["stops"] == "Say who brings it in."
    refused = send(desk, address, {"n-ST-VN-Vn": "500"}, quick=True)
    assert refused.status_code == 422
    assert "24 items" in refused.json()["words"]
    plain = send(desk, address, {"n-ST-VN-Vn": "500"})
    assert plain.status_code == 422
    assert 'value="500"' in plain.content.decode(), "what was typed stays"


def test_an_old_page_writes_nothing_over_a_newer_one(desk: Client) -> None:
    address = begin(desk)
    send(desk, address, {"n-ST-VN-Vn": "2"}, quick=True)
    stale = desk.post(f"{address}keep/", {"version": 1, "n-ST-VN-Vn": "1"})
    assert stale.status_code == 409
    assert "changed elsewhere" in stale.content.decode()
    assert len(drafts.from_json(Draft.objects.get().data).pieces) == 2


def test_a_price_changed_meanwhile_is_told_on_both_pages_and_taken_by_reading_again(desk: Client) -> None:
    owner = factory.party()
    row = counted(owner, RH_VN_Bw="1")
    address = f"{START}{row.key}/counter/"
    page = desk.get(send(desk, address, {"to": "sign"})["Location"]).content.decode()
    dearer_now()
    answer = desk.post(address.replace("counter", "seal"), sittings.signed_form(page))
    assert answer.status_code == 409
    words = answer.content.decode()
    assert "45.99 before, 49.99 now" in words
    assert not Job.objects.exists()
    assert "45.99 before, 49.99 now" in desk.get(address).content.decode()
    page = desk.get(send(desk, address, {"to": "sign"})["Location"]).content.decode()
    assert "49.99" in page
    assert desk.post(address.replace("counter", "seal"), sittings.signed_form(page)).status_code == 302


def test_a_picture_is_taken_instead_of_a_reason(desk: Client) -> None:
    row = counted(factory.party(), RH_VN_Bw="1")
    piece = drafts.from_json(row.data).pieces[0].key
    photo = desk.post(
        f"{START}{row.key}/photo/",
        {"piece": piece, "slot": piece, "view": "bow-full", "send_key": "a-key-to-send", "file": sittings.upload()},
    )
    assert photo.status_code == 302
    assert "/counter/" in photo["Location"]
    address = f"{START}{row.key}/counter/"
    page = desk.get(send(desk, address, {"to": "sign"})["Location"]).content.decode()
    assert desk.post(address.replace("counter", "seal"), sittings.signed_form(page)).status_code == 302
    job = Job.objects.get()
    assert Photo.objects.get().job == job
    assert "bow-full" not in job.missing_views
    assert set(job.missing_views.values()) == {"price-list work, not photographed"}


def test_the_other_steps_lead_back_to_the_one_page_and_a_full_intake_has_no_counter(desk: Client) -> None:
    row = counted(factory.party(), RH_VN_Bw="1")
    for step in ("items", "said", "photos", "condition", "value"):
        assert desk.get(f"{START}{row.key}/{step}/")["Location"].endswith("/counter/")
    assert desk.get(f"{START}{row.key}/who/").status_code == 200
    assert f"{START}{row.key}/counter/" in desk.get(START).content.decode()
    full = sittings.begun()
    assert desk.get(f"{START}{full.key}/counter/")["Location"].endswith("/who/")
    version = Draft.objects.get(pk=full.pk).version
    assert desk.post(f"{START}{full.key}/counter/keep/", {"version": version, "n-RH-VN-Bw": "1"}).status_code == 422


def test_somebody_new_is_written_down_on_the_same_page(desk: Client) -> None:
    address = begin(desk)
    typed = {"version": 1, "role": "depositor", "key": "a-new-person-key", "name": "Corvin Ashgrove"}
    who = address.replace("counter", "who/write")
    refused = desk.post(who, {**typed, "email": "no address"})
    assert refused.status_code == 422
    assert "What is to be done" in refused.content.decode()
    assert desk.post(who, typed)["Location"] == address
    assert desk.post(who, typed)["Location"] == address
    assert Party.objects.filter(name="Corvin Ashgrove").count() == 1


def test_a_kiosk_does_it_too_and_the_bench_does_not() -> None:
    open_counter()
    tablet = sittings.kiosk()
    address = begin(tablet)
    assert send(tablet, address, {"n-RH-VN-Bw": "1"}, quick=True).status_code == 200
    assert tablet.get(address).status_code == 200
    assert sittings.desk(Role.TECHNICIAN).get(address).status_code == 403
    assert sittings.desk(Role.DESK).get(address).status_code in {200, 404}


def test_an_empty_list_says_whom_to_ask() -> None:
    sittings.open_shop()
    page = sittings.desk()
    assert "Ask the head luthier" in page.get(begin(page)).content.decode()
