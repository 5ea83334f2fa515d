"""An answer by any road: signed, read back, by order, by slip; what was agreed is a frozen paper each time."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from jobs.book.models import Job, JobParty, Party
from jobs.book.refusals import Refused, Stale
from jobs.book.stages import Stage
from jobs.estimates.agreement_text import read_aloud
from jobs.estimates.answers import Came, answer, words_to_sign
from jobs.estimates.ceilings import set_ceiling
from jobs.estimates.models import Answer, Estimate
from jobs.estimates.reads import EstimateView, estimate_view, standing_words
from jobs.estimates.sending import send
from jobs.estimates.steps import write_option
from jobs.papers.canonical import read
from jobs.papers.frozen import words_sha256
from jobs.papers.models import Signature
from jobs.papers.texts import Signed, moment
from shop.people.roles import Role
from shop.profile.reads import profile
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
PEN = (((100, 250, 0), (300, 90, 40), (500, 300, 90)),)


@pytest.fixture
def job() -> Job:
    factory.shop()
    return factory.job(Stage.EXA)


@pytest.fixture
def estimate(job: Job) -> Estimate:
    draft = factory.draft(job, net=500)
    write_option(draft.options.get(), title="Full", contingency=Decimal(120), by=factory.person(Role.LUTHIER), at=NOW)
    return send(draft, by=factory.person(Role.DESK), at=NOW)


def _owner(job: Job) -> Party:
    return job.roles.get(role="owner").party


def _view(estimate: Estimate) -> EstimateView:
    return estimate_view(Estimate.objects.select_related("paper").get(pk=estimate.pk), shop=profile(), on=NOW.date())


def _aloud(job: Job, estimate: Estimate) -> str:
    view = _view(estimate)
    return " ".join(read_aloud(job, view, view.options[0], shop=profile()))


def _came(job: Job, how: str, **fields: Any) -> Came:
    given = {"how": how, "name": "Imelda Rookstone", "party": _owner(job), "by": factory.person(Role.DESK)}
    return Came(**{**given, **fields})


def _agree(estimate: Estimate, came: Came, **more: Any) -> Answer:
    return answer(estimate, option=estimate.options.get(), came=came, at=NOW, **more)


def _words(made: Answer) -> dict[str, Any]:
    assert made.paper is not None
    assert made.paper.kind == "agreement"
    said: Any = read(made.paper.text.encode())["words"]
    return dict(said)


def _signed() -> Signed:
    return Signed(role="approver", name="Imelda Rookstone", at=moment(NOW, profile().zone), strokes=PEN)


def test_what_is_read_aloud_names_version_work_sum_deposit_and_day(job: Job, estimate: Estimate) -> None:
    aloud = _aloud(job, estimate)
    for words in (job.number, "version 1", "New soundpost", "500.00 in all, tax included", "up to 120.00 more",
                  "deposit of 250.00", "day is still to be agreed", "Do you agree"):  # fmt: skip
        assert words in aloud, words
    assert "option" not in aloud  # it has one way only


def test_on_the_telephone_the_words_read_back_are_kept_with_who_spoke_and_who_read(
    job: Job, estimate: Estimate
) -> None:
    came = _came(job, "phone", words=_aloud(job, estimate), name="Aunt Rookstone", note="she asked for Fridays")
    made = _agree(estimate, came)
    said = _words(made)
    assert made.words == _aloud(job, estimate)
    assert (said["agreed_by"], said["how"]) == ("Aunt Rookstone", "by telephone, read back by Maris")
    assert " ".join(said["read_back"]) == made.words
    assert said["most"] == "620.00"
    assert "Fridays" not in made.paper.text  # type: ignore[union-attr]
    assert standing_words(job, profile().zone) == (
        "Version 1, agreed by Aunt Rookstone by telephone, read back by Maris, Wed 25 Nov"
    )


def test_words_that_were_not_those_to_read_back_are_stale(job: Job, estimate: Estimate) -> None:
    with pytest.raises(Stale, match="Read them back again"):
        _agree(estimate, _came(job, "phone", words="Version 1, 500.00, she says yes."))
    assert not Answer.objects.exists()


def test_a_signature_at_the_counter_is_on_the_paper_that_was_shown(job: Job, estimate: Estimate) -> None:
    view, by = _view(estimate), factory.person(Role.DESK)
    shown = words_to_sign(job, view, view.options[0], party=_owner(job), by=by, at=NOW)
    # signed after midnight: the words are still the ones that were read
    later = NOW + timedelta(hours=20)
    came = _came(job, "desk", signed=_signed(), seen=words_sha256(shown))
    made = answer(estimate, option=estimate.options.get(), came=came, at=later)
    signature = Signature.objects.get(paper=made.paper)
    assert (signature.role, signature.party, len(signature.strokes[0])) == ("approver", _owner(job), 3)
    assert _words(made)["fixed"] == moment(NOW, profile().zone)


def test_other_words_than_those_signed_are_stale(job: Job, estimate: Estimate) -> None:
    with pytest.raises(Stale, match="changed after they were read"):
        _agree(estimate, _came(job, "desk", signed=_signed(), seen="0" * 64))
    with pytest.raises(Refused, match="sign first"):
        _agree(estimate, _came(job, "desk"))
    assert not Answer.objects.exists()


def test_an_order_needs_its_number_and_may_name_a_ceiling(job: Job, estimate: Estimate) -> None:
    with pytest.raises(Refused, match="number of the purchase order"):
        _agree(estimate, _came(job, "order"))
    with pytest.raises(Refused, match=r"comes to 500\.00; the purchase order allows 499\.99"):
        _agree(estimate, _came(job, "order", order_number="KV-7", order_ceiling=Decimal("499.99")))
    made = _agree(estimate, _came(job, "order", order_number="KV-7", order_ceiling=Decimal(550)))
    said = _words(made)
    # 500.00 and up to 120.00 more, but never above what the order allows
    assert (said["most"], said["order_ceiling"], said["how"]) == (
        "550.00", "550.00", "by purchase order KV-7, written down by Maris",
    )  # fmt: skip


def test_the_slip_and_the_link_leave_a_paper_too(job: Job, estimate: Estimate) -> None:
    assert _words(_agree(estimate, _came(job, "slip")))["how"] == "by the signed slip, written down by Maris"
    other = factory.job(Stage.EXA, owner=_owner(job))
    sent = factory.sent(other)
    assert _words(_agree(sent, _came(other, "link", by=None)))["how"] == "by link, name typed"


def test_an_approver_agrees_up_to_a_sum_and_the_owner_to_any(job: Job, estimate: Estimate) -> None:
    teacher, by = factory.party("Pascoe Dunwinter"), factory.person(Role.DESK)
    JobParty.objects.filter(job=job, role="approver").update(party=teacher)
    set_ceiling(job, teacher, Decimal(150), by=by, at=NOW)
    assert job.entries.get(action="ceiling.set").data == {"party": teacher.pk, "was": "", "now": "150.00"}
    for how, more in (("phone", {"words": _aloud(job, estimate)}), ("link", {"by": None}), ("slip", {})):
        with pytest.raises(Refused, match=r"Pascoe Dunwinter may agree up to 150\.00"):
            _agree(estimate, _came(job, how, party=teacher, name=teacher.name, **more))
    view = _view(estimate)
    with pytest.raises(Refused, match="may agree up to"):
        words_to_sign(job, view, view.options[0], party=teacher, by=by, at=NOW)
    assert _agree(estimate, _came(job, "slip")).ceiling == 620


def test_the_owner_has_no_ceiling_to_set(job: Job) -> None:
    with pytest.raises(Refused, match="agrees for the owner"):
        set_ceiling(job, _owner(job), Decimal(10), by=factory.person(Role.DESK), at=NOW)


def test_a_child_who_picks_up_the_telephone_cannot_agree(job: Job, estimate: Estimate) -> None:
    child = factory.party("Tomi Sandhollow", minor=True)
    JobParty.objects.create(job=job, party=child, role="player")
    with pytest.raises(Refused, match="under age"):
        _agree(estimate, _came(job, "phone", words=_aloud(job, estimate), name="tomi  sandhollow"))


def test_a_version_that_was_replaced_or_answered_meanwhile_is_stale(job: Job, estimate: Estimate) -> None:
    _agree(estimate, _came(job, "slip"))
    with pytest.raises(Stale, match="answered already"):
        _agree(estimate, _came(job, "order", order_number="KV-7"))
    newer = factory.sent(job)
    again = factory.sent(job)
    with pytest.raises(Stale, match="newer estimate"):
        _agree(newer, _came(job, "slip"))
    assert again.version == 3


def test_what_ran_out_cannot_be_signed(job: Job, estimate: Estimate) -> None:
    view, late = _view(estimate), NOW + timedelta(days=31)
    with pytest.raises(Refused, match="ran out"):
        words_to_sign(job, view, view.options[0], party=_owner(job), by=factory.person(Role.DESK), at=late)
    with pytest.raises(Refused, match="ran out"):
        answer(estimate, option=estimate.options.get(), came=_came(job, "desk", signed=_signed()), at=late)


def test_the_letter_on_what_was_agreed_has_the_paper_beside_it(
    job: Job, estimate: Estimate, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        made = _agree(estimate, _came(job, "phone", words=_aloud(job, estimate)))
    letter = job.messages.get(kind="agreed")
    assert letter.paper == made.paper
    assert "by telephone, read back by Maris" in letter.body
    assert made.at <= timezone.now()
