"""What is found, by whom, in which order; kept in step with the book."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.book.followers import follow, sweep
from jobs.book.models import Entry, Item, Job, Party, Watermark
from jobs.book.parties import make_item, make_party, open_job
from jobs.book.stages import Stage
from jobs.history.sentences import SENTENCES
from jobs.index.following import INDEXES_ON
from jobs.index.models import IndexWord
from jobs.index.reads import Found, find
from jobs.index.steps import FOLLOWER, fill, refresh
from jobs.tags.models import Tag
from jobs.tags.steps import bind, void
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


def _all() -> None:
    IndexWord.objects.all().delete()
    Watermark.objects.all().delete()
    fill()


def _cello(name: str = "Odile Crossmoor", **more: str) -> Job:
    owner = factory.party(name, phone="+442079460123", email="odile@crossmoor.example")
    thing = factory.item(owner, kind="Vc", title="Cello 4/4", marks="red-brown", labelled="Dunmarrow 1880", **more)
    return factory.job(Stage.BEN, owner=owner, item=thing, number="26-0417")


def _jobs(typed: str, *, reach: bool = True) -> list[str]:
    ids = find(typed, reach=reach).jobs.ids
    numbers = dict(Job.objects.filter(pk__in=ids).values_list("pk", "number"))
    return [numbers[pk] for pk in ids]


@pytest.mark.parametrize(
    "typed",
    [
        "crossmoor", "CROSS", "odi", "cello crossmoor", "crossmoor cello", "o cross", "0417", "417", "26-0417", "26-417",
        "kv-101", "KV101", "kv 101", "101", "dunmarrow", "1880", "red-brown", "brown", "4/4", "cello 4/4",
        "020 7946 0123", "+44 20 7946 0123", "+44 (0)20 7946", "0044 20 7946 0123", "0123", "9460", "7946 0123",
        "odile@crossmoor.example", "odile@cross", "crossmoor.example",
    ],
)  # fmt: skip
def test_an_open_job_is_found_by(typed: str) -> None:
    _cello(asset="KV-101")
    factory.job(item=factory.item(title="Violin 3/4", size="3/4"), number="25-0999")
    _all()
    assert _jobs(typed) == ["26-0417"]


@pytest.mark.parametrize(
    "typed", ["crossmoor violin", "0418", "ello", "%", "_", "crossmoor%", "' OR 1=1 --", "4/4 9999"]
)
def test_what_does_not_begin_so_is_not_found(typed: str) -> None:
    _cello()
    _all()
    assert _jobs(typed) in ([], ["26-0417"] if typed == "crossmoor%" else [])


def test_telephone_e_mail_and_address_are_found_only_by_who_may_see_them() -> None:
    job = _cello()
    Party.objects.update(address="3 Tannery Yard\nOstlemere")
    _all()
    for typed in ("9460", "020 7946 0123", "odile@crossmoor.example", "tannery"):
        assert find(typed, reach=True).parties.ids == (job.item.owner_id,), typed
        assert not find(typed, reach=False), typed
    assert find("crossmoor", reach=False).jobs.ids == (job.pk,)


def test_a_minors_name_is_found_only_at_the_desk() -> None:
    young = factory.party("Wren Hollowell", minor=True)
    factory.job(owner=young, number="26-0500")
    _all()
    assert _jobs("hollowell") == ["26-0500"]
    assert not find("hollowell", reach=False)
    assert _jobs("0500", reach=False) == ["26-0500"]


def test_other_scripts_and_spellings_are_found() -> None:
    for name in ("Søren Müller", "Иван Чайков", "Ἀθηνᾶ Παπᾶ", "יעל כהן", "山田太郎", "Łukasz Żak"):
        factory.party(name)
    _all()
    for typed in ("soren", "soeren", "mueller", "müll", "чаик", "ЧАЙКОВ", "αθηνα", "כהן", "太郎", "山田", "zak lukasz"):
        assert len(find(typed, reach=False).parties.ids) == 1, typed


def test_a_number_met_whole_comes_first_then_what_is_here_then_the_newest() -> None:
    def job(number: str, days: int, *, closed: bool) -> None:
        gone: dict[str, Any] = {"closed_at": NOW, "closed_as": "home"} if closed else {}
        stage = Stage.HOME if closed else Stage.BEN
        factory.job(stage, number=number, opened_at=NOW - timedelta(days=days), owner=owner, **gone)

    owner = factory.party("Odile Crossmoor")
    job("26-4170", 1, closed=False)
    job("25-0417", 500, closed=True)
    job("26-4171", 9, closed=False)
    job("26-4172", 0, closed=True)
    _all()
    assert _jobs("417") == ["25-0417", "26-4170", "26-4171", "26-4172"]
    assert _jobs("crossmoor") == ["26-4170", "26-4171", "26-4172", "25-0417"]


def test_what_has_gone_home_is_no_longer_found_by_telephone_but_its_owner_is() -> None:
    job = _cello()
    Job.objects.update(stage=Stage.HOME, closed_at=NOW, closed_as="home")
    _all()
    found = find("9460", reach=True)
    assert (found.jobs.ids, found.items.ids, found.parties.ids) == ((), (), (job.item.owner_id,))
    assert _jobs("crossmoor cello") == ["26-0417"]


def test_letters_of_a_tag_are_found_old_ones_too() -> None:
    job = _cello()
    Tag.objects.all().delete()
    Tag.objects.create(item=job.item, code="7K2M0115", at=NOW, dead_at=NOW, dead_reason="torn")
    Tag.objects.create(item=job.item, code="9QWD4444", at=NOW)
    _all()

    def letters(typed: str) -> list[tuple[str, bool]]:
        return [(tag.code, tag.live) for tag in find(typed, reach=False).tags]

    assert letters("7K2M OILS") == letters("7k2") == letters("0115") == [("7K2M0115", False)]
    assert letters("HTTPS://SHOP.EXAMPLE/T/9QWD4444") == [("9QWD4444", True)]
    assert letters("7k") == []


def test_eight_are_shown_and_the_rest_counted() -> None:
    owner = factory.party("Odile Crossmoor")
    for _ in range(45):
        factory.job(owner=owner)
    _all()
    jobs = find("crossmoor", reach=False).jobs
    assert (len(jobs.ids), jobs.more, jobs.least) == (8, 37, False)


@pytest.mark.parametrize(
    "typed", ["", "a" * 10_000, "a b c d e f g h", "\x00a", "🎻", "\u202eabc", "'; DROP TABLE x; --", "1" * 300]
)
def test_nothing_typed_breaks_it(typed: str) -> None:
    _cello()
    _all()
    assert isinstance(find(typed, reach=True), Found)


def test_one_question_whatever_was_typed() -> None:
    _cello()
    _all()
    for typed in ("a", "crossmoor cello 0417 red", "020 7946 0123", "7k2m9qwd"):
        with CaptureQueriesContext(connection) as seen:
            find(typed, reach=True)
        assert len(seen) <= (1 if find(typed, reach=True) else 2), typed


# kept in step


def _followed() -> None:
    for entry in Entry.objects.order_by("pk"):
        follow(entry)


def test_whatever_is_written_down_is_found_and_twice_is_once() -> None:
    maris = factory.person(Role.DESK)
    with transaction.atomic():
        owner = make_party(name="Odile Crossmoor", phone="020 7946 0123", by=maris, at=NOW)
        thing = make_item(kind="Vc", size="4/4", owner=owner, by=maris, at=NOW)
        open_job(item=thing, by=maris, at=NOW, number="26-0417", roles=[(owner, "owner")])
        tag = bind(thing, by=maris, at=NOW, pick=lambda: "7K2M9QWD")
    _followed()
    assert _jobs("crossmoor cello") == ["26-0417"]
    assert find("9460", reach=True).items.ids == (thing.pk,)
    assert [one.live for one in find("7k2m", reach=False).tags] == [True]
    void(tag, reason="torn", by=maris, at=NOW)
    _followed()
    assert [one.live for one in find("7k2m", reach=False).tags] == [False]
    before = list(IndexWord.objects.order_by("pk").values_list())
    refresh([("J", Job.objects.get().pk), ("P", owner.pk), ("I", thing.pk), ("T", thing.pk)])
    assert list(IndexWord.objects.order_by("pk").values_list()) == before
    _all()
    assert sorted(row[1:] for row in IndexWord.objects.values_list()) == sorted(row[1:] for row in before)


def test_what_the_follower_lost_the_sweep_finds() -> None:
    maris = factory.person(Role.DESK)
    with transaction.atomic():
        owner = make_party(name="Odile Crossmoor", by=maris, at=NOW)
    assert not find("crossmoor", reach=False)
    sweep(at=NOW)
    assert find("crossmoor", reach=False).parties.ids == (owner.pk,)


def test_a_corrected_name_finds_everything_of_theirs_and_the_old_one_nothing() -> None:
    job = _cello()
    _all()
    Party.objects.filter(name="Odile Crossmoor").update(name="Odile Crosmore")
    entry = Entry.objects.create(action="party.corrected", at=NOW, data={"party": job.item.owner_id})
    follow(entry)
    assert _jobs("crosmore") == ["26-0417"]
    assert not find("odile crossm", reach=False)
    assert find("crosmore", reach=False).items.ids == (job.item_id,)


def test_prepare_fills_the_words_of_an_old_book_and_leaves_its_entries_alone() -> None:
    maris = factory.person(Role.DESK)
    with transaction.atomic():
        make_party(name="Odile Crossmoor", by=maris, at=NOW)
    factory.shop()
    call_command("prepare")
    assert len(find("crossmoor", reach=False).parties.ids) == 1
    assert sweep(at=NOW + timedelta(hours=1)) == 0 or not Watermark.objects.filter(pk=FOLLOWER, entry_id=0).exists()
    assert fill() == 0
    Item.objects.create(kind="Vn", title="Violin 4/4", made_at=NOW)
    assert fill() == 1


def test_every_action_that_may_change_words_was_thought_of() -> None:
    silent = {
        "job.moved", "job.unmoved", "job.assigned", "job.promised", "job.nothing_needed", "item.seen", "tag.doubted", "tag.reprinted",
    }  # fmt: skip
    told = {action for action in SENTENCES if action.split(".")[0] in {"party", "item", "job", "tag"}}
    assert told - silent <= INDEXES_ON, "add it to jobs/index/following.py, or here when no word changes"
