"""Sealing: all of it in one transaction, or nothing."""

import json
import subprocess
from dataclasses import replace
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from jobs.book.models import Entry, Hold, Item, Job, Visit
from jobs.book.refusals import Again, Refused, Stale
from jobs.book.stages import Stage
from jobs.condition.models import ConditionLine
from jobs.custody.models import Sighting
from jobs.intake import drafts
from jobs.intake.drafts import Accepted, Found
from jobs.intake.models import Draft
from jobs.intake.sealing import place, seal, take_in
from jobs.papers.canonical import sha256
from jobs.papers.models import Paper
from jobs.papers.steps import print_paper
from jobs.papers.texts import Signed
from jobs.photos.models import Photo
from jobs.tags.models import Tag
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.intake import sittings

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _open_shop(db: None) -> None:
    sittings.open_shop()


def sealing(row: Draft, **known: Any) -> Any:
    facts: dict[str, Any] = {
        "seen": row.version,
        "seen_sha256": sittings.seen_hash(row),
        "signs": sittings.signs(),
        "by": row.by,
        "at": NOW,
        "key": "press-seal-1",
    }
    return seal(row, **{**facts, **known})


def nothing_was_made() -> bool:
    return not any(model.objects.exists() for model in (Visit, Job, Item, Paper, Tag, ConditionLine))


def test_one_note_opens_every_job_of_the_visit_with_photos_lines_tags_and_roles() -> None:
    owner, other = factory.party("Imelda Rookstone"), factory.party("Halvard Cressmoor")
    line = Found(
        key="aaaaaaaaaaaa", term="scratch", words="from a button", part="ribs", where="C-bout", extent="33",
        severity="minor", freshness="old",
    )  # fmt: skip
    violin = sittings.piece("26-0401", found=(line,), value_answer="stated", value="2,400", basis="purchase price")
    bow = sittings.piece("26-0402", kind="Bw", agreed_words="rehair", agreed_net="45")
    row = sittings.begun(sittings.draft(owner, violin, bow, payer=other.pk))
    front = sittings.photo(row, violin.key, "front-full")
    close_up = sittings.photo(row, line.key, data=sittings.jpeg("black"))
    made = sealing(row, signs=sittings.signs(show_photos=True))

    assert [job.number for job in made.jobs] == ["26-0401", "26-0402"]
    first, second = made.jobs
    assert (first.stage, first.visit, first.value_stated, first.value_basis) == (
        Stage.EXP,
        made.visit,
        Decimal(2400),
        "purchase price",
    )
    assert (second.kind, second.agreed_words, second.agreed_net, second.value_basis) == (
        "rehair",
        "rehair",
        Decimal(45),
        "not stated",
    )
    assert (made.visit.depositor, made.visit.photo_use, made.visit.unsigned_reason) == (owner, True, "")
    assert {(role.party, role.role) for role in first.roles.select_related("party")} == {
        (owner, "owner"),
        (owner, "depositor"),
        (owner, "approver"),
        (owner, "collector"),
        (other, "payer"),
    }
    assert [(one.words, one.left) for one in first.accessories.all()] == [("case", True)]
    written = ConditionLine.objects.get()
    assert (written.job, written.number, written.term, written.term_words, written.words) == (
        first, 1, "scratch", "scratch", "from a button",
    )  # fmt: skip
    assert (written.part, written.where, written.extent_mm, written.photo) == ("ribs", "C-bout", Decimal(33), close_up)
    front.refresh_from_db()
    assert (front.job, front.item, front.visit) == (first, first.item, made.visit)
    assert Tag.objects.filter(item__in=[first.item, second.item], dead_at=None).count() == 2
    assert {(one.role, one.party, one.person) for one in made.paper.signatures.all()} == {
        ("depositor", owner, None),
        ("receiver", None, row.by),
    }
    assert {one.photo for one in made.paper.photos.all()} == {front, close_up}
    assert sha256(made.paper.text.encode()) == made.paper.text_sha256
    entry = Entry.objects.get(action="note.sealed")
    assert (entry.visit, entry.job, entry.data["jobs"]) == (made.visit, None, [first.pk, second.pk])
    row.refresh_from_db()
    assert row.visit == made.visit


