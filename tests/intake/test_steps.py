"""Writing a draft."""

from functools import partial

import pytest

from jobs.book.models import Entry, Job
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.intake import drafts, steps
from jobs.intake.edits import with_fields, with_role
from jobs.intake.models import Draft
from jobs.intake.naming import name_party
from jobs.intake.reads import begun, find_draft, items_of, open_drafts
from shop.people.models import Device
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.intake import sittings

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _open_shop(db: None) -> None:
    sittings.open_shop()


def test_one_press_begins_one_draft() -> None:
    by = factory.person(Role.DESK)
    first = steps.begin(by=by, at=NOW, key="press-begin")
    with pytest.raises(Again) as again:
        steps.begin(by=by, at=NOW, key="press-begin")
    assert again.value.made == {"draft": str(first.key)}
    assert Draft.objects.count() == 1


def test_each_change_is_kept_and_counted_and_no_change_is_not() -> None:
    row = sittings.begun()
    party = factory.party()
    row = steps.save(row, partial(with_role, role="depositor", party=party.pk), seen=1, by=row.by, at=sittings.later())
    assert (row.version, row.saved_at) == (2, sittings.later())
    row = steps.save(row, partial(with_role, role="depositor", party=party.pk), seen=2, by=row.by, at=NOW)
    assert (row.version, row.saved_at) == (2, sittings.later())


def test_the_second_of_two_tablets_is_told_and_nothing_is_written_over() -> None:
    made = sittings.draft(factory.party())
    row, key = sittings.begun(made), made.pieces[0].key
    first = partial(with_fields, step="said", typed={f"said-{key}": "first"})
    steps.save(row, first, seen=1, by=row.by, at=sittings.later())
    with pytest.raises(Stale, match=r"changed elsewhere at 10:13\. Open it again"):
        steps.save(row, partial(with_fields, step="said", typed={f"said-{key}": "second"}), seen=1, by=row.by, at=NOW)
    row.refresh_from_db()
    assert drafts.from_json(row.data).pieces[0].said == "first"


def test_anothers_draft_is_not_changed_except_by_the_head_luthier() -> None:
    row = sittings.begun()
    change = partial(with_role, role="owner", party=None)
    with pytest.raises(Refused, match="not yours"):
        steps.save(row, change, seen=1, by=factory.person(Role.LUTHIER), at=NOW)
    steps.save(row, change, seen=1, by=factory.person(Role.HEAD), at=NOW)


def test_what_is_put_on_the_list_gets_its_number_once() -> None:
    row = sittings.begun()
    add = partial(steps.add_piece, row, by=row.by, at=NOW, kind="Vn", key="press-add-1")
    assert drafts.from_json(add(seen=1).data).pieces[0].number == "26-0001"
    with pytest.raises(Again):
        add(seen=1)
    steps.add_piece(row, seen=2, by=row.by, at=NOW, kind="Bw", key="press-add-2")
    row.refresh_from_db()
    assert [piece.number for piece in drafts.from_json(row.data).pieces] == ["26-0001", "26-0002"]


def test_a_kind_nobody_knows_is_refused() -> None:
    row = sittings.begun()
    with pytest.raises(Refused, match="Choose what it is"):
        steps.add_piece(row, seen=1, by=row.by, at=NOW, kind="XX", key="press-add-1")


def test_an_item_of_the_book_and_an_expected_job_bring_what_is_known() -> None:
    owner = factory.party()
    expected = factory.job(Stage.EXP, owner=owner, ready=False, said="It fell.", work="look at it", number="26-0300")
    row = sittings.begun()
    known = items_of(owner.pk)[0]
    assert (known.item, known.expected, known.here) == (expected.item, expected, None)
    row = steps.add_piece(row, seen=1, by=row.by, at=NOW, key="press-add-1", item=known.item, job=known.expected)
    piece = drafts.from_json(row.data).pieces[0]
    assert (piece.number, piece.item, piece.job) == ("26-0300", expected.item_id, expected.pk)
    assert (piece.said, piece.work, piece.size) == ("It fell.", "look at it", "4/4")


def test_a_job_that_is_not_expected_any_more_is_not_taken_up() -> None:
    here = factory.job(Stage.BEN)
    row = sittings.begun()
    with pytest.raises(Refused, match="is not expected any more"):
        steps.add_piece(row, seen=1, by=row.by, at=NOW, key="press-add-1", item=here.item, job=here)
    assert items_of(here.item.owner_id)[0].here == here


