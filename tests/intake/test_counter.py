"""Price-list work: counted, agreed to by signing the note, in line by itself; and what does not get through."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from pytest_django import DjangoCaptureOnCommitCallbacks

from jobs.billing.reads import account
from jobs.billing.steps import take_payment
from jobs.book.models import Entry, Job, Party
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.catalogue import price_steps
from jobs.catalogue.models import FixedPrice
from jobs.custody.models import Location
from jobs.estimates.models import Answer, Line
from jobs.intake import drafts, list_steps
from jobs.intake.priced import total_of
from jobs.intake.reads import sit
from jobs.intake.sealing import place, seal
from jobs.papers.models import Paper
from jobs.tags.models import Tag
from jobs.updates.models import Message
from shop.money import ZERO
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.intake import sittings
from tests.intake.counters import counted, open_counter, read, sealed

pytestmark = pytest.mark.django_db
D = Decimal


def of(row: object) -> drafts.Draft:
    return drafts.from_json(row.data)  # type: ignore[attr-defined]


def hang(row: object, *, at: object = NOW, key: str = "place-at-counter") -> None:
    hook = Location.objects.get(name="R2-6")
    places: dict[str, int | None] = {piece.key: hook.pk for piece in of(row).pieces}
    place(row, places, by=factory.person(Role.DESK), at=at, key=key)  # type: ignore[arg-type]


def test_three_bows_are_one_note_three_agreements_and_three_jobs_in_line(
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    open_counter()
    owner = factory.party()
    row = counted(owner, RH_VN_Bw="3")
    with django_capture_on_commit_callbacks(execute=True):
        made = sealed(row)
    row.refresh_from_db()
    with django_capture_on_commit_callbacks(execute=True):
        hang(row)
    note = Paper.objects.get(kind="note")
    jobs = list(Job.objects.order_by("number"))
    assert [(job.kind, job.stage, job.work) for job in jobs] == [("rehair", Stage.QUE, "Rehair, violin bow")] * 3
    assert [job.item.title for job in jobs] == ["Violin bow"] * 3
    # three open days after Wednesday: Thursday, Friday, Saturday
    assert {(job.promised, job.sureness) for job in jobs} == {(date(2026, 11, 28), "likely")}
    assert Tag.objects.filter(dead_at=None).count() == 3
    assert {(one.how, one.paper, one.party, one.person, one.estimate.version) for one in Answer.objects.all()} == {
        ("desk", note, owner, factory.person(Role.DESK), 1)
    }
    lines = Line.objects.filter(option__estimate__job=jobs[0])
    assert [(one.words, one.tax_class, one.net, one.tax) for one in lines] == [
        ("Rehair, violin bow", "labour", D(33), D(0)),
        ("Bow hair", "goods", D(12), D("0.99")),
    ]
    bill = account(jobs[0], factory.shop(), on=NOW.date()).bill
    assert bill is not None
    assert (bill.net, bill.tax, bill.gross) == (D(45), D("0.99"), D("45.99"))
    assert made.paper == note
    assert '"agreed_total":"137.97"' in note.text
    assert note.text.count("price-list work, not photographed") == 3
    # the copy of the note says what was agreed: no letter besides it
    assert [letter.kind for letter in Message.objects.all()] == ["note"]


def test_twelve_rehairs_come_to_what_the_check_values_say() -> None:
    """12 × 45.00 = 540.00 before tax (computed by hand; rule D15 of the project's outside check values)."""
    open_counter()
    row = counted(factory.party(), RH_VN_Bw="12")
    assert len(of(row).pieces) == 12
    assert total_of(of(row).pieces, 2).net == D("540.00")


def test_other_work_of_the_same_kind_goes_on_the_same_one_and_may_be_put_apart() -> None:
    open_counter()
    row = counted(factory.party(), ST_VN_Vn="2", SP_SET_Vn="1", BR_VNVA_Vn="1", RH_VC_Bw="1", RH_VN_Bw="1")
    work = [[one.code for one in piece.priced] for piece in of(row).pieces]
    assert work == [["RH-VN"], ["RH-VC"], ["ST-VN", "BR-VNVA", "SP-SET"], ["ST-VN"]]
    desk = factory.person(Role.DESK)
    violin = of(row).pieces[2]
    row = list_steps.put_apart(row, violin.key, "SP-SET", seen=None, by=desk, at=NOW)
    assert [one.code for one in of(row).pieces[-1].priced] == ["SP-SET"]
    assert of(row).pieces[2].work == "Change of strings, violin, one set; New bridge"
    row = list_steps.write(row, {"n-ST-VN-Vn": "0", "n-RH-VC-Bw": ""}, seen=None, by=desk, at=NOW)
    assert [[one.code for one in piece.priced] for piece in of(row).pieces] == [["RH-VN"], ["BR-VNVA"], ["SP-SET"]]


@pytest.mark.parametrize("said", ["500", "25", "999999", "-1", "1.5", "three", "1e3", "３"])
def test_a_number_that_is_none_or_too_many_changes_nothing(said: str) -> None:
    open_counter()
    row = counted(factory.party(), RH_VN_Bw="2")
    with pytest.raises(Refused, match=r"not a number|24 items"):
        list_steps.write(row, {"n-RH-VN-Bw": said}, seen=None, by=row.by, at=NOW)
    row.refresh_from_db()
    assert len(of(row).pieces) == 2


def test_nought_takes_them_all_off_and_numbers_are_given_only_to_be_read() -> None:
    open_counter()
    row = counted(factory.party(), RH_VN_Bw="3")
    assert [piece.number for piece in of(row).pieces] == ["", "", ""]
    assert "press “Read and sign”" in sit(row, receiver=row.by, at=NOW).lacks[-1].words
    row, _ = read(row)
    numbers = [piece.number for piece in of(row).pieces]
    assert len(set(numbers)) == 3
    again, _ = read(row)
    assert [piece.number for piece in of(again).pieces] == numbers
    row = list_steps.write(again, {"n-RH-VN-Bw": "0"}, seen=None, by=row.by, at=NOW)
    assert of(row).pieces == ()
    assert "Nothing is counted" in sit(row, receiver=row.by, at=NOW).lacks[0].words


def dearer_now() -> None:
    """The head luthier puts another price in force for today."""
    head = factory.person(Role.HEAD)
    now = timezone.now()
    listed = price_steps.begin_list(since=now.date(), by=head, at=now)
    price_steps.set_price(listed, "RH-VN", labour=D(37), by=head, at=now)
    price_steps.put_in_force(listed, by=head, at=now)


def test_a_price_that_changes_while_they_read_is_told_with_both_and_nothing_is_sealed() -> None:
    open_counter()
    row, digest = read(counted(factory.party(), RH_VN_Bw="3"))
    dearer_now()
    with pytest.raises(Stale, match=r"45\.99 before, 49\.99 now"):
        seal(row, seen=row.version, seen_sha256=digest, signs=sittings.signs(), by=row.by, at=NOW, key="seal-late")
    assert not Paper.objects.exists()
    made = sealed(row)
    assert Line.objects.filter(option__estimate__job=made.jobs[0], tax_class="labour").get().net == D(37)


def test_a_day_that_passes_while_they_read_is_told_too() -> None:
    open_counter()
    row, digest = read(counted(factory.party(), RH_VN_Bw="1"))
    with pytest.raises(Stale, match="Sat 28 Nov, and now Mon 30 Nov"):
        seal(
            row, seen=row.version, seen_sha256=digest, signs=sittings.signs(), by=row.by, at=NOW + timedelta(days=1),
            key="seal-late",
        )  # fmt: skip


def test_a_price_taken_off_the_list_stops_the_note() -> None:
    open_counter()
    row, _ = read(counted(factory.party(), RH_VN_Bw="1"))
    FixedPrice.objects.filter(code="RH-VN").update(active=False)
    assert "not on the price list any more" in sit(row, receiver=row.by, at=NOW).lacks[0].words


def test_sealing_twice_makes_it_once() -> None:
    open_counter()
    row, digest = read(counted(factory.party(), RH_VN_Bw="1"))
    sign = {"seen": row.version, "seen_sha256": digest, "signs": sittings.signs(), "by": row.by, "at": NOW}
    seal(row, key="seal-once", **sign)  # type: ignore[arg-type]
    for key in ("seal-once", "seal-other"):
        with pytest.raises(Again):
            seal(row, key=key, **sign)  # type: ignore[arg-type]
    assert (Job.objects.count(), Answer.objects.count()) == (1, 1)
    with pytest.raises(Refused, match="sealed"):
        list_steps.write(row, {"n-RH-VN-Bw": "2"}, seen=None, by=row.by, at=NOW)


def test_two_desks_on_one_draft_and_on_one_party() -> None:
    open_counter()
    owner = factory.party()
    row, other = counted(owner, RH_VN_Bw="1"), counted(owner, RH_VN_Bw="1")
    list_steps.write(row, {"n-RH-VN-Bw": "2"}, seen=row.version, by=row.by, at=NOW)
    with pytest.raises(Stale, match="changed elsewhere"):
        list_steps.write(row, {"n-RH-VN-Bw": "3"}, seen=row.version, by=row.by, at=NOW)
    row.refresh_from_db()
    sealed(row, key="seal-first")
    sealed(other, key="seal-second")
    assert Job.objects.count() == 3


def test_without_their_signature_nothing_is_agreed_and_the_job_waits() -> None:
    open_counter()
    row = counted(factory.party(), RH_VN_Bw="1")
    made = sealed(row, signs=replace(sittings.signs(), depositor=None, unsigned="Left at the door"))
    row.refresh_from_db()
    hang(row)
    job = Job.objects.get(pk=made.jobs[0].pk)
    assert (job.stage, job.promised, Answer.objects.count()) == (Stage.IN, None, 0)


def test_above_the_shops_sum_a_deposit_is_asked_first(
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    open_counter()
    factory.shop(deposit_above=D(200), deposit_percent=D(50))
    row = counted(factory.party(), ST_VC_Vc="1", BR_VC_Vc="1")
    made = sealed(row)
    row.refresh_from_db()
    hang(row)
    job = Job.objects.get(pk=made.jobs[0].pk)
    # 16 + 210 labour, 140 + 34 goods at 8.25 %: 400.00 + 11.55 + 2.81 = 414.36; half of it 207.18
    assert account(job, factory.shop(), on=NOW.date()).deposit_asked == D("207.18")
    assert job.stage == Stage.IN
    assert '"deposit":"207.18"' in made.paper.text
    with django_capture_on_commit_callbacks(execute=True):
        take_payment(job, D("207.18"), "card", by=factory.person(Role.DESK), at=NOW, key="pay-deposit")
    job.refresh_from_db()
    assert job.stage == Stage.QUE


def test_who_may_not_agree_for_the_owner_cannot_sign_prices() -> None:
    open_counter()
    owner, teacher = factory.party(), factory.party("Corvin Ashgrove")
    row = counted(teacher, RH_VN_Bw="1")
    draft = replace(of(row), owner=owner.pk)
    assert "may not agree" in sit(row, receiver=row.by, draft=draft, at=NOW).lacks[0].words
    asked = replace(draft, approver=teacher.pk)
    assert "may not agree" not in sit(row, receiver=row.by, draft=asked, at=NOW).lacks[0].words


def test_an_exempt_school_pays_no_tax_and_a_child_signs_nothing() -> None:
    open_counter()
    school = factory.party("Ostlemere School", tax_exempt_paper="E-1", tax_exempt_until=date(2027, 1, 1))
    row = counted(school, RH_VN_Bw="1")
    assert total_of(of(row).pieces, 2).tax == ZERO
    child = factory.party("Pip Rookstone", minor=True)
    row = counted(child, RH_VN_Bw="1")
    assert "under age" in sit(row, receiver=row.by, at=NOW).lacks[0].words


def test_a_bow_that_the_book_has_is_the_same_bow_and_an_expected_one_keeps_its_number() -> None:
    open_counter()
    owner = factory.party()
    bow = factory.item(owner, kind="Bw", size="violin", title="Violin bow", marks="red tape")
    expected = factory.job(Stage.EXP, owner=owner, ready=False, item=bow)
    row = counted(owner, RH_VN_Bw="2")
    key = of(row).pieces[0].key
    row = list_steps.write(row, {f"item-{key}": str(bow.pk)}, seen=None, by=row.by, at=NOW)
    with pytest.raises(Refused, match="in the list already"):
        list_steps.write(row, {f"item-{of(row).pieces[1].key}": str(bow.pk)}, seen=None, by=row.by, at=NOW)
    strange = factory.item(factory.party(), kind="Bw", size="violin", title="Violin bow")
    with pytest.raises(Refused, match="not the owner’s"):
        list_steps.write(row, {f"item-{of(row).pieces[1].key}": str(strange.pk)}, seen=None, by=row.by, at=NOW)
    made = sealed(row)
    assert made.jobs[0].pk == expected.pk
    assert bow.jobs.get().number == expected.number
    assert Party.objects.count() == 2


def test_taken_in_fully_after_all_keeps_the_list_and_agrees_to_nothing() -> None:
    open_counter()
    row = counted(factory.party(), ST_VN_Vn="1")
    row = list_steps.take_in_fully(row, seen=None, by=row.by, at=NOW)
    draft = of(row)
    assert not draft.from_list
    assert (draft.pieces[0].priced, draft.pieces[0].work) == ((), "Change of strings, violin, one set")
    assert draft.pieces[0].number
    steps_lacking = {lack.step for lack in sit(row, receiver=row.by).lacks}
    assert {"said", "photos", "condition", "value"} <= steps_lacking
    with pytest.raises(Refused, match="step by step"):
        list_steps.write(row, {"n-ST-VN-Vn": "2"}, seen=None, by=row.by, at=NOW)


def test_every_agreement_is_in_the_history_once() -> None:
    open_counter()
    sealed(counted(factory.party(), RH_VN_Bw="2"))
    approved = Entry.objects.filter(action="estimate.approved")
    assert [entry.data["total"] for entry in approved] == ["45.99", "45.99"]
    assert {entry.data["how"] for entry in approved} == {"desk"}