def test_sealing_twice_makes_one_note_whatever_the_key() -> None:
    row = sittings.begun(sittings.draft(factory.party()))
    seen = sittings.seen_hash(row)
    made = sealing(row)
    for key in ("press-seal-1", "press-seal-2"):
        with pytest.raises(Again):
            sealing(row, key=key, seen_sha256=seen)
    assert list(Paper.objects.all()) == [made.paper]
    assert Visit.objects.count() == Job.objects.count() == 1


def test_a_text_that_changed_after_it_was_read_is_not_sealed() -> None:
    owner = factory.party()
    row = sittings.begun(sittings.draft(owner))
    seen = sittings.seen_hash(row)
    sittings.photo(row, drafts.from_json(row.data).pieces[0].key, "front-full")
    with pytest.raises(Stale, match="changed after it was read"):
        sealing(row, seen_sha256=seen)
    with pytest.raises(Stale, match="changed after it was read"):
        sealing(row, seen=row.version + 1)
    owner.name = "Imelda Otherwise"
    seen = sittings.seen_hash(row)
    owner.save(update_fields=["name"])
    with pytest.raises(Stale):
        sealing(row, seen_sha256=seen)
    assert nothing_was_made()


def test_a_draft_that_lacks_something_is_not_sealed() -> None:
    row = sittings.begun(sittings.draft(factory.party()))
    seen = sittings.seen_hash(row)
    row.data["pieces"][0]["said"] = ""
    row.save(update_fields=["data"])
    with pytest.raises(Refused, match="what the owner says"):
        sealing(row, seen_sha256=seen)
    assert nothing_was_made()


def test_a_note_without_a_signature_needs_a_reason() -> None:
    row = sittings.begun(sittings.draft(factory.party()))
    with pytest.raises(Refused, match="has not signed"):
        sealing(row, signs=sittings.signs(depositor=None))
    assert nothing_was_made()
    made = sealing(row, signs=sittings.signs(depositor=None, unsigned="Left at the door"))
    assert made.visit.unsigned_reason == "Left at the door"
    assert json.loads(made.paper.text)["words"]["unsigned"] == "Left at the door"


def test_a_refusal_to_sign_is_kept_with_its_reason() -> None:
    row = sittings.begun(sittings.draft(factory.party()))
    refusal = Signed(
        role="depositor", name="Imelda Rookstone", at="2026-11-25T10:12:00+00:00", how="refused", reason="hurry"
    )
    with pytest.raises(Refused, match="Write down why"):
        sealing(row, signs=sittings.signs(depositor=refusal))
    made = sealing(row, signs=sittings.signs(depositor=refusal, unsigned="Refused to sign: hurry"))
    assert made.paper.signatures.get(role="depositor").reason == "hurry"


def test_an_expected_job_is_taken_up_under_its_number_and_the_item_keeps_its_tag() -> None:
    owner = factory.party()
    expected = factory.job(Stage.EXP, owner=owner, ready=False, number="26-0300")
    tag = Tag.objects.create(item=expected.item, code="7K2M9QWD", at=NOW)
    piece = sittings.piece("26-0300", item=expected.item_id, job=expected.pk)
    made = sealing(sittings.begun(sittings.draft(owner, piece)))
    expected.refresh_from_db()
    assert (made.jobs, expected.visit, expected.said) == ((expected,), made.visit, piece.said)
    assert list(Tag.objects.filter(item=expected.item)) == [tag]
    assert Item.objects.count() == 1


def test_whoever_accepted_a_value_above_the_cover_stands_in_the_jobs_own_history() -> None:
    head = factory.person(Role.HEAD)
    yes = Accepted(person=head.pk, name=head.name, words="strong-room", value="61,000", at="")
    dear = sittings.piece(value_answer="stated", value="61,000", basis="appraisal", accepted=yes)
    job = sealing(sittings.begun(sittings.draft(factory.party(), dear))).jobs[0]
    entry = Entry.objects.get(action="value.accepted")
    assert (entry.by, entry.job, entry.data) == (head, job, {"value": "61000.00", "words": "strong-room"})


