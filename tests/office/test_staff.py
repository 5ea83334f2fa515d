"""People of the shop: what the head luthier does about them, what each does about themselves, and the way in."""

from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from jobs.bench.models import WorkSpell
from jobs.book.models import Entry
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.office import staff_steps
from jobs.office.changing import Faults
from shop.people.models import Person, SignedIn
from shop.people.naming import MOST, called_by
from shop.people.roles import Role
from shop.people.ways_in import ask, path_for, person_at, sweep
from shop.profile.models import FormerFact
from tests import factory

pytestmark = pytest.mark.django_db
NEW = {"name": "Jorin Applegarth", "username": "jorin.a", "role": "technician", "skill": "2", "called": "", "email": ""}
GOOD = "three cords and a peg"


@pytest.fixture(autouse=True)
def shop() -> None:
    factory.shop()


def head() -> Person:
    return factory.person(Role.HEAD)


def signed_in(person: Person, agent: str = "Mozilla/5.0 (X11; Linux) Firefox/140") -> Client:
    client = Client(headers={"user-agent": agent})
    assert client.post("/sign-in/", {"username": person.username, "password": factory.PASSWORD}).status_code == 302
    return client


def invited(**more: str) -> Person:
    return staff_steps.invite({**NEW, **more}, by=head(), at=timezone.now(), key=f"invite-{more}"[:60])


def test_two_of_one_given_name_are_told_apart_across_the_bench() -> None:
    factory.person(Role.TECHNICIAN)
    assert invited().called == "Jorin A"
    assert factory.person(Role.TECHNICIAN).called == "Jorin"


@given(st.lists(st.text(min_size=1, max_size=60), max_size=12))
def test_nobody_is_called_what_another_is_called(names: list[str]) -> None:
    taken: set[str] = set()
    for name in names:
        called = called_by(name, taken)
        assert called
        assert len(called) <= MOST
        assert called.lower() not in taken
        taken.add(called.lower())


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("name", "  ", "Write the name."),
        ("username", "a b", "without spaces"),
        ("username", "OTTILIE", "somebody’s staff name already"),
        ("called", "ottilie", "is called so already. “Jorin” is free."),
        ("email", "nowhere", "not an e-mail address"),
        ("role", "king", "Choose what they do here."),
        ("skill", "99", "how far they have come"),
        ("name", "x" * 121, "At most 120 letters"),
    ],
)
def test_what_cannot_be_kept_is_said_at_its_field(field: str, value: str, words: str) -> None:
    head()
    with pytest.raises(Faults) as fault:
        invited(**{field: value})
    assert words in fault.value.by_field[field]
    assert not Person.objects.filter(username="jorin.a").exists()


def test_a_double_press_writes_one_person_down() -> None:
    by, at = head(), timezone.now()
    first = staff_steps.invite(NEW, by=by, at=at, key="one-press-of-it")
    with pytest.raises(Again) as again:
        staff_steps.invite(NEW, by=by, at=at, key="one-press-of-it")
    assert again.value.made == {"person": first.pk}


def test_the_invitation_is_sent_once_and_its_way_in_works_once(settings: Any) -> None:
    settings.PUBLIC_ADDRESS = "https://shop.example"
    person = invited(email="jorin@marrowfen.example")
    assert sweep(at=timezone.now()) == 1
    assert sweep(at=timezone.now()) == 0
    (letter,) = mail.outbox
    assert letter.to == ["jorin@marrowfen.example"]
    path = next(line for line in letter.body.splitlines() if "https://" in line).removeprefix("https://shop.example")
    client = Client()
    page = client.get(path, follow=True)
    assert page.redirect_chain[-1][0].endswith("/choose/"), "the token leaves the address"
    chosen = client.post(page.request["PATH_INFO"], {"new": GOOD, "again": GOOD}, follow=True)
    assert chosen.context["user"] == person
    assert Client().get(path).status_code == 404
    person.refresh_from_db()
    assert person.check_password(GOOD)


def test_a_letter_the_server_refuses_is_tried_again(settings: Any) -> None:
    invited(email="jorin@marrowfen.example")
    settings.EMAIL_BACKEND = "tests.office.away.Backend"
    assert sweep(at=timezone.now()) == 0
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    assert sweep(at=timezone.now()) == 1


