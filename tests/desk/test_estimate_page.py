"""The estimate at the desk: written line by line, sent, answered on the telephone."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Job, JobParty
from jobs.book.stages import Stage
from jobs.estimates.models import Estimate, Line, Option
from shop.people.roles import Role
from tests import factory

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


class Desk:
    """Somebody at the estimate page of one job."""

    def __init__(self, job: Job, role: Role) -> None:
        self.job, self.client, self.presses = job, Client(), 0
        self.client.force_login(factory.person(role), backend=BACKEND)

    def get(self) -> str:
        return str(self.client.get(reverse("desk:estimate", args=[self.job.number])).content.decode())

    def post(self, name: str, /, **fields: object) -> Any:
        self.presses += 1
        given = {"key": f"press-{self.presses:04}", **fields}
        return self.client.post(reverse(f"desk:estimate{name}", args=[self.job.number]), given)


@pytest.fixture
def desk() -> Desk:
    factory.shop()
    factory.prices()
    return Desk(factory.job(Stage.EXA, said="It buzzes."), Role.LUTHIER)


def _line(desk: Desk, kind: str, **fields: object) -> Any:
    return desk.post("-line", option="A", kind=kind, **fields)


def test_an_estimate_is_written_and_sent_from_the_page(desk: Desk) -> None:
    assert "It buzzes." in desk.get()
    assert desk.post("-begin").status_code == 302
    _line(desk, "work", operation="BR1", hours="2,5")
    _line(desk, "material", words="Bridge blank", cost="20.00")
    _line(desk, "fixed", words="Carriage", net="12.50", tax_class="goods")
    _line(desk, "discount", words="Player’s discount", percent="10")
    desk.post("-words", words="The bridge has bent.", not_included="Strings")
    text = desk.get()
    # 2.5 h at 78.00, 20.00 and 35 %, 12.50, 10 % off 195.00; goods tax 2.23 and 1.03
    for words in ("195.00", "27.00", "12.50", "-19.50", "218.26", "The bridge has bent."):
        assert words in text, words
    assert desk.post("-send").status_code == 302
    sent = Estimate.objects.get()
    assert (sent.state, sent.options.get().lines.count()) == ("sent", 4)
    assert "open until" in desk.get()


def test_a_refused_line_says_so_where_it_was_typed_and_keeps_it(desk: Desk) -> None:
    desk.post("-begin")
    for kind, typed, words in (
        ("work", {"operation": "BR1", "hours": "two"}, "Hours: “two” is not a number."),
        ("work", {"operation": "XX9", "hours": "1"}, "Choose the work"),
        ("material", {"words": "Strings", "cost": "1.234"}, "digits after the point"),
        ("fixed", {"words": "Carriage", "net": "-3", "tax_class": "goods"}, "not below zero"),
        ("discount", {"words": "Friend", "percent": "120"}, "at most 100"),
        ("spell", {}, "Choose what to add"),
    ):
        answer = _line(desk, kind, **typed)
        text = answer.content.decode()
        assert answer.status_code == 422, kind
        assert words in text, (kind, words)
        for value in typed.values():
            assert value in text or value == "XX9"
    assert not Line.objects.exists()


def test_a_refusal_whose_part_is_gone_is_shown_at_the_top(desk: Desk) -> None:
    desk.post("-begin")
    answer = desk.post("-line", option="C", kind="work", operation="SP1")
    assert answer.status_code == 422
    assert "That option is not there any more." in answer.content.decode()
    factory.sent(factory.job(Stage.EXA))
    nothing = Desk(factory.job(Stage.EXA), Role.LUTHIER).post("-send")
    assert "Begin a version first." in nothing.content.decode()


def test_a_double_press_adds_one_line(desk: Desk) -> None:
    desk.post("-begin")
    for _ in range(2):
        assert _line(desk, "fixed", words="Carriage", net="5", tax_class="goods", key="press-same").status_code == 302
    assert Line.objects.count() == 1


def test_a_press_without_its_key_is_an_old_page(desk: Desk) -> None:
    desk.post("-begin")
    assert _line(desk, "fixed", words="Carriage", net="5", tax_class="goods", key="").status_code == 422
    assert not Line.objects.exists()


def test_a_line_and_an_option_are_taken_out(desk: Desk) -> None:
    desk.post("-begin")
    desk.post("-option", title="Restore it fully")
    desk.post("-line", option="B", kind="work", operation="SP1")
    line = Line.objects.get()
    assert desk.post("-line-off", line=line.pk).status_code == 302
    assert not Line.objects.exists()
    assert desk.post("-option-off", option="B").status_code == 302
    assert Option.objects.count() == 1
    assert desk.post("-option-off", option="A").status_code == 422
    assert desk.post("-line-off", line="x").status_code == 422


def test_what_the_owner_reads_of_an_option_is_kept(desk: Desk) -> None:
    desk.post("-begin")
    day = timezone.now().date()
    answer = desk.post(
        "-option-words", option="A", title="Make it playable", gets="A new post", left="The neck", contingency="120",
        ready_from=day.isoformat(), ready_to=(day + timedelta(days=7)).isoformat(),
    )  # fmt: skip
    assert answer.status_code == 302
    option = Option.objects.get()
    assert (option.title, f"{option.contingency:.2f}", option.ready_from) == ("Make it playable", "120.00", day)
    wrong = desk.post("-option-words", option="A", title="Make it playable", ready_from="tomorrow")
    assert (wrong.status_code, "is not a day" in wrong.content.decode()) == (422, True)


def test_what_an_owner_should_not_read_stops_the_sending_with_words_to_use(desk: Desk) -> None:
    desk.post("-begin")
    _line(desk, "work", operation="SP1")
    desk.post("-words", words="Worm in the block.")
    answer = desk.post("-send")
    assert answer.status_code == 422
    assert "Instead of “Worm” say “insects”." in answer.content.decode()


def test_the_page_says_when_the_letter_will_wait_for_a_hand(desk: Desk) -> None:
    party = desk.job.roles.get(role="approver").party
    party.email = ""
    party.save(update_fields=["email"])
    desk.post("-begin")
    assert "who has no e-mail" in desk.get()


@pytest.fixture
def sent(desk: Desk) -> Estimate:
    return factory.sent(desk.job, at=timezone.now())


def test_a_new_version_begins_from_the_page_and_the_old_one_stays_readable(desk: Desk, sent: Estimate) -> None:
    assert desk.post("-begin").status_code == 302
    text = desk.get()
    assert "Estimate, version 2" in text
    assert "Version 1" in text
    assert reverse("desk:paper", args=[sent.paper_id]) in text


def test_the_front_desk_sends_but_does_not_write(desk: Desk) -> None:
    maris = Desk(desk.job, Role.DESK)
    assert maris.post("-begin").status_code == 403
    factory.draft(desk.job)
    text = maris.get()
    assert "Add work" not in text
    assert maris.post("-send").status_code == 302


def test_a_technician_writes_but_does_not_send(desk: Desk) -> None:
    factory.draft(desk.job)
    jorin = Desk(desk.job, Role.TECHNICIAN)
    assert "Add work" in jorin.get()
    assert jorin.post("-send").status_code == 403


def test_an_apprentice_sees_no_estimates(desk: Desk) -> None:
    assert Desk(desk.job, Role.APPRENTICE).client.get(
        reverse("desk:estimate", args=[desk.job.number])
    ).status_code == 403  # fmt: skip


def test_the_approver_is_named_before_the_owner(desk: Desk) -> None:
    teacher = factory.party("Pascoe Dunwinter")
    JobParty.objects.filter(job=desk.job, role="approver").update(party=teacher)
    factory.draft(desk.job)
    assert "To Pascoe Dunwinter" in desk.get()
