"""The pages of an item and of an owner: what each role sees, what is put right on them, and what they cost."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.bench.steps import add_note
from jobs.book.models import Correction, Entry, Item, Job, Party
from jobs.book.stages import Stage
from jobs.book.steps import record
from jobs.condition.models import ConditionLine
from jobs.condition.steps import add_finding
from jobs.custody.steps import see
from jobs.tags.models import Tag
from jobs.updates.models import Message
from jobs.updates.steps import new_message_id
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    factory.shop()
    owner = factory.party("Imelda Rookstone", phone="+442079460155", address="9 Weir Lane", email="imelda@exmaple.org")
    return factory.job(Stage.BEN, owner=owner, item=factory.item(owner, labelled="anno 17?5"), work="new bridge")


def signed_in(role: Role = Role.DESK) -> Client:
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


def item_url(name: str, item: Item) -> str:
    return reverse(f"register:{name}", args=[item.pk])


def shown(client: Client, url: str) -> str:
    answer = client.get(url)
    assert answer.status_code == 200
    return answer.content.decode()


def filled(item: Item, jobs: int, by: Person) -> None:
    """A past as long as asked: jobs with lines, findings, notes, tape, sightings, corrections."""
    for n in range(jobs):
        job = factory.job(Stage.HOME, item=item, closed_at=NOW - timedelta(days=n), closed_as="home")
        ConditionLine.objects.create(job=job, number=1, term_words=f"crack {n}", severity="minor")
        add_note(job, f"note {n}", by=by, at=NOW)
        see(item, factory.location(), by=by, at=NOW, how="hand", job=job)
        Correction.objects.create(item=item, what="marks", before=str(n), after=str(n + 1), by=by, at=NOW)
        record("job.assigned", by=by, at=NOW, job=job, data={"from": None, "to": by.pk})


def test_everything_that_was_ever_done_to_it_stands_on_its_page(job: Job) -> None:
    jorin = factory.person(Role.TECHNICIAN)
    filled(job.item, 2, jorin)
    other = factory.party("Lorcan Appletree")
    factory.job(Stage.HOME, owner=other, item=job.item, closed_at=NOW - timedelta(days=900), closed_as="home")
    add_finding(job, "a worm hole", by=jorin, at=NOW)
    page = shown(signed_in(), item_url("item", job.item))
    for words in ("anno 17?5", "new bridge", "crack 1", "note 0", "a worm hole", "Lorcan Appletree", "R2-6", "9 Weir"):
        assert (words in page) == (words != "9 Weir")


def test_two_open_jobs_stand_beside_each_other(job: Job) -> None:
    factory.job(Stage.QUE, item=job.item, work="rehair")
    page = shown(signed_in(), item_url("item", job.item))
    assert "2 jobs are open on this violin" in page
    assert page.index("new bridge") < page.index("Earlier jobs" if "Earlier jobs" in page else "What happened")


def test_the_bench_sees_surnames_and_no_link_to_the_owner(job: Job) -> None:
    page = shown(signed_in(Role.TECHNICIAN), item_url("item", job.item))
    assert "Rookstone" in page
    assert "Imelda" not in page
    assert reverse("register:owner", args=[job.item.owner_id]) not in page


def test_a_long_past_costs_no_more_questions(job: Job) -> None:
    client, jorin = signed_in(), factory.person(Role.TECHNICIAN)

    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            shown(client, item_url("item", job.item))
        return len(seen)

    filled(job.item, 2, jorin)
    few = asked()
    filled(job.item, 30, jorin)
    assert asked() == few <= 26


def test_the_past_is_turned_like_pages(job: Job) -> None:
    client = signed_in()
    filled(job.item, 40, factory.person(Role.TECHNICIAN))
    first, second = (shown(client, f"{item_url('item', job.item)}?page={n}") for n in (1, 2))
    assert "Older" in first
    assert "Newer" not in first
    assert "Newer" in second
    for odd in ("0", "-1", "nonsense", "99999999999", "9" * 40):
        assert client.get(item_url("item", job.item), {"page": odd}).status_code == 200


def test_its_facts_are_put_right_from_the_page(job: Job) -> None:
    client = signed_in(Role.LUTHIER)
    url = item_url("item-right", job.item)
    client.post(url, {"labelled": "anno 1735", "was-labelled": "anno 17?5", "kind": "Vn", "was-kind": "Vn"})
    page = shown(client, item_url("item", job.item))
    assert "anno 1735" in page
    assert "put its label text right: “anno 1735”; before that “anno 17?5”" in page
    late = client.post(url, {"labelled": "anno 1736", "was-labelled": "anno 17?5"})
    assert late.status_code == 409
    assert "Tobiah has just changed the label text to “anno 1735”" in late.content.decode()


def test_a_tag_is_printed_again_or_the_old_code_is_dead(job: Job) -> None:
    client, url, tag = signed_in(Role.TECHNICIAN), item_url("item-tag-again", job.item), Tag.objects.get()
    same = client.post(url, {"code": "same", "tag": tag.pk})
    assert same["Location"] == item_url("item-tag", job.item)
    assert client.get(same["Location"]).content.startswith(b"%PDF")
    assert Entry.objects.get(action="tag.reprinted").data == {"tag": tag.pk}
    assert client.post(url, {"code": "dead", "tag": tag.pk, "reason": " "}).status_code == 422
    client.post(url, {"code": "dead", "tag": tag.pk, "reason": "lost in the yard"})
    client.post(url, {"code": "dead", "tag": tag.pk, "reason": "lost in the yard"})  # pressed twice
    live = Tag.objects.get(dead_at=None)
    assert Tag.objects.count() == 2
    dead = shown(client, reverse("scan:tag", args=[tag.code]))
    assert "is dead" in dead
    assert reverse("scan:tag", args=[live.code]) in dead
    assert client.post(url, {"code": "same", "tag": tag.pk}).status_code == 422
    assert client.post(url, {"tag": live.pk}).status_code == 422


def owner_url(name: str, party: Party) -> str:
    return reverse(f"register:{name}", args=[party.pk])


def owner_of(job: Job) -> Party:
    assert job.item.owner is not None
    return job.item.owner


def test_an_owners_page_shows_what_is_theirs(job: Job) -> None:
    factory.job(Stage.HOME, owner=owner_of(job), closed_at=NOW, closed_as="home", work="new strings")
    Party.objects.filter(pk=owner_of(job).pk).update(tax_exempt_paper="T-114", tax_exempt_until=NOW.date())
    page = shown(signed_in(), owner_url("owner", owner_of(job)))
    for words in (
        "9 Weir Lane",
        "+442079460155",
        "imelda@exmaple.org",
        "Violin 4/4",
        "new bridge",
        "new strings",
        "T-114",
    ):
        assert words in page


@pytest.mark.parametrize(
    ("role", "money", "letters"), [(Role.DESK, True, True), (Role.BOOKS, True, False), (Role.HEAD, True, True)]
)
def test_money_and_letters_are_for_whom_they_are(job: Job, role: Role, money: bool, letters: bool) -> None:
    page = shown(signed_in(role), owner_url("owner", owner_of(job)))
    assert ('id="money"' in page) == money
    assert ('id="letters"' in page) == letters


def test_the_bench_does_not_open_an_owners_page(job: Job) -> None:
    assert signed_in(Role.LUTHIER).get(owner_url("owner", owner_of(job))).status_code == 403


def test_two_of_one_name_are_told_apart(job: Job) -> None:
    other = factory.party("imelda rookstone", address="2 Mill Row")
    page = shown(signed_in(), owner_url("owner", owner_of(job)))
    assert "Someone else is called Imelda Rookstone too" in page
    assert owner_url("owner", other) in page
    assert "2 Mill Row" in page


def test_an_owners_long_past_costs_no_more_questions(job: Job) -> None:
    client, owner = signed_in(), owner_of(job)

    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            shown(client, owner_url("owner", owner))
        return len(seen)

    factory.job(Stage.HOME, owner=owner, closed_at=NOW, closed_as="home")
    few = asked()
    for _ in range(70):
        factory.job(Stage.HOME, owner=owner, closed_at=NOW, closed_as="home")
    assert asked() == few <= 20
    assert "And 11 before that" in shown(client, owner_url("owner", owner))


def test_a_misspelt_email_is_put_right_and_what_went_there_goes_again(job: Job) -> None:
    client, owner = signed_in(), owner_of(job)
    Message.objects.create(
        job=job, party=owner, kind="stage-BEN", channel="email", address=owner.email, subject="Work has begun",
        body="b", message_id=new_message_id(), state="sent", made_at=NOW, due_at=NOW, sent_at=NOW,
    )  # fmt: skip
    form = {"email": "imelda@example.org", "was-email": owner.email, "name": owner.name, "was-name": owner.name}
    client.post(owner_url("owner-right", owner), form)
    page = shown(client, owner_url("owner", owner))
    assert "Went to another address" in page
    assert "imelda@exmaple.org" in page
    client.post(owner_url("owner-again", owner))
    assert Message.objects.get(again_of__isnull=False).address == "imelda@example.org"
    assert "Went to another address" not in shown(client, owner_url("owner", owner))


def test_somebody_elses_email_names_whom_and_opens_them(job: Job) -> None:
    other = factory.party("Lorcan Appletree", email="lorcan@example.org")
    answer = signed_in().post(
        owner_url("owner-right", owner_of(job)), {"email": "lorcan@example.org", "was-email": "imelda@exmaple.org"}
    )
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "written down for Lorcan Appletree already" in page
    assert f'<a href="{owner_url("owner", other)}">Open Lorcan Appletree</a>' in page
    assert 'value="lorcan@example.org"' in page  # what was typed is still there


def test_the_second_desk_sees_the_first_ones_value(job: Job) -> None:
    owner, maris, ottilie = owner_of(job), signed_in(), signed_in(Role.HEAD)
    opened = {"was-email": owner.email}
    maris.post(owner_url("owner-right", owner), {**opened, "email": "imelda@example.org"})
    late = ottilie.post(owner_url("owner-right", owner), {**opened, "email": "i@example.org"})
    assert late.status_code == 409
    page = late.content.decode()
    assert "Maris has just changed the e-mail to “imelda@example.org”" in page
    assert 'name="email" value="imelda@example.org"' in page


def test_the_dead_end_pages_say_so() -> None:
    factory.shop()
    client = signed_in(Role.HEAD)
    for name in ("item", "owner", "picture"):
        assert client.get(reverse(f"register:{name}", args=[987654])).status_code == 404
    assert client.get(reverse("register:put-right", args=["26-9999"])).status_code == 404