def test_whoever_forgot_gets_a_letter_at_most_every_ten_minutes_and_strangers_learn_nothing() -> None:
    person, at = factory.person(Role.DESK, email="maris@marrowfen.example"), timezone.now()
    strange = Client().post("/forgot/", {"said": "nobody@marrowfen.example"})
    known = Client().post("/forgot/", {"said": person.username.upper()})
    assert strange.content == known.content
    ask("maris@marrowfen.example", at=timezone.now())
    assert sweep(at=timezone.now()) == 1
    ask(person.username, at=timezone.now())
    assert sweep(at=timezone.now()) == 0
    ask(person.username, at=at + timedelta(minutes=11))
    assert sweep(at=at + timedelta(minutes=11)) == 1


@pytest.mark.parametrize("number", ["", "!!", "MQ", "OTk5OTk5OTk5OTk5OTk5OTk5OTk5OTk5", "LTE"])
def test_an_invented_way_in_is_nobodys(number: str) -> None:
    assert person_at(number, "c0ffee-0123456789") is None


def test_a_way_in_of_somebody_gone_is_shut() -> None:
    person, by = factory.person(Role.TECHNICIAN), head()
    path = path_for(person)
    staff_steps.leave(person, jobs_to=None, by=by, at=timezone.now())
    assert Client().get(path).status_code == 404


def test_a_way_in_shown_needs_no_mail_and_lifts_a_lock_out() -> None:
    person, client = factory.person(Role.TECHNICIAN), signed_in(head())
    for _ in range(6):
        Client().post("/sign-in/", {"username": person.username, "password": "wrong-wrong-wrong"})
    good = {"username": person.username, "password": factory.PASSWORD}
    assert Client().post("/sign-in/", good).status_code != 302
    page = client.post(f"/shop/people/{person.pk}/way-in/", {"do": "show"}).content.decode()
    assert "/welcome/" in page
    assert "<svg" in page
    assert not mail.outbox
    assert Client().post("/sign-in/", good).status_code == 302


def test_both_values_of_a_change_are_kept_and_personal_ones_can_be_erased() -> None:
    person, by, at = factory.person(Role.TECHNICIAN), head(), timezone.now()
    fresh = {**staff_steps.shown_of(person), "name": "Jorin Pellwick-Reed", "role": "bow"}
    assert set(staff_steps.change(person, fresh, seen=staff_steps.mark_of(person), by=by, at=at)) == {"name", "role"}
    entry = Entry.objects.get(action="staff.changed")
    assert entry.data["changes"] == {"role": ["technician", "bow maker"]}
    assert "Pellwick" not in str(entry.data)
    former = FormerFact.objects.get(pk=entry.data["former"]["name"])
    assert (former.old, former.new) == ("Jorin Pellwick", "Jorin Pellwick-Reed")
    told = signed_in(by).get("/shop/people/").content.decode()
    assert "the role from technician to bow maker" in told


def test_two_at_once_on_one_person_and_the_second_is_told() -> None:
    person, by, at = factory.person(Role.TECHNICIAN), head(), timezone.now()
    seen = staff_steps.mark_of(person)
    staff_steps.change(person, {**staff_steps.shown_of(person), "hours": "Mon"}, seen=seen, by=by, at=at)
    with pytest.raises(Stale, match="Ottilie changed this"):
        staff_steps.change(person, {**staff_steps.shown_of(person), "hours": "Tue"}, seen=seen, by=by, at=at)


def test_the_only_head_luthier_stays_one() -> None:
    by, at = head(), timezone.now()
    fresh = {**staff_steps.shown_of(by), "role": "desk"}
    with pytest.raises(Refused, match="only head luthier"):
        staff_steps.change(by, fresh, seen=staff_steps.mark_of(by), by=by, at=at)
    with pytest.raises(Refused, match="let yourself go"):
        staff_steps.leave(by, jobs_to=None, by=by, at=at)
    other = factory.person(Role.HEAD, username="second", name="Second Head")
    staff_steps.leave(by, jobs_to=None, by=other, at=at)
    with pytest.raises(Refused, match="only head luthier"):
        staff_steps.leave(other, jobs_to=None, by=by, at=at)


