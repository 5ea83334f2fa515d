"""The price list as a table: typed, raised, put in force, printed."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from jobs.book.models import Entry
from jobs.book.refusals import Refused, Stale
from jobs.catalogue.models import FixedPrice, PriceList
from jobs.catalogue.price_reads import fixed_of, list_on, rates_of
from jobs.catalogue.price_steps import add_price, begin_list
from jobs.catalogue.reads import minimum_on, rate_for
from jobs.office.changing import Faults, mark
from jobs.office.price_steps import keep_table, rise_all, rises, shown_of, sum_in
from shop.people.roles import Role
from tests import factory
from tests.office.rooms import head, hidden

pytestmark = pytest.mark.django_db


def now() -> Any:
    return timezone.now()


@pytest.fixture
def draft() -> PriceList:
    factory.shop()
    factory.prices()
    by, at = factory.person(Role.HEAD), now()
    made = begin_list(since=at.date() + timedelta(days=1), by=by, at=at)
    add_price(
        made, code="RH-VN", words="Rehair, violin bow", kinds="Bw", labour=Decimal(33), goods=Decimal(12),
        goods_words="bow hair", ready_days=3, job_kind="rehair", by=by, at=at,
    )  # fmt: skip
    add_price(made, code="PEGS", words="Fit a peg", kinds="Vn Va", labour=Decimal(40), ready_days=2, by=by, at=at)
    return made


def shown(draft: PriceList) -> dict[str, object]:
    draft.refresh_from_db()
    return shown_of(draft, rates_of(draft), fixed_of(draft), 2)


def keep(draft: PriceList, seen: str = "", **cells: str) -> int:
    stands = shown(draft)
    typed = {name: str(value) for name, value in stands.items()} | {
        key.replace("__", "-"): v for key, v in cells.items()
    }
    return keep_table(draft, typed, seen=seen or mark(stands), by=factory.person(Role.HEAD), at=now())


def test_many_cells_are_kept_at_once_each_with_both_values(draft: PriceList) -> None:
    assert (
        keep(draft, **{"rate-3": "80", "minimum": "15", "labour-PEGS": "42.50", "goods-RH-VN": "", "gw-RH-VN": ""}) == 5
    )
    assert (FixedPrice.objects.get(code="PEGS").labour, FixedPrice.objects.get(code="RH-VN").goods) == (
        Decimal("42.50"),
        Decimal(0),
    )
    told = {
        entry.data["what"]: (entry.data["from"], entry.data["to"])
        for entry in Entry.objects.filter(action="prices.changed")
    }
    assert told["minimum"] == ("0.00", "15.00")
    assert told["rate 3"] == ("78.00", "80.00")
    today = now().date()
    assert (minimum_on(today), rate_for(3, today)) == (Decimal(0), Decimal(78)), "a draft counts for nothing"
    assert keep(draft) == 0


def test_one_wrong_cell_keeps_none_and_is_marked(draft: PriceList) -> None:
    with pytest.raises(Faults) as refused:
        keep(
            draft, **{"labour-PEGS": "42,5", "days-RH-VN": "soon", "rate-3": "-1", "minimum": "1.234", "words-PEGS": ""}
        )
    assert set(refused.value.by_field) == {"labour-PEGS", "days-RH-VN", "rate-3", "minimum"}
    assert FixedPrice.objects.get(code="PEGS").labour == 40
    with pytest.raises(Faults) as refused:
        keep(draft, **{"words-PEGS": "", "labour-PEGS": "45"})
    assert set(refused.value.by_field) == {"words-PEGS"}
    assert FixedPrice.objects.get(code="PEGS").labour == 40


def test_two_at_one_table(draft: PriceList) -> None:
    seen = mark(shown(draft))
    keep(draft, seen, **{"labour-PEGS": "41"})
    with pytest.raises(Stale):
        keep(draft, seen, **{"labour-PEGS": "43"})


def test_everything_rises_as_it_was_shown(draft: PriceList) -> None:
    coming = {one.code: (one.old, one.new) for one in rises(draft, Decimal(4), Decimal("0.50"), ("rates", "labour"))}
    assert coming["labour-RH-VN"] == (Decimal(33), Decimal("34.50"))
    assert coming["rate-3"] == (Decimal(78), Decimal(81))
    seen, by = mark(shown(draft)), factory.person(Role.HEAD)
    assert rise_all(draft, Decimal(4), Decimal("0.50"), ("rates", "labour"), seen=seen, by=by, at=now()) == 6
    price = FixedPrice.objects.get(code="RH-VN")
    assert (price.labour, price.goods) == (Decimal("34.50"), Decimal(12))
    with pytest.raises(Stale):
        rise_all(draft, Decimal(4), Decimal("0.50"), ("rates", "labour"), seen=seen, by=by, at=now())


@pytest.mark.parametrize("typed", ["1,5", "-1", "1.005", "a"])
def test_what_is_no_price(typed: str) -> None:
    with pytest.raises(Refused):
        sum_in(typed, 2)


def _write(client: Client, draft: PriceList, **more: str) -> Any:
    page = client.get(f"/shop/prices/{draft.pk}/write/").content.decode()
    cells = {name: str(value) for name, value in shown(draft).items()}
    return client.post(
        f"/shop/prices/{draft.pk}/write/", {**cells, "seen": hidden(page, "seen"), "key": hidden(page, "key"), **more}
    )


def test_on_the_page_a_list_is_written_raised_and_put_in_force(draft: PriceList) -> None:
    client = head()
    assert _write(client, draft, **{"labour-PEGS": "44", "on-RH-VN": ""}).status_code == 302
    assert (FixedPrice.objects.get(code="PEGS").labour, FixedPrice.objects.get(code="RH-VN").active) == (
        Decimal(44),
        False,
    )
    looked = client.post(f"/shop/prices/{draft.pk}/rise/", {"percent": "10", "step": "1.00", "labour": "1"})
    text = looked.content.decode()
    assert "48.00" in text
    assert FixedPrice.objects.get(code="PEGS").labour == 44, "only shown"
    take = {"percent": "10", "step": "1.00", "labour": "1", "seen": hidden(text, "seen"), "do": "take"}
    assert client.post(f"/shop/prices/{draft.pk}/rise/", take).status_code == 302
    assert FixedPrice.objects.get(code="PEGS").labour == 48
    assert _write(client, draft, do="force").status_code == 302
    tomorrow = now().date() + timedelta(days=1)
    assert list_on(tomorrow) == draft
    assert _write_refused(client, draft)


def _write_refused(client: Client, draft: PriceList) -> bool:
    answer = client.post(f"/shop/prices/{draft.pk}/write/", {"seen": "x", "key": "a-key-of-old"})
    return answer.status_code == 302 and answer["Location"] == f"/shop/prices/{draft.pk}/"


@pytest.mark.parametrize("page", ["a4", "us-letter"])
def test_the_list_is_printed_in_the_paper_of_the_shop(draft: PriceList, page: str) -> None:
    factory.shop(page=page)
    for address in (f"/shop/prices/{draft.pk}.pdf", f"/shop/prices/{draft.pk}.pdf?tax=without"):
        answer = head().get(address)
        assert answer.status_code == 200
        assert answer.content.startswith(b"%PDF-")
