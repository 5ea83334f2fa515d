"""Moving from the rails: by plain forms and by parts of a page; refused, too late, pressed twice, taken back."""

from datetime import timedelta
from typing import Any

import pytest
from django.http import HttpResponseBase
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Entry, Hold, Job, Pulse
from jobs.book.stages import Stage
from shop.people.roles import MAY, Act, Role
from tests import factory

pytestmark = pytest.mark.django_db
PART = {"HX-Request": "true"}
KEY = "a-press-of-a-button"


@pytest.fixture(autouse=True)
def the_shop() -> None:
    factory.shop()


def signed_in(role: Role = Role.TECHNICIAN) -> Client:
    client = Client()
    client.force_login(factory.person(role))
    return client


def on_the_bench(**fields: Any) -> Job:
    return factory.job(Stage.BEN, assigned=factory.person(Role.TECHNICIAN), **fields)


def post(client: Client, what: str, job: Job, *, part: bool = False, **data: Any) -> Any:
    """Press a button: with the revision first seen and KEY unless said otherwise."""
    given = {"seen": "1", "key": KEY, **data}
    return client.post(reverse(f"board:{what}", args=[job.number]), given, headers=PART if part else {})


def text_of(answer: HttpResponseBase) -> str:
    return answer.content.decode()  # type: ignore[attr-defined,no-any-return]


def test_a_plain_form_moves_and_leads_back_to_the_tag() -> None:
    job, client = on_the_bench(), signed_in()
    answer = post(client, "move", job, to="CUR")
    assert answer.status_code == 303
    assert answer["Location"] == f"{reverse('board:rails')}?at=CUR#t{job.number}"
    job.refresh_from_db()
    assert (job.stage, job.revision) == (Stage.CUR, 2)
    page = text_of(client.get(answer["Location"]))
    assert f"{job.short} hangs on Glue, varnish, settling since" in page
    assert reverse("board:undo", args=[job.number]) in page
    assert "moved by Jorin" in page


def test_a_part_of_a_page_moves_and_comes_back_to_the_rails_as_they_were_looked_at() -> None:
    job, client = on_the_bench(), signed_in()
    answer = post(client, "move", job, part=True, to="CUR", look="only=mine&evil=//elsewhere")
    assert answer.status_code == 303
    assert answer["Location"] == f"{reverse('board:rails')}?only=mine#t{job.number}"


def test_a_refused_move_says_why_and_keeps_what_was_typed() -> None:
    job, client = on_the_bench(), signed_in()
    for part in (False, True):
        answer = post(client, "move", job, part=part, to="CHK", reason="looks <fine>")
        assert answer.status_code == 422
        assert "No bench time is written down. Work on it first." in text_of(answer)
        assert ("<html" in text_of(answer)) is not part
    back = post(client, "move", job, to="QUE", reason="   ")
    assert back.status_code == 422
    assert "Going back to Bench queue needs a reason. Write it, then move." in text_of(back)
    assert not Entry.objects.filter(job=job).exists()
    assert post(client, "move", job, to="QUE", reason="wood is late").status_code == 303


@pytest.mark.parametrize("to", ["", "NOWHERE", "HOME", "BEN' OR 1=1"])
def test_nonsense_for_a_stage_is_refused_in_words(to: str) -> None:
    answer = post(signed_in(), "move", on_the_bench(), to=to)
    assert answer.status_code == 422
    assert "Choose where it may hang next." in text_of(answer)


@pytest.mark.parametrize("lacking", ["seen", "key"])
def test_a_form_without_its_revision_or_key_is_out_of_date(lacking: str) -> None:
    job = on_the_bench()
    given: dict[str, Any] = {"to": "CUR", lacking: ""}
    answer = post(signed_in(), "move", job, **given)
    assert answer.status_code == 422
    assert "This page is out of date." in text_of(answer)
    assert Job.objects.get(pk=job.pk).stage == Stage.BEN


def test_the_second_of_two_is_told_who_moved_it_when_and_where() -> None:
    job = on_the_bench()
    post(signed_in(Role.LUTHIER), "move", job, to="SET", key="tobiahs-press")
    for part in (False, True):
        answer = post(signed_in(), "move", job, part=part, to="CUR")
        assert answer.status_code == 409
        assert "Tobiah moved this to Set-up and playing at" in text_of(answer)
        assert "Look again, then choose." in text_of(answer)
    assert Job.objects.get(pk=job.pk).stage == Stage.SET


def test_a_double_press_moves_once_and_shows_the_same() -> None:
    job, client = on_the_bench(), signed_in()
    first, second = post(client, "move", job, to="CUR"), post(client, "move", job, to="CUR")
    assert (first.status_code, second.status_code) == (303, 303)
    assert first["Location"] == second["Location"]
    assert Entry.objects.filter(job=job, action="job.moved").count() == 1


def test_a_move_is_taken_back_from_the_notice() -> None:
    job, client = on_the_bench(), signed_in()
    post(client, "move", job, to="CUR")
    answer = post(client, "undo", job, seen="2", key="another-press")
    assert answer.status_code == 303
    job.refresh_from_db()
    assert (job.stage, job.revision) == (Stage.BEN, 3)
    assert "Take it back" not in text_of(client.get(reverse("board:rails")))
    again = post(client, "undo", job, seen="2", key="another-press")
    assert again.status_code == 303
    job.refresh_from_db()
    assert job.revision == 3


