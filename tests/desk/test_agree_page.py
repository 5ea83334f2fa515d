"""Writing an answer down at the desk: one page a road, each with its own words and guards."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Job, JobParty
from jobs.book.stages import Stage
from jobs.estimates.models import Answer, Estimate
from jobs.estimates.sending import send
from jobs.papers.models import Paper
from shop.people.roles import Role
from tests import factory

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
PEN = json.dumps([[[100, 250, 0], [300, 90, 40], [500, 300, 90]]])


class Desk:
    """Maris at the counter, and the estimate in front of her."""

    def __init__(self, job: Job) -> None:
        self.job, self.client, self.presses = job, Client(), 0
        self.client.force_login(factory.person(Role.DESK), backend=BACKEND)
        self.sent = factory.sent(job, at=timezone.now())
        self.party = job.roles.get(role="owner").party

    def address(self, name: str = "-agree") -> str:
        return reverse(f"desk:estimate{name}", args=[self.job.number])

    def asked(self, road: str, **fields: object) -> dict[str, Any]:
        return {"estimate": self.sent.pk, "road": road, "party": self.party.pk, "option": "A", **fields}

    def page(self, road: str, **fields: object) -> Any:
        return self.client.get(self.address(), self.asked(road, **fields))

    def form(self, road: str, **fields: object) -> dict[str, Any]:
        """What the page of a road would send, as far as it fills it in itself."""
        shown = self.page(road, **fields).context
        hidden = {"words": " ".join(shown["aloud"]), "digest": shown["digest"]} if "aloud" in shown else {}
        self.presses += 1
        return {"key": f"press-{self.presses:04}", "name": self.party.name, **hidden, **self.asked(road, **fields)}

    def post(self, form: dict[str, Any], **fields: object) -> Any:
        return self.client.post(self.address(), {**form, **fields})


@pytest.fixture
def desk() -> Desk:
    factory.shop()
    return Desk(factory.job(Stage.EXA))


def test_the_telephone_page_shows_what_to_read_aloud_and_keeps_who_spoke(desk: Desk) -> None:
    text = desk.page("phone").content.decode()
    for words in ("Read this aloud to Imelda Rookstone", "version 1", "234.00 in all", "Read back and agreed"):
        assert words in text, words
    form = desk.form("phone")
    assert "tick that they were read back" in desk.post(form).content.decode()
    assert desk.post(form, read_back="yes", name="Aunt Rookstone", note="calls after six").status_code == 302
    made = Answer.objects.get()
    assert (made.how, made.name, made.person, made.note) == (
        "phone", "Aunt Rookstone", factory.person(Role.DESK), "calls after six",
    )  # fmt: skip
    after = desk.client.get(desk.address("")).content.decode()
    assert "Version 1, agreed by Aunt Rookstone by telephone, read back by Maris" in after
    assert f"Print the agreement {Paper.objects.get(kind='agreement').number}" in after
    job_page = desk.client.get(reverse("desk:job", args=[desk.job.number])).content.decode()
    assert "agreed by Aunt Rookstone by telephone, read back by Maris" in job_page
    assert "wrote down that Rookstone agreed to version 1, option A, by telephone, read back" in job_page
    bench = desk.client.get(reverse("scan:bench", args=[desk.job.number])).content.decode()
    assert "Version 1, agreed by Rookstone by telephone, read back by Maris" in bench


def test_at_the_counter_the_owner_signs_what_is_shown(desk: Desk) -> None:
    assert "data-pad" in desk.page("desk").content.decode()
    form = desk.form("desk")
    assert "The pad is empty" in desk.post(form).content.decode()
    assert "needs a witness" in desk.post(form, typed_name="Imelda Rookstone").content.decode()
    assert "did not arrive whole" in desk.post(form, strokes="[[[1").content.decode()
    answer = desk.post(form, digest="0" * 64, strokes=PEN)
    assert (answer.status_code, "changed after they were read" in answer.content.decode()) == (409, True)
    assert not Answer.objects.exists()
    assert desk.post(form, strokes=PEN).status_code == 302
    signature = Paper.objects.get(kind="agreement").signatures.get()
    assert (signature.role, signature.how, signature.strokes) == ("approver", "drawn", json.loads(PEN))


def test_a_typed_name_with_a_witness_signs_too(desk: Desk) -> None:
    form = desk.form("desk", typed_name="I. Rookstone", witness="Maris Quillby")
    assert desk.post(form).status_code == 302
    signature = Paper.objects.get(kind="agreement").signatures.get()
    assert (signature.how, signature.name, signature.witness) == ("typed", "I. Rookstone", "Maris Quillby")


def test_an_order_says_its_number_and_how_much_it_allows(desk: Desk) -> None:
    form = desk.form("order")
    assert "number of the purchase order" in desk.post(form).content.decode()
    low = desk.post(form, order_number="KV-7", order_ceiling="200").content.decode()
    assert "the purchase order allows 200.00" in low
    assert 'value="KV-7"' in low
    assert "not an amount" in desk.post(form, order_number="KV-7", order_ceiling="two").content.decode()
    assert desk.post(form, order_number="KV-7", order_ceiling="250.00").status_code == 302
    assert "by purchase order KV-7" in desk.client.get(desk.address("")).content.decode()


def test_none_of_these_comes_by_any_road(desk: Desk) -> None:
    form = desk.form("phone", option="none")
    assert desk.post(form, words="Too dear just now.").status_code == 302
    made = Answer.objects.get()
    assert (made.approved, made.words, made.paper) == (False, "Too dear just now.", None)


def test_a_second_press_writes_one_answer(desk: Desk) -> None:
    form = desk.form("slip")
    assert [desk.post(form).status_code for _ in range(2)] == [302, 302]
    assert Answer.objects.count() == 1


def test_of_two_who_write_it_down_at_once_one_wins(desk: Desk) -> None:
    hers, his = desk.form("slip"), desk.form("order", order_number="KV-7")
    assert desk.post(hers).status_code == 302
    late = desk.post(his)
    assert (late.status_code, "answered already" in late.content.decode()) == (409, True)
    assert Answer.objects.get().how == "slip"


def test_a_version_that_was_replaced_meanwhile_is_not_answered(desk: Desk) -> None:
    form = desk.form("slip")
    factory.sent(desk.job, at=timezone.now())
    late = desk.post(form)
    assert (late.status_code, "newer version" in late.content.decode()) == (422, True)
    assert not Answer.objects.exists()


def test_nobody_elses_option_party_or_estimate(desk: Desk) -> None:
    other = Desk(factory.job(Stage.EXA, owner=factory.party("Lorcan Appletree")))
    for wrong in (
        {"estimate": other.sent.pk},
        {"party": other.party.pk},
        {"option": "B"},
        {"road": "link"},
        {"estimate": "x"},
    ):
        form = {"key": "press-wrong", "name": "A B", **desk.asked("slip"), **wrong}
        assert desk.post(form).status_code == 422, wrong
        assert desk.client.get(desk.address(), form).status_code == 200
    assert not Answer.objects.exists()


def test_what_ran_out_is_not_signed_but_sent_again_at_todays_prices(desk: Desk) -> None:
    form = desk.form("desk", strokes=PEN)
    yesterday = timezone.localdate() - timedelta(days=1)
    Estimate.objects.filter(pk=desk.sent.pk).update(expires_on=yesterday)
    assert "ran out" in desk.post(form).content.decode()
    assert "Send again as version 2, with the prices of today" in desk.client.get(desk.address("")).content.decode()
    renewed = desk.client.post(desk.address("-renew"), {"key": "press-renew"}, follow=True).content.decode()
    assert "Version 2 has the prices of today: A stays at 234.00" in renewed
    assert send(desk.job.estimates.get(version=2), by=factory.person(Role.DESK), at=timezone.now()).state == "sent"


def test_an_answer_written_down_wrongly_is_taken_back_on_the_page(desk: Desk) -> None:
    desk.post(desk.form("slip"))
    made = Answer.objects.get()
    asked = {"answer": made.pk, "reason": "", "key": "press-back1"}
    assert "what was wrong" in desk.client.post(desk.address("-withdraw"), asked).content.decode()
    back = desk.client.post(
        desk.address("-withdraw"), {**asked, "reason": "She meant B."}, follow=True
    ).content.decode()
    assert "Maris took it back" in back
    assert "She meant B." in back
    assert "How it comes" in back
    history = desk.client.get(reverse("desk:job", args=[desk.job.number])).content.decode()
    assert "took back the answer that Rookstone agreed to version 1, option A" in history


def test_an_approver_has_a_sum_up_to_which_it_holds(desk: Desk) -> None:
    teacher = factory.party("Pascoe Dunwinter")
    JobParty.objects.filter(job=desk.job, role="approver").update(party=teacher)
    set_ = desk.client.post(desk.address("-ceiling"), {"party": teacher.pk, "most": "150.00"}, follow=True)
    assert "Pascoe Dunwinter, up to 150.00" in set_.content.decode()
    refused = desk.page("phone", party=teacher.pk).content.decode()
    assert "Pascoe Dunwinter may agree up to 150.00" in refused
    assert "Read this aloud" not in refused


def test_an_owner_without_e_mail_is_something_to_do(desk: Desk) -> None:
    desk.party.email, desk.party.phone = "", "+442079460155"
    desk.party.save(update_fields=["email", "phone"])
    text = desk.client.get(desk.address("")).content.decode()
    assert "has no e-mail" in text
    assert "Print the estimate" in text
    assert 'href="tel:+442079460155"' in text
