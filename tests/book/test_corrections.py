"""Names, addresses and items put right: both values kept, nobody overwritten, nobody's address taken."""

import pytest

from jobs.book.corrections import correct_item, correct_party
from jobs.book.models import Correction, Entry, Item, Party
from jobs.book.refusals import HeldBy, Refused, Stale
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def maris() -> Person:
    return factory.person(Role.DESK)


@pytest.fixture
def imelda() -> Party:
    return factory.party("Imelda Rookstone", email="imelda@exmaple.org", phone="+442079460155", address="9 Weir Lane")


def test_both_values_are_kept_and_the_entry_names_nobody(imelda: Party, maris: Person) -> None:
    made = correct_party(
        imelda.pk, {"email": " Imelda@Example.org "}, seen={"email": "imelda@exmaple.org"}, by=maris, at=NOW
    )
    assert [(one.what, one.before, one.after) for one in made] == [
        ("email", "imelda@exmaple.org", "imelda@example.org")
    ]
    entry = Entry.objects.get(action="party.corrected")
    assert entry.data == {"correction": made[0].pk, "what": "email", "party": imelda.pk}
    assert "imelda" not in str(entry.data).replace("party", "")


def test_what_is_kept_of_a_person_can_be_erased_while_the_entry_stays(imelda: Party, maris: Person) -> None:
    correct_party(imelda.pk, {"name": "Imelda Rookstein"}, seen={}, by=maris, at=NOW)
    Correction.objects.filter(party=imelda).delete()
    assert Entry.objects.filter(action="party.corrected").count() == 1


def test_several_things_at_once_are_several_corrections(imelda: Party, maris: Person) -> None:
    wanted = {"name": "Imelda  Rookstein", "address": "9 Weir Lane\r\n\r\n Ostlemere ", "phone": "020 7946 0156"}
    correct_party(imelda.pk, wanted, seen={}, by=maris, at=NOW)
    imelda.refresh_from_db()
    assert (imelda.name, imelda.address, imelda.phone) == (
        "Imelda Rookstein",
        "9 Weir Lane\nOstlemere",
        "+442079460156",
    )
    assert Correction.objects.filter(party=imelda).count() == 3


def test_the_same_again_is_no_correction(imelda: Party, maris: Person) -> None:
    same = {"name": imelda.name, "email": imelda.email, "phone": "020 7946 0155", "address": "9 Weir Lane\r\n"}
    assert correct_party(imelda.pk, same, seen={}, by=maris, at=NOW) == []
    assert not Entry.objects.filter(action="party.corrected").exists()


@pytest.mark.parametrize(("what", "value"), [("email", "lorcan@example.org"), ("phone", "020 7946 0199")])
def test_what_is_someone_elses_is_refused_and_says_whose(imelda: Party, maris: Person, what: str, value: str) -> None:
    lorcan = factory.party("Lorcan Appletree", email="lorcan@example.org", phone="+442079460199")
    with pytest.raises(HeldBy, match="Lorcan Appletree") as refused:
        correct_party(imelda.pk, {what: value}, seen={}, by=maris, at=NOW)
    assert refused.value.party == lorcan.pk
    assert not Correction.objects.exists()


@pytest.mark.parametrize(
    ("what", "value", "words"),
    [
        ("email", "imelda at example", "not an e-mail"),
        ("email", f"{'i' * 250}@example.org", "not an e-mail"),
        ("phone", "12", "too few"),
        ("name", "  ", "Write a name"),
        ("name", "I" * 161, "too long"),
    ],
)
def test_nonsense_is_refused_in_words(imelda: Party, maris: Person, what: str, value: str, words: str) -> None:
    with pytest.raises(Refused, match=words):
        correct_party(imelda.pk, {what: value}, seen={}, by=maris, at=NOW)


def test_an_email_may_be_taken_away(imelda: Party, maris: Person) -> None:
    correct_party(imelda.pk, {"email": ""}, seen={}, by=maris, at=NOW)
    imelda.refresh_from_db()
    assert imelda.email == ""


def test_the_second_desk_is_told_and_sees_the_first_ones_value(imelda: Party, maris: Person) -> None:
    opened = {"email": imelda.email, "name": imelda.name}
    correct_party(imelda.pk, {"email": "imelda@example.org"}, seen=opened, by=maris, at=NOW)
    ottilie = factory.person(Role.HEAD)
    with pytest.raises(Stale, match=r"Maris has just changed the e-mail to “imelda@example\.org”"):
        correct_party(imelda.pk, {"email": "i.rookstone@example.org"}, seen=opened, by=ottilie, at=NOW)


def test_a_second_desk_that_left_a_field_alone_writes_over_nothing(imelda: Party, maris: Person) -> None:
    opened = {"email": imelda.email, "name": imelda.name}
    correct_party(imelda.pk, {"email": "imelda@example.org"}, seen=opened, by=maris, at=NOW)
    ottilie = factory.person(Role.HEAD)
    untouched = {"email": opened["email"], "name": "Imelda Rookstein"}
    made = correct_party(imelda.pk, untouched, seen=opened, by=ottilie, at=NOW)
    imelda.refresh_from_db()
    assert [one.what for one in made] == ["name"]
    assert imelda.email == "imelda@example.org"


def test_an_item_is_put_right_and_its_plain_title_follows(maris: Person) -> None:
    item = factory.item(factory.party())
    made = correct_item(item.pk, {"kind": "Va", "size": "16 in", "title": item.title}, seen={}, by=maris, at=NOW)
    item.refresh_from_db()
    assert (item.kind, item.size, item.title) == ("Va", "16 in", "Viola 16 in")
    assert [one.what for one in made] == ["kind", "size", "title"]
    assert [entry.item_id for entry in Entry.objects.filter(action="item.corrected")] == [item.pk] * 3


def test_a_title_somebody_wrote_does_not_follow(maris: Person) -> None:
    item = factory.item(factory.party(), title="The old school viola")
    correct_item(item.pk, {"kind": "Va"}, seen={}, by=maris, at=NOW)
    assert Item.objects.get(pk=item.pk).title == "The old school viola"


@pytest.mark.parametrize(("what", "value"), [("kind", "Xx"), ("size", "1" * 25), ("title", " "), ("asset", "A" * 41)])
def test_an_item_takes_no_nonsense(maris: Person, what: str, value: str) -> None:
    item = factory.item(factory.party())
    with pytest.raises(Refused):
        correct_item(item.pk, {what: value}, seen={}, by=maris, at=NOW)