def test_only_ones_own_fresh_move_is_offered_to_be_taken_back() -> None:
    job, client = on_the_bench(), signed_in()
    post(client, "move", job, to="CUR")
    assert "Take it back" in text_of(client.get(reverse("board:rails")))
    tobiah = signed_in(Role.LUTHIER)
    assert "Take it back" not in text_of(tobiah.get(reverse("board:rails")))
    refused = post(tobiah, "undo", job, seen="2", key="tobiahs-press")
    assert refused.status_code == 422
    assert "Only whoever moved it may take it back." in text_of(refused)
    post(tobiah, "move", job, to="SET", seen="2", key="tobiahs-move")
    assert "Take it back" not in text_of(client.get(reverse("board:rails")))


def test_after_five_minutes_nothing_is_offered_to_be_taken_back() -> None:
    late = timezone.now() - timedelta(minutes=5, seconds=1)
    job, jorin = on_the_bench(stage_since=late, revision=2), factory.person(Role.TECHNICIAN)
    Entry.objects.create(
        job=job, action="job.moved", by=jorin, at=late, data={"from": "QUE", "to": "BEN", "revision": 2}
    )
    client = signed_in()
    assert "Take it back" not in text_of(client.get(reverse("board:rails")))
    assert post(client, "undo", job, seen="2").status_code == 422


@pytest.mark.parametrize(
    ("what", "act"),
    [("move", Act.MOVE), ("undo", Act.MOVE), ("assign", Act.ASSIGN), ("hold", Act.HOLD), ("lift", Act.HOLD)],
)
@pytest.mark.parametrize("role", list(Role))
def test_each_step_is_open_to_its_roles_only(what: str, act: Act, role: Role) -> None:
    job = on_the_bench()
    answer = post(signed_in(role), what, job, to="CUR", kind="parts", person="")
    assert (answer.status_code == 403) == (role not in MAY[act])
    if role not in MAY[act]:
        assert not Entry.objects.filter(job=job).exists()


def test_steps_are_posts_and_unknown_numbers_are_not_found() -> None:
    job, client = on_the_bench(), signed_in()
    for what in ("move", "undo", "assign", "hold", "lift"):
        assert client.get(reverse(f"board:{what}", args=[job.number])).status_code == 405
        assert client.post(reverse(f"board:{what}", args=["26-9999"])).status_code == 404


def test_a_job_is_given_to_another_or_to_nobody() -> None:
    job, client, tobiah = on_the_bench(), signed_in(), factory.person(Role.LUTHIER)
    answer = post(client, "assign", job, person=str(tobiah.pk))
    assert answer.status_code == 303
    job.refresh_from_db()
    assert job.assigned == tobiah
    assert "Tobiah has it now" in text_of(client.get(answer["Location"]))
    post(client, "assign", job, person="")
    assert Job.objects.filter(pk=job.pk, assigned=None).exists()
    for wrong in ("999999", "x", str(factory.person(Role.BOOKS).pk)):
        assert post(client, "assign", job, person=wrong).status_code == 422


def test_tape_is_laid_once_lifted_once_and_shown_meanwhile() -> None:
    job, client = on_the_bench(), signed_in()
    for _ in range(2):
        assert post(client, "hold", job, kind="parts", words="  bridge   blank ").status_code == 303
    laid = Hold.objects.get(job=job)
    assert (laid.kind, laid.words) == ("parts", "bridge blank")
    assert "parts: bridge blank" in text_of(client.get(reverse("board:rails")))
    for _ in range(2):
        assert post(client, "lift", job, hold=str(laid.pk)).status_code == 303
    assert Entry.objects.filter(job=job, action="hold.lifted").count() == 1
    assert "bridge blank" not in text_of(client.get(reverse("board:rails")))


def test_wrong_tape_is_refused_and_what_was_typed_stays() -> None:
    job, other, client = on_the_bench(), on_the_bench(), signed_in()
    answer = post(client, "hold", job, kind="", words="bridge blank")
    assert answer.status_code == 422
    assert "Choose what it waits for." in text_of(answer)
    assert 'value="bridge blank"' in text_of(answer)
    post(client, "hold", other, kind="wood")
    elsewhere = Hold.objects.get(job=other)
    for wrong in (str(elsewhere.pk), "", "x"):
        refused = post(client, "lift", job, hold=wrong)
        assert refused.status_code == 422
        assert "That tape is not on this job." in text_of(refused)
    elsewhere.refresh_from_db()
    assert elsewhere.lifted_at is None


@pytest.mark.django_db(transaction=True)
def test_every_change_is_heard_by_every_screen() -> None:
    job, client = on_the_bench(), signed_in()
    beats = [0]
    presses: list[tuple[str, dict[str, Any]]] = [
        ("hold", {"kind": "parts"}),
        ("assign", {"person": ""}),
        ("move", {"to": "CUR"}),
        ("undo", {"seen": "2", "key": "x-press-x"}),
    ]
    for what, data in presses:
        post(client, what, job, **data)
        beats.append(Pulse.objects.get(pk=1).beats)
    assert beats == sorted(set(beats))
    assert len(beats) == 5
