"""The page and the box that find anything: what they say, to whom, and at what cost."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.book.models import Item, Job, Party
from jobs.book.stages import Stage
from jobs.index.models import IndexWord
from jobs.index.steps import fill
from jobs.tags.models import Tag
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
BOXED: dict[str, Any] = {"HTTP_HX_REQUEST": "true"}


def _client(role: Role = Role.DESK) -> Client:
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


def _find(typed: str, role: Role = Role.DESK, **how: Any) -> str:
    answer = _client(role).get(reverse("register:find"), {"q": typed}, **how)
    assert answer.status_code == 200
    return answer.content.decode()


def _cello() -> Job:
    factory.shop()
    owner = factory.party("Odile Crossmoor", phone="+442079460123", address="3 Tannery Yard")
    job = factory.job(
        Stage.BEN, owner=owner, item=factory.item(owner, kind="Vc", title="Cello 4/4", marks="red-brown"),
        number="26-0417", promised=NOW.date(),
    )  # fmt: skip
    fill()
    return job


def test_an_answer_says_number_thing_owner_stage_and_day() -> None:
    _cello()
    page = _find("crossmoor")
    for words in (
        "26-0417",
        "Cello 4/4",
        "Odile Crossmoor · red-brown",
        "On the bench, Wed 25 Nov",
        "1 here · 1 in the book",
    ):
        assert words in page, words
    assert "+442079460123" in page


def test_what_has_gone_home_says_when() -> None:
    job = _cello()
    Job.objects.update(stage=Stage.HOME, closed_at=NOW.replace(month=10, day=3), closed_as="home")
    fill()
    assert "Gone home Sat 3 Oct" in _find("crossmoor")
    assert reverse("register:item", args=[job.item_id]) in _find("crossmoor")


def test_the_bench_finds_things_and_whose_they_are_but_no_telephone() -> None:
    job = _cello()
    page = _find("crossmoor", Role.TECHNICIAN)
    assert "26-0417" in page
    assert "+44" not in page
    assert reverse("register:owner", args=[job.item.owner_id]) not in page
    for typed in ("9460", "020 7946 0123", "tannery"):
        assert "Nothing found for" in _find(typed, Role.TECHNICIAN)
        assert "Odile Crossmoor" in _find(typed)


def test_the_name_of_a_minor_is_said_only_at_the_desk() -> None:
    factory.shop()
    factory.job(owner=factory.party("Wren Hollowell", minor=True), number="26-0500")
    fill()
    assert "Wren Hollowell" in _find("0500")
    page = _find("0500", Role.LUTHIER)
    assert "Hollowell" not in page
    assert "a young player" in page
    assert "26-0500" not in _find("hollowell", Role.LUTHIER)


def test_twins_are_told_apart() -> None:
    factory.shop()
    for phone, address in (("+442079460001", "1 Ash Lane"), ("+442079460002", "2 Elm Lane")):
        factory.party("Anna Smith", phone=phone, email=f"{phone[1:]}@example.org", address=address)
    fill()
    page = _find("anna smith")
    assert "+442079460001 · 442079460001@example.org · 1 Ash Lane" in page
    assert "2 Elm Lane" in page


def test_enter_opens_the_first_and_a_scanned_tag_its_page() -> None:
    job = _cello()
    Tag.objects.update(code="7K2M9QWD")
    IndexWord.objects.all().delete()
    fill()
    client = _client()

    def first(typed: str) -> Any:
        return client.get(reverse("register:find"), {"q": typed, "first": "1"})

    assert first("0417")["Location"] == reverse("desk:job", args=[job.number])
    for typed in ("HTTPS://SHOP.EXAMPLE/T/7K2M9QWD", "7k2m 9qwd", "7k2m9qwd"):
        assert first(typed)["Location"] == reverse("scan:tag", args=["7K2M9QWD"])
    nothing = first("zzyzx")
    assert nothing.status_code == 200
    assert "Nothing found for “<bdi>zzyzx</bdi>”" in nothing.content.decode()


def test_an_old_tag_says_so() -> None:
    _cello()
    Tag.objects.update(code="7K2M9QWD", dead_at=NOW)
    IndexWord.objects.all().delete()
    fill()
    assert "old tag" in _find("7K2M 9QWD")


def test_nothing_found_says_what_to_do_next() -> None:
    _cello()
    assert reverse("intake:start") in _find("zzyzx")
    assert reverse("intake:start") not in _find("zzyzx", Role.TECHNICIAN).split('id="main"')[1]
    assert "another spelling" in _find("zzyzx", **BOXED)


def test_the_box_gets_the_list_alone() -> None:
    _cello()
    part = _find("crossmoor", **BOXED)
    assert "<html" not in part
    assert part.count('role="option"') == 3
    assert 'data-count="3 found."' in part
    assert _find("", **BOXED).strip() == ""


@pytest.mark.parametrize(
    "typed", ["%", "_", "'\"><script>", "a" * 10_000, "\x00", "🎻", "\u202eoni", "-- ; DROP", "((((", "*"]
)
def test_nothing_typed_breaks_the_page_or_its_writing(typed: str) -> None:
    _cello()
    for how in ({}, BOXED):
        assert "<script>" not in _find(typed, **how)


def _many(count: int) -> None:
    parties = Party.objects.bulk_create(Party(name=f"Anna Crossley {n}", made_at=NOW) for n in range(count // 3))
    items = Item.objects.bulk_create(
        Item(kind="Vc", title="Cello 4/4", size="4/4", owner=party, made_at=NOW) for party in parties
    )
    Job.objects.bulk_create(
        Job(number=f"20-{n:04}", item=items[n % len(items)], opened_at=NOW, stage_since=NOW) for n in range(count)
    )


@pytest.mark.parametrize("count", [50, 5000])
def test_a_keystroke_costs_the_same_for_fifty_and_five_thousand(count: int) -> None:
    _cello()
    _many(count)
    fill()
    client = _client()
    for typed in ("a", "c", "crossmoor", "odile cello", "9460", "7k2", "0417", "zzyzx"):
        with CaptureQueriesContext(connection) as seen:
            assert client.get(reverse("register:find"), {"q": typed}, **BOXED).status_code == 200
        assert len(seen) <= 6, (typed, [one["sql"][:90] for one in seen])


def test_the_box_is_on_every_page_of_the_shop_and_on_no_kiosk() -> None:
    job = _cello()
    desk, bench = _client(), _client(Role.TECHNICIAN)
    for client, address in (
        (desk, reverse("board:rails")),
        (desk, reverse("desk:letters")),
        (desk, reverse("desk:job", args=[job.number])),
        (bench, reverse("scan:bench", args=[job.number])),
    ):
        assert "data-find" in client.get(address).content.decode(), address
    assert "data-find" not in Client().get(reverse("people:sign-in")).content.decode()
