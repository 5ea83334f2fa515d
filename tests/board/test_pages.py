"""The rails, one tag unfolded, the wall: what is shown to whom, and what it costs."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.bench.models import WorkSpell
from jobs.book.models import Entry, Hold, Job, JobParty, Pulse
from jobs.book.stages import OPEN_STAGES, Stage
from shop.people.roles import MAY, Act, Role
from tests import factory

pytestmark = pytest.mark.django_db
RAILS = reverse("board:rails")
PART = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def the_shop() -> None:
    factory.shop()


def signed_in(role: Role = Role.TECHNICIAN) -> Client:
    client = Client()
    client.force_login(factory.person(role))
    return client


def shown(text: str) -> list[str]:
    """Numbers of the tags on the page, in their order."""
    return re.findall(r'<li class="tag[^"]*" id="t([^"]+)"', text)


def queries(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as seen:
        assert client.get(address).status_code < 400
    return len(seen)


def fill(count: int) -> None:
    """Many jobs on all cords, some taped and assigned, with their owner roles."""
    owner, thing, jorin = factory.party(), factory.item(), factory.person(Role.TECHNICIAN)
    now = timezone.now()
    jobs = Job.objects.bulk_create(
        Job(number=f"25-{n:05}", item=thing, stage=OPEN_STAGES[n % 10], opened_at=now, stage_since=now, assigned=jorin)
        for n in range(count)
    )
    JobParty.objects.bulk_create(JobParty(job=job, party=owner, role="owner") for job in jobs)
    Hold.objects.bulk_create(Hold(job=job, kind="parts", laid_at=now) for job in jobs[::5])


def test_a_stranger_is_sent_to_sign_in_and_an_outside_workshop_sees_nothing() -> None:
    assert Client().get(RAILS).status_code == 302
    assert signed_in(Role.OUTSIDE).get(RAILS).status_code == 403


def test_a_tag_says_number_item_day_owner_who_and_tape() -> None:
    jorin, owner = factory.person(Role.TECHNICIAN), factory.party("Imelda Rookstone")
    tomorrow = timezone.now().date() + timedelta(days=1)
    job = factory.job(
        Stage.QUE, owner=owner, number="26-0409", assigned=jorin, work="post down", promised=tomorrow, sureness="firm"
    )
    Hold.objects.create(job=job, kind="parts", words="2 days late", laid_at=factory.NOW)
    text = signed_in().get(RAILS).content.decode()
    for words in ("0409", "Violin 4/4", "Tomorrow", "firm", "Rookstone", "Jorin · post down", "parts: 2 days late"):
        assert words in text
    assert "Imelda" not in text


def test_no_page_of_the_rails_ever_names_a_minor() -> None:
    child = factory.party("Perpetua Longacre", minor=True)
    job = factory.job(Stage.QUE, owner=child)
    client = signed_in()
    for address in (RAILS, reverse("board:tag", args=[job.number]), reverse("board:wall")):
        text = client.get(address).content.decode()
        assert "Longacre" not in text
        assert "Perpetua" not in text
        assert "a young player" in text


def test_the_wall_can_hide_owners_names_and_has_nothing_to_press() -> None:
    factory.job(Stage.QUE, number="26-0406", owner=factory.party("Imelda Rookstone"))
    client = signed_in()
    assert "Rookstone" in client.get(reverse("board:wall")).content.decode()
    hidden = client.get(reverse("board:wall"), {"names": "hide"}).content.decode()
    assert "Rookstone" not in hidden
    assert "owner 0406" in hidden
    for control in ("<button", "<form", "<input", "<select"):
        assert control not in hidden
    assert re.findall(r"<a [^>]*href", hidden) == ['<a class="skip" href']


def test_filters_count_and_choose() -> None:
    jorin = factory.person(Role.TECHNICIAN)
    factory.job(Stage.BEN, number="26-0001", assigned=jorin)
    taped = factory.job(Stage.BEN, number="26-0002")
    factory.job(Stage.RDY, number="26-0003", closed_at=factory.NOW, closed_as="home")
    Hold.objects.create(job=taped, kind="wood", laid_at=factory.NOW)
    Hold.objects.create(job=taped, kind="parts", laid_at=factory.NOW, lifted_at=factory.NOW)
    client = signed_in()
    text = client.get(RAILS).content.decode()
    assert shown(text) == ["26-0001", "26-0002"]
    for words in ("Everything 2", "Mine 1", "Taped 1"):
        assert words in text
    assert shown(client.get(RAILS, {"only": "mine"}).content.decode()) == ["26-0001"]
    assert shown(client.get(RAILS, {"only": "taped"}).content.decode()) == ["26-0002"]
    assert len(shown(client.get(RAILS, {"only": "nonsense"}).content.decode())) == 2


def test_a_long_cord_counts_the_rest_and_opens_alone() -> None:
    for n in range(15):
        factory.job(Stage.ANS, number=f"26-{n:04}")
    factory.job(Stage.BEN, number="26-0900")
    client = signed_in()
    text = client.get(RAILS).content.decode()
    assert len(shown(text)) == 13
    assert "and 3 more" in text
    alone = client.get(RAILS, {"cord": "ANS"}).content.decode()
    assert len(shown(alone)) == 15
    assert "26-0900" not in alone


def test_the_whole_page_and_its_part_show_the_same_cords() -> None:
    factory.job(Stage.BEN, number="26-0001")
    client = signed_in()
    whole, part = client.get(RAILS), client.get(RAILS, headers=PART)
    assert shown(whole.content.decode()) == shown(part.content.decode()) == ["26-0001"]
    assert b"<html" in whole.content
    assert b"<html" not in part.content
    assert "HX-Request" in whole["Vary"]


def test_an_empty_shop_says_what_to_do_first() -> None:
    text = signed_in(Role.DESK).get(RAILS).content.decode()
    assert "Nothing hangs here yet." in text
    assert reverse("intake:start") in text
    assert text.count("no one waits here") == 20  # said and kept on each of ten cords


def test_folded_is_kept_on_the_device() -> None:
    client = signed_in()
    assert 'class="cords folded"' in client.get(RAILS, {"fold": "1"}).content.decode()
    assert 'class="cords folded"' in client.get(RAILS).content.decode()
    assert 'class="cords folded"' not in client.get(RAILS, {"fold": "0"}).content.decode()


def test_no_page_carries_an_inline_style_or_script() -> None:
    job = factory.job(Stage.QUE)
    client = signed_in(Role.HEAD)
    for address in (RAILS, reverse("board:tag", args=[job.number]), reverse("board:wall")):
        text = client.get(address).content.decode()
        assert not re.search(r"\sstyle=|\son\w+=|<style", text)
        assert all("src=" in script for script in re.findall(r"<script[^>]*>", text))


@pytest.mark.parametrize("role", [role for role in Role if role in MAY[Act.SEE_RAILS]])
def test_an_unfolded_tag_offers_only_what_its_reader_may_do(role: Role) -> None:
    job = factory.job(Stage.BEN)
    text = signed_in(role).get(reverse("board:tag", args=[job.number])).content.decode()
    assert (reverse("board:move", args=[job.number]) in text) == (role in MAY[Act.MOVE])
    assert (reverse("board:assign", args=[job.number]) in text) == (role in MAY[Act.ASSIGN])
    assert (reverse("board:hold", args=[job.number]) in text) == (role in MAY[Act.HOLD])


def test_every_next_stage_stands_on_the_unfolded_tag_refused_ones_with_the_reason() -> None:
    job = factory.job(Stage.BEN)
    WorkSpell.objects.create(job=job, person=factory.person(Role.LUTHIER), started_at=factory.NOW)
    text = signed_in().get(reverse("board:tag", args=[job.number])).content.decode()
    for name in ("Glue, varnish, settling", "Set-up and playing", "Second check", "Bench queue", "Owner’s answer"):
        assert name in text
    assert text.count('aria-disabled="true"') == 5
    assert text.count("The clock of Tobiah is running. Stop it first.") == 5


def test_a_number_nobody_knows_is_not_found_and_a_closed_job_says_where_it_went() -> None:
    client = signed_in()
    assert client.get(reverse("board:tag", args=["26-9999"])).status_code == 404
    gone = factory.job(Stage.HOME, closed_at=factory.NOW, closed_as="home")
    answer = client.get(reverse("board:tag", args=[gone.number]))
    assert answer.status_code == 200
    assert "gone home" in answer.content.decode()
    assert client.get(reverse("board:offers", args=[gone.number])).status_code == 404


def test_offers_are_the_gates_own_answers_for_all_ten_cords() -> None:
    jorin = factory.person(Role.TECHNICIAN)
    job = factory.job(Stage.BEN, assigned=jorin)
    said = signed_in().get(reverse("board:offers", args=[job.number])).json()
    assert (said["revision"], said["stage"], list(said["cords"])) == (1, "BEN", [stage.value for stage in OPEN_STAGES])
    cords = said["cords"]
    assert (cords["CUR"]["open"], cords["CUR"]["reason"]) == (True, "")
    assert (cords["QUE"]["open"], cords["QUE"]["back"]) == (True, True)
    assert cords["CHK"]["reason"] == "No bench time is written down. Work on it first."
    assert cords["CHK"]["brief"] == "No bench time is written down."
    assert cords["RDY"]["reason"].startswith("Not from On the bench.")


def test_the_rails_cost_ten_queries_however_many_jobs_there_are() -> None:
    client = signed_in()
    fill(50)
    few = queries(client, RAILS)
    Entry.objects.bulk_create(Entry(action="job.moved", at=timezone.now(), data={"revision": 1}) for _ in range(50))
    fill_more = 4950
    thing, now = factory.item(), timezone.now()
    Job.objects.bulk_create(
        Job(number=f"24-{n:05}", item=thing, stage=OPEN_STAGES[n % 10], opened_at=now, stage_since=now)
        for n in range(fill_more)
    )
    many = queries(client, RAILS)
    assert (few, many) == (10, 10)
    assert queries(client, reverse("board:wall")) == 10


def test_an_unfolded_tag_costs_the_same_with_tape_and_clock() -> None:
    client, job = signed_in(), factory.job(Stage.BEN)
    plain = queries(client, reverse("board:tag", args=[job.number]))
    for kind in ("parts", "wood", "permit"):
        Hold.objects.create(job=job, kind=kind, laid_at=factory.NOW, laid_by=factory.person(Role.DESK))
    assert (
        queries(client, reverse("board:tag", args=[job.number])) == plain <= 11
    )  # two of them for what a rest may be, where one may begin


def test_the_pulse_answers_nothing_until_something_changes_for_one_query_more() -> None:
    client = signed_in()
    assert client.get(reverse("board:pulse"), {"seen": "0"}).status_code == 204
    assert queries(client, f"{reverse('board:pulse')}?seen=0") == 3  # session, user, pulse
    Pulse.objects.update_or_create(pk=1, defaults={"beats": 7})
    answer = client.get(reverse("board:pulse"), {"seen": "0"})
    assert (answer.status_code, answer.content) == (200, b"7")
    assert client.get(reverse("board:pulse"), {"seen": "7"}).status_code == 204
    assert 'data-pulse="7"' in client.get(RAILS).content.decode()
