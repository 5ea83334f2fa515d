"""Papers are frozen in one unforked chain and printed once, whatever dies in between."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from typing import Any
from unittest import mock

import pytest
from django.core.files.base import ContentFile
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.book.models import Entry
from jobs.book.refusals import Refused
from jobs.papers import reads, steps
from jobs.papers.canonical import read, sha256, short
from jobs.papers.checking import check
from jobs.papers.frozen import FIRST, words_sha256
from jobs.papers.heads import shop_head
from jobs.papers.models import ChainHead, Paper, Signature, paper_store
from jobs.papers.regions import carried_text
from jobs.papers.steps import LOST_AFTER, PAUSE, TRIES, Signing, freeze, print_paper, sweep, try_again
from jobs.papers.typeset import typeset
from tests import factory
from tests.factory import NOW
from tests.papers import samples

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(tmp_path_factory: pytest.TempPathFactory, settings: Any) -> None:
    """The demo shop's profile, and one key for all these tests."""
    settings.SHOP_HOME = tmp_path_factory.getbasetemp()
    factory.shop()


def frozen_receipt(**more: Any) -> Paper:
    with transaction.atomic():
        return freeze(samples.receipt(), by=None, at=NOW, **more)


def test_a_paper_is_frozen_with_its_hash_its_number_and_its_place() -> None:
    job = factory.job()
    party, maris = factory.party(), factory.person()
    words = samples.note()
    signed = samples.signed()
    with transaction.atomic():
        paper = freeze(
            words,
            by=maris,
            at=NOW,
            visit=job.visit,
            signatures=[Signing(signed[0], party=party), signed[1]],
            seen_sha256=words_sha256(words),
        )
    assert paper.number == "N26-0001"
    assert (paper.position, paper.previous_sha256, paper.state) == (1, FIRST, "due")
    assert paper.text_sha256 == sha256(paper.text.encode())
    text = read(paper.text.encode())
    assert text["words"] == words.to_text()
    assert text["number"] == paper.number
    kept = list(Signature.objects.order_by("id"))
    assert [(one.role, one.how, one.party, one.witness) for one in kept] == [
        ("depositor", "drawn", party, ""),
        ("receiver", "typed", None, "Jorin Pellwick"),
    ]
    assert kept[0].strokes == [[list(point) for point in stroke] for stroke in samples.STROKES]
    entry = Entry.objects.get(action="paper.frozen")
    assert entry.data == {"paper": paper.pk, "kind": "note", "number": paper.number}
    assert entry.visit == job.visit
    assert reads.short_hash(paper) == short(paper.text_sha256)


def test_each_paper_carries_the_hash_of_the_one_before_it() -> None:
    papers = [frozen_receipt() for _ in range(3)]
    assert [paper.position for paper in papers] == [1, 2, 3]
    assert [paper.number for paper in papers] == ["R26-0001", "R26-0002", "R26-0003"]
    for before, after in pairwise(papers):
        assert after.previous_sha256 == before.text_sha256
        assert read(after.text.encode())["previous"] == before.text_sha256
    assert ChainHead.objects.get().sha256 == papers[-1].text_sha256
    assert reads.chain_faults() == []


def test_a_paper_changed_or_taken_out_of_the_book_is_found_in_the_chain() -> None:
    papers = [frozen_receipt() for _ in range(4)]
    Paper.objects.filter(pk=papers[1].pk).update(text=papers[1].text.replace("100.00", "900.00"))
    Paper.objects.filter(pk=papers[2].pk).delete()
    assert reads.chain_faults() == [
        "The text of receipt R26-0002 was changed in the book.",
        "Paper 3 is missing from the book.",
    ]


def test_a_step_that_fails_leaves_no_gap_in_the_chain() -> None:
    first = frozen_receipt()
    with pytest.raises(RuntimeError, match="later"), transaction.atomic():
        freeze(samples.receipt(), by=None, at=NOW)
        raise RuntimeError("later")
    second = frozen_receipt()
    assert (second.position, second.previous_sha256) == (2, first.text_sha256)


@pytest.mark.django_db(transaction=True)
def test_nothing_is_frozen_outside_a_transaction() -> None:
    with pytest.raises(RuntimeError, match="transaction"):
        freeze(samples.receipt(), by=None, at=NOW)


def test_words_changed_after_they_were_read_are_refused() -> None:
    with pytest.raises(Refused, match="changed after it was read"), transaction.atomic():
        freeze(samples.note(), by=None, at=NOW, seen_sha256=words_sha256(samples.note(name="Someone")))


def test_a_note_must_be_given_the_photos_it_names() -> None:
    words = samples.note(images=samples.pictures(1))
    with pytest.raises(ValueError, match="exactly the photos"), transaction.atomic():
        freeze(words, by=None, at=NOW)


def test_freezing_costs_few_statements_and_makes_no_pdf() -> None:
    frozen_receipt()
    with (
        CaptureQueriesContext(
            connection,
        ) as spent,
        mock.patch.object(steps, "typeset") as typeset_now,
    ):
        frozen_receipt()
    assert len(spent) <= 22, [one["sql"] for one in spent]
    typeset_now.assert_not_called()


def test_a_printed_paper_is_sealed_kept_and_found_untouched() -> None:
    paper = frozen_receipt()
    pdf = print_paper(paper.pk, at=NOW)
    paper.refresh_from_db()
    assert pdf is not None
    assert (paper.state, paper.pdf_sha256, paper.made_at) == ("made", sha256(pdf), NOW)
    assert reads.read_pdf(paper) == pdf
    assert check(pdf, book_sha256=paper.pdf_sha256).untouched
    assert check(pdf).text_sha256 == paper.text_sha256
    assert reads.file_name(paper) == "receipt-R26-0001.pdf"
    assert Entry.objects.get(action="paper.made").data["paper"] == paper.pk
    assert print_paper(paper.pk, at=NOW + timedelta(hours=1)) == pdf
    assert Entry.objects.filter(action="paper.made").count() == 1