def test_only_the_head_luthier_accepts_a_value_above_the_cover_and_it_is_recorded() -> None:
    dear = sittings.piece(value_answer="stated", value="61000", basis="appraisal")
    row = sittings.begun(sittings.draft(factory.party(), dear))
    accept = partial(steps.accept_value, row, dear.key, seen=1, by=row.by, words="kept in the strong-room", at=NOW)
    with pytest.raises(Refused, match="Only the head luthier"):
        accept(head=factory.person(Role.LUTHIER))
    with pytest.raises(Refused, match="on what terms"):
        accept(head=factory.person(Role.HEAD), words=" ")
    row = accept(head=factory.person(Role.HEAD))
    accepted = drafts.from_json(row.data).pieces[0].accepted
    assert accepted is not None
    assert (accepted.name, accepted.value) == ("Ottilie Brackenshaw", "61000")
    entry = Entry.objects.get(action="intake.accepted")
    assert entry.by == factory.person(Role.HEAD)
    assert entry.data == {"draft": row.pk, "number": "26-0401", "value": "61000.00"}


def test_a_value_within_the_cover_needs_nobody() -> None:
    piece = sittings.piece(value_answer="stated", value="100", basis="a guess")
    row = sittings.begun(sittings.draft(factory.party(), piece))
    head = factory.person(Role.HEAD)
    with pytest.raises(Refused, match="within the shop’s cover"):
        steps.accept_value(row, piece.key, seen=1, by=row.by, head=head, words="yes", at=NOW)


def test_what_was_typed_is_wiped_when_nothing_is_taken_in_after_all() -> None:
    row = sittings.begun(sittings.draft(factory.party()))
    steps.give_up(row, by=row.by, at=NOW)
    steps.give_up(row, by=row.by, at=NOW)
    row.refresh_from_db()
    assert row.data == {}
    assert Entry.objects.filter(action="intake.given_up").count() == 1
    assert not open_drafts(row.by, None).exists()
    assert Job.objects.count() == 0
    with pytest.raises(Refused, match="given up"):
        steps.save(row, lambda draft: draft, seen=None, by=row.by, at=NOW)


def test_a_new_person_is_written_down_and_given_their_part() -> None:
    row = sittings.begun()
    write = partial(
        name_party, row, role="depositor", address="8 Weir Lane", body=False, minor=False, by=row.by, at=NOW
    )
    party = write(name="נועה 李 🎻", phone="01632 960011", email="Noa@Example.org", seen=1, key="press-party-1")
    row.refresh_from_db()
    assert (party.name, party.email, party.phone) == ("נועה 李 🎻", "noa@example.org", "+441632960011")
    assert drafts.from_json(row.data).depositor == party.pk
    again = write(name="נועה 李 🎻", phone="+44 1632 960011", email="", seen=2, key="press-party-2")
    assert again == party
    with pytest.raises(Refused, match="in the book already, as נועה") as refusal:
        write(name="Someone Else", phone="01632960011", email="", seen=2, key="press-party-3")
    assert refusal.value.args[1] == party
    with pytest.raises(Refused, match="is not an e-mail address"):
        write(name="Someone Else", phone="", email="not-a-mail", seen=2, key="press-party-4")


def test_the_blank_page_lists_ones_own_drafts_and_at_a_kiosk_only_those_begun_there() -> None:
    desk, luthier, head = (factory.person(role) for role in (Role.DESK, Role.LUTHIER, Role.HEAD))
    tablet = Device.objects.create(name="T", token_hash="a", registered_by=head, registered_at=NOW)
    other = Device.objects.create(name="U", token_hash="b", registered_by=head, registered_at=NOW)
    at_desk = sittings.begun(sittings.draft(factory.party("Imelda Rookstone")))
    at_tablet = sittings.begun(device=tablet)
    theirs = sittings.begun(by=luthier, device=tablet)
    assert {one.row for one in begun(desk, None)} == {at_desk, at_tablet}
    assert [one.row for one in begun(desk, tablet)] == [at_tablet]
    assert [one.row for one in begun(desk, other)] == []
    assert {one.row for one in begun(head, None)} == {at_desk, at_tablet, theirs}
    assert find_draft(at_tablet.key, desk, other) is None
    assert find_draft(theirs.key, desk, None) is None
    assert find_draft(theirs.key, head, None) == theirs
    who = {one.row: (one.who, one.what, one.numbers) for one in begun(desk, None)}
    assert who[at_desk] == ("Imelda Rookstone", "Violin 4/4", "26-0401")