def test_what_smells_of_mould_goes_to_quarantine() -> None:
    line = Found(key="bbbbbbbbbbbb", term="mould", severity="moderate", no_photo="only smelled")
    made = sealing(sittings.begun(sittings.draft(factory.party(), sittings.piece(found=(line,)))))
    assert Hold.objects.get(job=made.jobs[0]).kind == "quarantine"


def test_a_place_for_each_piece_hangs_the_job_on_taken_in_and_wipes_the_draft(
    django_capture_on_commit_callbacks: Any,
) -> None:
    row = sittings.begun(sittings.draft(factory.party()))
    job, key = sealing(row).jobs[0], drafts.from_json(row.data).pieces[0].key
    where = partial(place, row, by=row.by, at=NOW)
    with pytest.raises(Refused, match="Choose where 26-0401, violin 4/4, hangs"):
        where({key: None}, key="press-place-1")
    with django_capture_on_commit_callbacks(execute=True):
        where({key: factory.location("R2-6").pk}, key="press-place-2")
    job.refresh_from_db()
    row.refresh_from_db()
    assert job.stage == Stage.IN
    assert Sighting.objects.get(item=job.item).location == factory.location("R2-6")
    assert (row.data, row.placed_at) == ({}, NOW)
    with pytest.raises(Again):
        where({key: factory.location("R2-7").pk}, key="press-place-3")
    assert Sighting.objects.count() == 1


def test_a_place_before_the_seal_is_refused() -> None:
    row = sittings.begun(sittings.draft(factory.party()))
    with pytest.raises(Refused, match="not sealed yet"):
        place(row, {}, by=row.by, at=NOW, key="press-place-1")


def test_a_whole_intake_can_be_made_at_one_moment_of_the_past(django_capture_on_commit_callbacks: Any) -> None:
    past = NOW.replace(year=2025)
    piece = sittings.piece("25-0007", marks="Old Marigold")
    row = sittings.begun()
    sittings.photo(row, piece.key, "front-full")
    with django_capture_on_commit_callbacks(execute=True):
        made = take_in(
            sittings.draft(factory.party(), piece),
            signs=sittings.signs(),
            places={piece.key: factory.location().pk},
            by=row.by,
            at=past,
            key="demo-visit-1",
            row=row,
        )
    job = Job.objects.get()
    assert (job.number, job.stage, job.opened_at, job.stage_since) == ("25-0007", Stage.IN, past, past)
    assert made.paper.at == past
    assert Photo.objects.get().job == job
    with pytest.raises(Refused, match="Say who brings it in"):
        take_in(
            drafts.Draft(pieces=(replace(piece, number="25-0008"),)),
            signs=sittings.signs(),
            places={},
            by=row.by,
            at=past,
            key="demo-visit-2",
        )


@pytest.mark.parametrize("name", ["נועה בן־דוד", "李小龍", "Ottó 🎻 Žižkovský"])
def test_a_name_of_any_script_comes_through_to_the_sealed_paper(name: str) -> None:
    owner = factory.party(name)
    row = sittings.begun(sittings.draft(owner, sittings.piece(marks=name, said=name)))
    made = sealing(row)
    said = json.loads(made.paper.text)["words"]
    assert said["parties"][0]["name"] == said["jobs"][0]["said"] == name
    pdf = print_paper(made.paper.pk, at=NOW)
    assert pdf is not None
    assert pdf.startswith(b"%PDF")


@pytest.mark.needs_poppler
def test_poppler_reads_names_of_any_script_in_the_sealed_paper(tmp_path: Path) -> None:
    names = ("נועה בן־דוד", "李小龍", "Žižkovský")
    row = sittings.begun(sittings.draft(factory.party(names[0]), sittings.piece(marks=names[1], said=names[2])))
    pdf = print_paper(sealing(row).paper.pk, at=NOW)
    file = tmp_path / "note.pdf"
    file.write_bytes(pdf or b"")
    text = subprocess.run(["pdftotext", str(file), "-"], check=True, capture_output=True).stdout.decode()
    for name in names:
        assert set(name) - {" "} <= set(text), name
