"""A job on the wrong item or under the wrong party, a photo on the wrong job: put right, and nothing lost."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction

from jobs.bench.steps import add_note
from jobs.book.models import Entry, Item, Job, JobParty, Party
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.condition.models import ConditionLine, Finding
from jobs.condition.steps import add_finding
from jobs.custody.reads import last_seen
from jobs.estimates.reads import who_answers
from jobs.links.reads import Why, open_link, token
from jobs.links.steps import link_for
from jobs.moves.facts import gather
from jobs.moves.putting_right import change_party, move_back, move_photo, put_on_item, why_it_stays
from jobs.papers.models import Paper, PaperPhoto
from jobs.papers.otherwise import named_otherwise
from jobs.photos.filing import belongs_also, not_also
from jobs.photos.models import Photo
from jobs.photos.reads import shown_with
from jobs.photos.steps import choose_for_owner, receive
from jobs.updates.models import Message
from jobs.updates.steps import new_message_id
from shop.people.models import Person
from shop.people.roles import Role
from shop.profile.reads import profile
from tests import factory
from tests.factory import NOW
from tests.photos.pictures import coded, sent

pytestmark = pytest.mark.django_db
KEY = "one-press-only"


@pytest.fixture
def maris() -> Person:
    factory.shop()
    factory.prices()
    return factory.person(Role.DESK)


@pytest.fixture
def job(maris: Person) -> Job:
    return factory.job(Stage.BEN, owner=factory.party("Imelda Rookstone"))


def put(job: Job, item: Item | None, by: Person, **more: Any) -> Job:
    how: dict[str, Any] = {
        "new": None, "was_away": False, "reason": "two violins, one case", "seen": job.revision, "key": KEY,
    }  # fmt: skip
    return put_on_item(job.pk, item=item, by=by, at=NOW, **(how | more)).job


def note_of(job: Job) -> Paper:
    """A note as far as these tests look at it."""
    assert job.visit is not None
    return Paper.objects.create(
        kind="note", number="N26-0012", visit=job.visit, text="{}", text_sha256="a" * 64, position=1, at=NOW
    )


def photo(job: Job, key: str = "photo-key-one") -> Photo:
    return receive(sent(coded("JPEG")), purpose="bench", by=factory.person(Role.DESK), at=NOW, send_key=key, job=job)


# the wrong item


def test_a_job_goes_to_the_right_item_and_both_keep_the_story(job: Job, maris: Person) -> None:
    wrong, right = job.item, factory.item(job.item.owner, title="Violin 3/4", size="3/4")
    put(job, right, maris)
    job.refresh_from_db()
    assert job.item == right
    moved = Entry.objects.get(action="job.put_on_item")
    assert (moved.job, moved.item) == (job, right)
    assert moved.data == {"from": wrong.pk, "to": right.pk, "reason": "two violins, one case"}
    assert Entry.objects.get(action="item.job_taken_off").item == wrong


def test_what_was_found_goes_with_the_job_tags_and_sightings_stay_with_each_item(job: Job, maris: Person) -> None:
    wrong, right = job.item, factory.item(job.item.owner)
    ConditionLine.objects.create(job=job, number=1, term_words="crack", severity="minor")
    taken = photo(job)
    put(job, right, maris)
    taken.refresh_from_db()
    assert job.condition_lines.count() == 1
    assert taken.item == right
    assert (wrong.tags.count(), right.tags.count()) == (1, 0)
    assert (wrong.sightings.count(), right.sightings.count()) == (1, 0)


def test_the_gate_looks_at_the_right_item_from_then_on(maris: Person) -> None:
    job = factory.job(Stage.EXP)
    assert gather(job).tag_bound
    words = put_on_item(
        job.pk, item=None, new={"kind": "Va", "size": "16 in"}, was_away=False, reason="a viola", by=maris, at=NOW,
        seen=job.revision, key=KEY,
    ).words  # fmt: skip
    facts = gather(Job.objects.get(pk=job.pk))
    assert (facts.tag_bound, facts.place_known) == (False, False)
    assert any("no tag yet" in said for said in words)
    assert any("where it is" in said for said in words)


def test_a_new_item_is_written_down_for_the_same_owner(job: Job, maris: Person) -> None:
    put(job, None, maris, new={"kind": "Va", "size": "16 in", "labelled": "anno 17?5"})
    job.refresh_from_db()
    assert (job.item.title, job.item.labelled, job.item.owner) == (
        "Viola 16 in",
        "anno 17?5",
        Party.objects.get(name="Imelda Rookstone"),
    )


def test_the_other_one_that_was_never_here_is_not_on_its_hook_any_more(job: Job, maris: Person) -> None:
    wrong = job.item
    put(job, factory.item(wrong.owner), maris, was_away=True)
    seen = last_seen(wrong)
    assert seen is not None
    assert seen.place == ""


def test_the_other_one_is_here_when_another_job_is_open_on_it(job: Job, maris: Person) -> None:
    factory.job(Stage.QUE, item=job.item)
    with pytest.raises(Refused, match="another open job"):
        put(job, factory.item(job.item.owner), maris, was_away=True)
    job.refresh_from_db()
    assert job.revision == 1


def test_the_signed_note_stays_and_what_it_names_is_said(job: Job, maris: Person) -> None:
    note_of(job)
    wrong, right = job.item, factory.item(job.item.owner, title="Viola 16 in", asset="KV-104")
    put(job, right, maris)
    job = Job.objects.select_related("item").get(pk=job.pk)
    said = named_otherwise(job, profile().zone)
    assert said.startswith("The condition note N26-0012 names another item, Violin 4/4.")
    assert "Put right to Viola 16 in (asset KV-104) by Maris on Wed 25 Nov 2026: two violins, one case." in said
    put(job, wrong, maris, key="another-press")
    assert named_otherwise(Job.objects.select_related("item").get(pk=job.pk), profile().zone) == ""


def test_nothing_is_said_where_no_note_was_signed_before(job: Job, maris: Person) -> None:
    put(job, factory.item(job.item.owner), maris)
    assert named_otherwise(Job.objects.select_related("item").get(pk=job.pk), profile().zone) == ""


def test_a_closed_job_stays_what_it_was(job: Job, maris: Person) -> None:
    Job.objects.filter(pk=job.pk).update(closed_at=NOW, closed_as="home", stage=Stage.HOME)
    with pytest.raises(Refused, match="closed"):
        put(job, factory.item(), maris)


def test_two_desks_and_two_presses(job: Job, maris: Person) -> None:
    right = factory.item(job.item.owner)
    put(job, right, maris)
    with pytest.raises(Again):
        put(job, right, maris)
    with pytest.raises(Stale):
        put(job, factory.item(), factory.person(Role.HEAD), key="another-press")


@pytest.mark.parametrize(
    ("more", "words"),
    [({"reason": " "}, "Write how"), ({"new": {"kind": "Xx"}}, "Choose which"), ({"new": {}}, "Choose which")],
)
def test_what_is_missing_is_asked_for(job: Job, maris: Person, more: dict[str, Any], words: str) -> None:
    with pytest.raises(Refused, match=words):
        put(job, None if "new" in more else factory.item(), maris, **more)


def test_the_same_item_again_is_refused(job: Job, maris: Person) -> None:
    with pytest.raises(Refused, match="already"):
        put(job, job.item, maris)


# the wrong party


def instead(job: Job, was: Party, to: Party, by: Person, *roles: str, key: str = KEY) -> Any:
    return change_party(
        job.pk,
        was=was,
        to=to,
        roles=roles or ("owner", "payer", "approver", "collector"),
        reason="two of that name",
        by=by,
        at=NOW + timedelta(hours=1),
        seen=Job.objects.get(pk=job.pk).revision,
        key=key,
    )


def letter(job: Job, party: Party, kind: str = "stage-BEN", state: str = "due") -> Message:
    return Message.objects.create(
        job=job, party=party, kind=kind, channel="email", address=party.email, subject="Work has begun", body="b",
        message_id=new_message_id(), state=state, made_at=NOW, due_at=NOW,
    )  # fmt: skip


def test_the_right_party_takes_its_place_and_the_item_follows(job: Job, maris: Person) -> None:
    was, to = job.item.owner, factory.party("Imelda Rookstone")
    assert was is not None
    instead(job, was, to, maris)
    held = set(JobParty.objects.filter(job=job, party=to).values_list("role", flat=True))
    assert held == {"owner", "payer", "approver", "collector"}
    assert set(JobParty.objects.filter(job=job, party=was).values_list("role", flat=True)) == {"depositor"}
    assert Item.objects.get(pk=job.item_id).owner == to
    entry = Entry.objects.get(action="job.party_changed")
    assert (entry.data["from"], entry.data["to"], entry.data["roles"]) == (was.pk, to.pk, sorted(held, key=held_order))


def held_order(role: str) -> int:
    return ("owner", "payer", "approver", "collector").index(role)


def test_the_wrong_ones_link_dies_and_its_letters_are_dropped(job: Job, maris: Person) -> None:
    was, to = job.item.owner, factory.party()
    assert was is not None
    secret = token(link_for("owner", job_id=job.pk, party_id=was.pk, at=NOW))
    due, note, sent_before = letter(job, was), letter(job, was, "note", "byhand"), letter(job, was, "estimate", "sent")
    turned = instead(job, was, to, maris)
    assert (turned.dropped, turned.shut) == (1, True)
    assert open_link(secret, at=NOW + timedelta(hours=2)).why is Why.SHUT
    states = dict(Message.objects.values_list("pk", "state"))
    # whoever brought it in and signed still gets the copy of what they signed
    assert (states[due.pk], states[note.pk], states[sent_before.pk]) == ("dropped", "byhand", "sent")


def test_a_payer_who_was_wrong_keeps_nothing_but_the_owner_keeps_its_link(job: Job, maris: Person) -> None:
    was = job.item.owner
    assert was is not None
    secret = token(link_for("owner", job_id=job.pk, party_id=was.pk, at=NOW))
    assert not instead(job, was, factory.party("Kesterby Vale School", body=True), maris, "payer").shut
    assert open_link(secret, at=NOW + timedelta(hours=2)).why is None


def test_an_estimate_that_waits_goes_to_whoever_may_answer_now(maris: Person) -> None:
    job = factory.job(Stage.ANS)
    estimate, was, to = factory.sent(job), job.item.owner, factory.party("Lorcan Appletree")
    assert was is not None
    instead(job, was, to, maris)
    told = Message.objects.get(party=to, kind="estimate")
    assert (told.state, told.address) == ("due", to.email)
    assert estimate.state == "sent"
    assert who_answers(job) == [to]


def test_a_changed_party_is_looked_at_again(job: Job, maris: Person) -> None:
    was, to = job.item.owner, factory.party()
    assert was is not None
    instead(job, was, to, maris, "owner")
    with pytest.raises(Stale, match="any more"):
        instead(job, was, factory.party(), maris, "owner", key="another-press")
    with pytest.raises(Refused, match="already"):
        instead(job, to, to, maris, "owner", key="a-third-press")
    with pytest.raises(Refused, match="Tick"):
        instead(job, to, was, maris, "depositor", key="a-fourth-press")


# the wrong photo


def test_a_photo_moves_with_its_note_and_finding_and_hides_from_the_owner(job: Job, maris: Person) -> None:
    other, taken = factory.job(Stage.BEN), photo(job)
    add_note(job, "the post leans", by=maris, at=NOW, photo=taken)
    add_finding(job, "a worm hole", by=maris, at=NOW, photo=taken)
    choose_for_owner(taken, True, by=maris, at=NOW)
    move_photo(taken.pk, other, on=job.pk, by=maris, at=NOW)
    taken.refresh_from_db()
    assert (taken.job, taken.item, taken.visit, taken.owner_may_see) == (other, other.item, other.visit, False)
    assert (other.notes.count(), Finding.objects.get().job) == (1, other)
    here, there = Entry.objects.get(action="photo.moved"), Entry.objects.get(action="photo.moved_away")
    assert (here.job, there.job) == (other, job)
    assert (here.data["from"], here.data["to"], here.data["shown"]) == (job.pk, other.pk, True)


def test_a_move_is_taken_back_once(job: Job, maris: Person) -> None:
    other, taken = factory.job(Stage.BEN), photo(job)
    add_note(job, "", by=maris, at=NOW, photo=taken)
    move_photo(taken.pk, other, on=job.pk, by=maris, at=NOW)
    move_back(taken.pk, on=other.pk, by=maris, at=NOW)
    taken.refresh_from_db()
    assert (taken.job, job.notes.count()) == (job, 1)
    with pytest.raises(Refused, match="taken back"):
        move_back(taken.pk, on=job.pk, by=maris, at=NOW)
    assert Entry.objects.filter(action="photo.moved").count() == 2


def test_a_photo_a_note_names_stays_and_may_belong_elsewhere_too(job: Job, maris: Person) -> None:
    other, taken = factory.job(Stage.BEN), photo(job)
    PaperPhoto.objects.create(paper=note_of(job), photo=taken, sha256=taken.sha256)
    assert "condition note N26-0012 names this photo" in why_it_stays(taken)
    with pytest.raises(Refused, match="N26-0012"):
        move_photo(taken.pk, other, on=job.pk, by=maris, at=NOW)
    assert belongs_also(taken, other, by=maris, at=NOW)
    assert not belongs_also(taken, other, by=maris, at=NOW)
    assert list(shown_with(other)) == [taken]
    assert list(shown_with(job)) == [taken]
    not_also(taken, other, by=maris, at=NOW)
    assert not shown_with(other).exists()


def test_a_photo_moved_by_someone_else_is_not_moved_again(job: Job, maris: Person) -> None:
    other, third, taken = factory.job(Stage.BEN), factory.job(Stage.BEN), photo(job)
    move_photo(taken.pk, other, on=job.pk, by=maris, at=NOW)
    with pytest.raises(Stale, match=other.number):
        move_photo(taken.pk, third, on=job.pk, by=factory.person(Role.HEAD), at=NOW)
    with pytest.raises(Refused, match="already"), transaction.atomic():
        move_photo(taken.pk, other, on=other.pk, by=maris, at=NOW)