def test_somebody_with_a_running_clock_goes_and_all_they_did_stays_theirs() -> None:
    person, by, at = factory.person(Role.TECHNICIAN), head(), timezone.now()
    job = factory.job(Stage.BEN, assigned=person, agreed_words="rehair")
    spell = WorkSpell.objects.create(job=job, person=person, started_at=at - timedelta(hours=1))
    client = signed_in(person)
    left = staff_steps.leave(person, jobs_to=by, by=by, at=at)
    assert (left.stopped_on, left.given) == (job.number, 1)
    spell.refresh_from_db()
    job.refresh_from_db()
    assert (spell.person, spell.stopped_at, job.assigned) == (person, at, by)
    assert client.get("/me/").status_code == 302, "signed out at once"
    assert Client().post("/sign-in/", {"username": person.username, "password": factory.PASSWORD}).status_code != 302
    staff_steps.come_back(person, by=by, at=at)
    assert signed_in(person).get("/me/").status_code == 200


def test_jobs_go_to_somebody_who_works_here_or_stay() -> None:
    person, by, at = factory.person(Role.TECHNICIAN), head(), timezone.now()
    gone = factory.person(Role.LUTHIER, is_active=False, username="gone", name="Gone Person")
    for to in (gone, person):
        with pytest.raises(Refused, match="somebody who works here"):
            staff_steps.leave(person, jobs_to=to, by=by, at=at)
    job = factory.job(Stage.BEN, assigned=person, agreed_words="rehair")
    staff_steps.leave(person, jobs_to=None, by=by, at=at)
    job.refresh_from_db()
    assert job.assigned == person
    page = signed_in(by).get(f"/shop/people/{person.pk}/").content.decode()
    assert "1 open job still in their name" in page


@pytest.mark.parametrize("pin", ["1111", "1234", "9876", "2323", "123", "123456789", "12a4", "", "１２９４"])
def test_a_pin_anybody_guesses_is_refused(pin: str) -> None:
    with pytest.raises(Refused):
        staff_steps.set_pin(head(), pin, by=head(), at=timezone.now())


def test_a_sign_in_is_listed_and_another_place_can_be_signed_out() -> None:
    person = factory.person(Role.DESK)
    phone, desk = signed_in(person, "Mozilla/5.0 (iPhone) Safari/600"), signed_in(person)
    page = phone.get("/me/").content.decode()
    assert "Safari on iPhone" in page
    assert "Firefox on Linux" in page
    other = SignedIn.objects.get(agent="Firefox on Linux")
    phone.post("/me/", {"do": "out", "one": other.pk})
    assert desk.get("/me/").status_code == 302
    assert phone.get("/me/").status_code == 200
    assert desk.post("/sign-out/").status_code in {302, 405}


def test_nobody_ends_the_sign_in_of_another_from_their_own_page() -> None:
    mine, theirs = signed_in(factory.person(Role.DESK)), signed_in(head())
    other = SignedIn.objects.get(person=head())
    mine.post("/me/", {"do": "out", "one": other.pk})
    assert theirs.get("/me/").status_code == 200


def test_a_new_password_needs_the_old_one_and_signs_out_everywhere_else() -> None:
    person = factory.person(Role.DESK)
    here, there = signed_in(person), signed_in(person)
    wrong = here.post("/me/", {"do": "password", "password": "not-this-one", "new": GOOD, "again": GOOD})
    assert wrong.status_code == 422
    assert (
        "short"
        in here.post(
            "/me/", {"do": "password", "password": factory.PASSWORD, "new": "short", "again": "short"}
        ).content.decode()
    )
    assert (
        here.post("/me/", {"do": "password", "password": factory.PASSWORD, "new": GOOD, "again": GOOD}).status_code
        == 302
    )
    assert here.get("/me/").status_code == 200
    assert there.get("/me/").status_code == 302
    person.refresh_from_db()
    assert person.check_password(GOOD)


def test_signing_out_ends_the_row() -> None:
    client = signed_in(factory.person(Role.DESK))
    client.post("/sign-out/")
    assert SignedIn.objects.get().ended_at is not None
