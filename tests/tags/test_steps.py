"""A tag is bound once; a torn one is followed by a new one and its code is dead."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from jobs.book.models import Entry
from jobs.book.refusals import Refused
from jobs.tags.models import Tag
from jobs.tags.reads import find, live_tag, tag_address, tag_text, texts_for
from jobs.tags.steps import bind, reissue, void
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


def test_an_item_gets_one_tag_and_the_trail_shows_it() -> None:
    violin, maris = factory.item(factory.party()), factory.person()
    tag = bind(violin, by=maris, at=NOW)
    assert live_tag(violin) == tag
    entry = Entry.objects.get(action="tag.bound")
    assert (entry.item, entry.by, entry.data) == (violin, maris, {"tag": tag.pk})
    with pytest.raises(Refused, match=rf"already has the tag {tag.code[:4]} {tag.code[4:]}"):
        bind(violin, by=maris, at=NOW)


def test_the_database_itself_allows_no_second_live_tag() -> None:
    violin = factory.item(factory.party())
    bind(violin, by=None, at=NOW)
    with pytest.raises(IntegrityError), transaction.atomic():
        Tag.objects.create(item=violin, code="7K2M9QWD", at=NOW)


def test_a_code_that_is_taken_is_picked_again() -> None:
    first = bind(factory.item(factory.party()), by=None, at=NOW, pick=lambda: "7K2M9QWD")
    codes = iter(["7K2M9QWD", "7K2M9QWD", "QX3N8RTM"])
    second = bind(factory.item(factory.party()), by=None, at=NOW, pick=lambda: next(codes))
    assert (first.code, second.code) == ("7K2M9QWD", "QX3N8RTM")
    with pytest.raises(Refused, match="No free code"):
        bind(factory.item(factory.party()), by=None, at=NOW, pick=lambda: "7K2M9QWD")


def test_a_new_tag_takes_the_place_of_a_torn_one() -> None:
    violin = factory.item(factory.party())
    old = bind(violin, by=None, at=NOW)
    new = reissue(violin, torn=old.pk, reason="torn at the hole", by=None, at=NOW + timedelta(days=1))
    old.refresh_from_db()
    assert (old.dead_at, old.dead_reason) == (NOW + timedelta(days=1), "torn at the hole")
    assert live_tag(violin) == new
    found = find(old.code)
    assert (found.tag, found.live, found.instead) == (old, False, new)
    assert "taken out of use" in found.words
    assert [entry.action for entry in Entry.objects.order_by("pk")] == ["tag.bound", "tag.voided", "tag.bound"]


def test_two_presses_at_once_make_one_new_tag() -> None:
    violin = factory.item(factory.party())
    old = bind(violin, by=None, at=NOW)
    new = reissue(violin, torn=old.pk, reason="torn", by=None, at=NOW)
    assert reissue(violin, torn=old.pk, reason="torn", by=None, at=NOW) is None, "it saw a tag that is dead by now"
    assert live_tag(violin) == new
    assert Tag.objects.filter(item=violin).count() == 2


def test_an_item_without_a_tag_gets_one() -> None:
    violin = factory.item(factory.party())
    assert reissue(violin, torn=None, reason="lost", by=None, at=NOW) == live_tag(violin)


def test_a_tag_is_voided_once_and_with_a_reason() -> None:
    tag = bind(factory.item(factory.party()), by=None, at=NOW)
    with pytest.raises(Refused, match="Write why"):
        void(tag, reason=" ", by=None, at=NOW)
    void(tag, reason="lost", by=None, at=NOW)
    with pytest.raises(Refused, match="already"):
        void(tag, reason="lost", by=None, at=NOW)


def test_codes_are_found_however_typed_and_unknown_ones_say_so() -> None:
    tag = bind(factory.item(factory.party()), by=None, at=NOW, pick=lambda: "0K2M1QWD")
    for typed in ("0K2M1QWD", "ok2m iqwd", "HTTPS://OLD.EXAMPLE/T/0K2M1QWD"):
        assert find(typed).tag == tag
        assert find(typed).live
    assert find("7K2M 9QWD").words == "No tag of this shop has that code. Look at the letters again."
    assert "not a tag's code" in find("hello").words


def test_a_tag_says_neither_value_nor_telephone_nor_the_name_of_a_minor(settings: Any) -> None:
    settings.PUBLIC_ADDRESS = "https://tags.example.org"
    shop = factory.shop(telephone="01632 960 400", address="3 Tannery Yard\nOstlemere")
    owner = factory.party("Imelda Rookstone", phone="+441632960411")
    job = factory.job(owner=owner, value_stated=2400, number="26-0402")
    tag = live_tag(job.item)
    assert tag
    text = tag_text(tag, job, shop)
    assert (text.number, text.owner, text.item) == ("0402", "Rookstone", "Violin 4/4")
    assert text.url == tag_address(tag) == f"HTTPS://TAGS.EXAMPLE.ORG/T/{tag.code}"
    assert text.address == "3 Tannery Yard, Ostlemere"
    assert text.taken_in == "22 November"
    said = " ".join(str(getattr(text, name)) for name in text.__slots__)
    for hidden in ("2400", "960", "Imelda"):
        assert hidden not in said
    child = factory.job(owner=factory.party("Wren Sandhollow", minor=True))
    tag = live_tag(child.item)
    assert tag
    assert tag_text(tag, child, shop).owner == ""


def test_the_tags_of_several_jobs_come_in_their_order_with_one_query(django_assert_num_queries: Any) -> None:
    shop = factory.shop()
    jobs = [factory.job(number=f"26-100{number}") for number in range(3)]
    with django_assert_num_queries(1):
        texts = texts_for(reversed(jobs), shop)
    assert [text.number for text in texts] == ["1002", "1001", "1000"]