def test_a_paper_that_another_is_making_is_left_to_it_until_it_is_lost() -> None:
    paper = frozen_receipt()
    Paper.objects.filter(pk=paper.pk).update(state="making", claimed_at=NOW)
    assert print_paper(paper.pk, at=NOW + timedelta(seconds=20)) is None
    assert sweep(at=NOW + timedelta(seconds=20)) == 0
    assert sweep(at=NOW + LOST_AFTER + timedelta(seconds=1)) == 1
    paper.refresh_from_db()
    assert paper.state == "made"


def test_a_store_without_room_counts_no_try_keeps_no_part_and_the_paper_is_printed_once_there_is_room() -> None:
    paper, store = frozen_receipt(), paper_store()
    save, begun = store.save, []

    def fills_up(name: str, content: Any) -> str:
        begun.append(save(name, ContentFile(content.read(100))))
        raise OSError(28, "No space left on device")

    for turn in range(TRIES + 1):
        with mock.patch.object(store, "save", fills_up):
            assert print_paper(paper.pk, at=NOW + turn * PAUSE) is None
    paper.refresh_from_db()
    assert (paper.state, paper.tries) == ("due", 0)
    assert "No space left" in paper.failure
    assert not [name for name in begun if store.exists(name)]
    assert sweep(at=NOW + 10 * PAUSE) == 1
    paper.refresh_from_db()
    assert (paper.state, paper.failure) == ("made", "")


def test_two_that_make_one_paper_keep_one_file() -> None:
    with transaction.atomic():
        paper = freeze(replace(samples.receipt(), towards="two at once"), by=None, at=NOW)
    late = NOW + LOST_AFTER + timedelta(minutes=1)
    winners: list[bytes] = []

    def slow(*args: Any) -> bytes:
        # while the first is still setting the type, it is given up for lost and another makes the paper
        if not winners:
            winners.append(b"")
            winners[0] = print_paper(paper.pk, at=late) or b""
        return typeset(*args)

    with mock.patch.object(steps, "typeset", slow):
        mine = print_paper(paper.pk, at=NOW)
    paper.refresh_from_db()
    assert mine == winners[0] == reads.read_pdf(paper)
    store, folder = paper_store(), f"{NOW:%Y}"
    mine_alone = []
    for name in store.listdir(folder)[1]:
        with store.open(f"{folder}/{name}") as kept:
            carried = carried_text(kept.read())
        if carried == paper.text.encode():
            mine_alone.append(f"{folder}/{name}")
    assert mine_alone == [paper.pdf.name]
    assert Entry.objects.filter(action="paper.made").count() == 1


def test_a_paper_that_cannot_be_made_is_tried_again_with_rests_and_then_shown_to_the_desk(caplog: Any) -> None:
    paper = frozen_receipt()
    at = NOW
    with mock.patch.object(steps, "typeset", side_effect=OSError("no space left")):
        for tried in range(1, TRIES + 1):
            assert sweep(at=at) == 1
            paper.refresh_from_db()
            assert paper.tries == tried
            if tried < TRIES:
                assert paper.state == "due"
                assert sweep(at=at + timedelta(seconds=1)) == 0
            at += tried * PAUSE + timedelta(seconds=1)
    assert paper.state == "failed"
    assert "no space left" in paper.failure
    assert list(reads.failed()) == [paper]
    assert sweep(at=at + timedelta(days=1)) == 0
    try_again(paper, by=None, at=at)
    assert print_paper(paper.pk, at=at) is not None
    with pytest.raises(Refused, match="did not fail"):
        try_again(paper, by=None, at=at)


def test_a_file_changed_or_lost_in_the_store_is_not_handed_out() -> None:
    paper = frozen_receipt()
    print_paper(paper.pk, at=NOW)
    paper.refresh_from_db()
    assert paper.pdf.name
    with paper_store().open(paper.pdf.name, "rb+") as kept:
        kept.seek(1000)
        kept.write(b"!!")
    with pytest.raises(reads.DamagedFileError, match="no longer the one"):
        reads.read_pdf(paper)
    paper_store().delete(paper.pdf.name)
    with pytest.raises(reads.DamagedFileError, match="missing"):
        reads.read_pdf(paper)
    with pytest.raises(reads.DamagedFileError, match="no file yet"):
        reads.read_pdf(frozen_receipt())


def test_papers_of_a_job_are_its_own_and_its_visits() -> None:
    job, other = factory.job(), factory.job()
    with transaction.atomic():
        note = freeze(samples.note(), by=None, at=NOW, visit=job.visit)
        invoice = freeze(samples.invoice(), by=None, at=NOW, job=job, number="26-0031")
        freeze(samples.receipt(), by=None, at=NOW, job=other)
    assert list(reads.papers_of(job)) == [note, invoice]
    assert invoice.number == "26-0031"
    assert reads.named(text_sha256=note.text_sha256) == note
    assert reads.named() is None
    assert reads.numbered(kind="invoice", number="26-0031") == invoice


def test_the_head_of_a_paper_comes_from_the_shops_profile() -> None:
    head = shop_head(factory.shop(address=" 3 Tannery Yard \n\nOstlemere", currency="XXX", page="us-letter"))
    assert head.address == ("3 Tannery Yard", "Ostlemere")
    assert (head.currency, head.page) == ("", "us-letter")
    assert replace(samples.SHOP, currency="EUR").currency == shop_head(factory.shop(currency="EUR")).currency
