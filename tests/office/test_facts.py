"""The shop’s facts and figures: typed strictly, kept with both values, told to the second who changes them."""

import re
from decimal import Decimal

import pytest

from jobs.book.models import Entry
from jobs.book.refusals import Stale
from jobs.book.stages import Stage
from jobs.office.changes import changes_of
from jobs.office.changing import Faults, mark
from jobs.office.facts_steps import change_facts, shown_of
from shop.people.roles import Role
from shop.profile.models import FormerFact, Profile
from tests import factory
from tests.office.rooms import head, hidden

pytestmark = pytest.mark.django_db
NOW = factory.NOW


def change(group: str, seen: str | None = None, **typed: str) -> list[str]:
    shop = Profile.objects.get()
    stands = shown_of(shop, group)
    by = factory.person(Role.HEAD)
    return change_facts(group, {**stands, **typed}, seen=seen or mark(stands), by=by, at=NOW)


def test_a_change_keeps_both_values_and_names_stand_where_they_can_be_erased() -> None:
    factory.shop(telephone="+44 20 7946 0100")
    assert change("head", telephone="+44 20 7946 0199", page="us-letter") == ["Telephone", "Paper in the printer"]
    entry = Entry.objects.get(action="settings.changed")
    assert entry.data["changes"] == {"page": ["a4", "us-letter"]}
    assert "7946" not in str(entry.data), "what may be a person's own is not in the entry"
    kept = FormerFact.objects.get(pk=entry.data["former"]["telephone"])
    assert (kept.old, kept.new) == ("+44 20 7946 0100", "+44 20 7946 0199")
    shown = changes_of(("settings.changed",), Profile.objects.get(), at=NOW)[0]
    assert (shown.who, "its telephone from +44 20 7946 0100 to" in shown.words) == ("Ottilie", True)


def test_nothing_different_writes_nothing() -> None:
    factory.shop()
    assert change("head") == []
    assert change("figures") == []
    assert not Entry.objects.filter(action="settings.changed").exists()


def test_the_second_of_two_at_once_is_told_who_was_first() -> None:
    factory.shop()
    seen = mark(shown_of(Profile.objects.get(), "figures"))
    change("figures", seen=seen, markup_percent="40")
    with pytest.raises(Stale, match="Ottilie changed this"):
        change("figures", seen=seen, settling_days="90")
    assert Profile.objects.get().settling_days == 60


@pytest.mark.parametrize(
    ("group", "field", "typed", "words"),
    [
        ("head", "name", "  ", "needed"),
        ("head", "currency", "EURO", "1 letters too long"),
        ("head", "currency", "QQQ", "not a currency"),
        ("head", "time_zone", "Europe/Nowhere", "not a time zone"),
        ("head", "region", "ZZ", "not a country"),
        ("head", "email", "desk.example", "not an e-mail"),
        ("head", "page", "a3", "choose one"),
        ("figures", "markup_percent", "35,5", "not an amount"),
        ("figures", "markup_percent", "-1", "from 0"),
        ("figures", "deposit_percent", "101", "from 0 to 100"),
        ("figures", "deposit_percent", "33.333", "2 digits"),
        ("figures", "cover_limit", "1e9", "not an amount"),
        ("figures", "cover_limit", "12.345", "2 digits"),
        ("figures", "estimate_days", "0", "from 1 to 730"),
        ("figures", "estimate_days", "٣٠", "from 1"),
        ("figures", "settling_days", "6.5", "number of days"),
    ],
)
def test_what_cannot_be_kept_is_said_at_its_field_and_nothing_changes(
    group: str, field: str, typed: str, words: str
) -> None:
    factory.shop()
    before = Profile.objects.values().get()
    with pytest.raises(Faults) as refused:
        change(group, **{field: typed})
    assert set(refused.value.by_field) == {field}
    assert re.search(words, refused.value.by_field[field])
    assert Profile.objects.values().get() == before


def test_an_empty_cover_limit_is_no_limit_and_commas_stand_between_thousands() -> None:
    factory.shop()
    change("figures", cover_limit="")
    assert Profile.objects.get().cover_limit is None
    change("figures", cover_limit="30,000", deposit_percent="33.5 %")
    assert (Profile.objects.get().cover_limit, Profile.objects.get().deposit_percent) == (
        Decimal(30000),
        Decimal("33.5"),
    )


def test_the_currency_changes_only_while_no_money_is_written_down() -> None:
    factory.shop()
    change("head", currency="chf")
    assert Profile.objects.get().currency == "CHF"
    factory.job(Stage.QUE, agreed_words="rehair", agreed_net=Decimal(45))
    with pytest.raises(Faults, match="The currency stays CHF: a price was agreed"):
        change("head", currency="EUR")


def test_the_page_marks_the_field_and_keeps_what_was_typed() -> None:
    factory.shop()
    client = head()
    page = client.get("/shop/facts/").content.decode()
    seen = page.split('name="group" value="figures"')[1]
    sent = {"group": "figures", "seen": hidden(seen, "seen"), "estimate_days": "soon", "deposit_percent": "50"}
    answer = client.post("/shop/facts/", {**shown_of(Profile.objects.get(), "figures"), **sent})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="soon"' in text
    assert "write a number of days from 1 to 730" in text


def test_a_page_of_an_older_shop_is_answered_with_how_it_stands() -> None:
    factory.shop()
    sent = {**shown_of(Profile.objects.get(), "head"), "group": "head", "seen": "old", "telephone": "123"}
    answer = head().post("/shop/facts/", sent)
    assert answer.status_code == 409
    assert "You had typed: 123" in answer.content.decode()
