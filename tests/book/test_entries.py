"""Entries are written once; presses count once; numbers have no gaps; followers look once."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction

from jobs.book import followers, steps
from jobs.book.models import Entry, Followed, Pulse, Watermark
from jobs.book.refusals import Again, Refused
from tests import factory

pytestmark = pytest.mark.django_db


def _record(action: str = "test.happened") -> Entry:
    with transaction.atomic():
        return steps.record(action, by=None, at=factory.NOW)


@pytest.mark.parametrize("change", [lambda e: e.delete(), lambda e: Entry.objects.filter(pk=e.pk).update(action="x")])
def test_the_database_refuses_to_change_or_delete_an_entry(change: Callable[[Entry], object]) -> None:
    entry = _record()
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
        change(entry)
    assert Entry.objects.get(pk=entry.pk).action == "test.happened"


@pytest.mark.django_db(transaction=True)
def test_an_entry_outside_a_transaction_is_a_fault_of_ours() -> None:
    with pytest.raises(RuntimeError):
        steps.record("test.happened", by=None, at=factory.NOW)


def test_a_second_press_is_answered_with_what_the_first_made() -> None:
    with transaction.atomic():
        steps.keep(steps.press("a-key-of-some-length", "make", at=factory.NOW), visit=7)
    with pytest.raises(Again) as again, transaction.atomic():
        steps.press("a-key-of-some-length", "make", at=factory.NOW)
    assert again.value.made == {"visit": 7}


def test_the_same_key_on_another_button_is_an_old_page_and_no_second_press() -> None:
    with transaction.atomic():
        steps.keep(steps.press("a-key-of-some-length", "make", at=factory.NOW), visit=7)
    for claim in (steps.press, steps.press_under_lock):
        with pytest.raises(Refused, match="out of date"), transaction.atomic():
            claim("a-key-of-some-length", "pay", at=factory.NOW)


def test_a_press_that_failed_may_be_pressed_again() -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        steps.press("a-key-of-some-length", "make", at=factory.NOW)
        raise ZeroDivisionError
    with transaction.atomic():
        steps.press("a-key-of-some-length", "make", at=factory.NOW)


@pytest.mark.parametrize("key", ["", "short", "x" * 61])
def test_a_form_without_a_proper_key_is_out_of_date(key: str) -> None:
    with pytest.raises(Refused, match="out of date"), transaction.atomic():
        steps.press(key, "make", at=factory.NOW)


def test_numbers_have_no_gap_when_a_transaction_is_rolled_back() -> None:
    with transaction.atomic():
        assert steps.next_in("test") == 1
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        steps.next_in("test")
        raise ZeroDivisionError
    with transaction.atomic():
        assert steps.next_in("test") == 2


@pytest.mark.django_db(transaction=True)
def test_the_pulse_rises_after_commit_and_not_after_a_rollback() -> None:
    _record()
    beats = Pulse.objects.get(pk=1).beats
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        steps.record("test.happened", by=None, at=factory.NOW)
        raise ZeroDivisionError
    assert Pulse.objects.get(pk=1).beats == beats
    _record()
    assert Pulse.objects.get(pk=1).beats == beats + 1


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """A follower of test.happened that notes what it saw."""
    noted: list[int] = []
    follower = followers.Follower("noting", frozenset({"test.happened"}), lambda entry: noted.append(entry.pk))
    monkeypatch.setattr(followers, "_followers", {"noting": follower})
    return noted


def test_a_lost_follow_is_made_up_by_the_sweep_once(seen: list[int]) -> None:
    entry = _record()
    assert seen == []
    followers.sweep(at=factory.NOW)
    followers.sweep(at=factory.NOW)
    followers.follow(entry)
    assert seen == [entry.pk]


def test_a_follower_that_breaks_is_asked_again(seen: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    entry = _record()
    fail = True

    def handle(one: Entry) -> None:
        if fail:
            raise ZeroDivisionError
        seen.append(one.pk)

    monkeypatch.setattr(
        followers, "_followers", {"noting": followers.Follower("noting", frozenset({"test.happened"}), handle)}
    )
    followers.sweep(at=factory.NOW)
    assert not Followed.objects.exists()
    fail = False
    followers.sweep(at=factory.NOW)
    assert seen == [entry.pk]


def test_the_watermark_never_passes_an_entry_that_is_still_settling(seen: list[int]) -> None:
    entry = _record()
    followers.sweep(at=factory.NOW)
    followers.sweep(at=factory.NOW + timedelta(minutes=1))
    assert Watermark.objects.get(follower="noting").entry_id == 0
    followers.sweep(at=factory.NOW + timedelta(minutes=6))
    assert Watermark.objects.get(follower="noting").entry_id == entry.pk
