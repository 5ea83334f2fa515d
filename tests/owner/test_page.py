"""The owner's page: its own job only, in words for owners, and nothing that stays inside."""

import re
from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.bench.models import BenchNote
from jobs.billing.models import Invoice
from jobs.book.models import Hold, Job, JobParty
from jobs.book.stages import Stage
from jobs.estimates.models import Question
from jobs.links.models import Link
from jobs.links.steps import close, renew
from jobs.papers.canonical import sha256
from jobs.papers.models import Paper
from jobs.photos.models import Photo
from jobs.updates.models import Message
from shop.people.roles import Role
from tests import factory
from tests.owner.conftest import Owner, owner_of

pytestmark = pytest.mark.django_db


def _photo(job: Job, *, shown: bool = True, **fields: object) -> Photo:
    given = {
        "job": job,
        "purpose": "bench",
        "words": "Elowen dropped it",
        "sha256": "0" * 64,
        "size": 4,
        "format": "JPEG",
    }
    photo = Photo(
        **given, width=4, height=3, at=timezone.now(), state="made", owner_may_see=shown,
        send_key=f"photo-{Photo.objects.count():04}", **fields,
    )  # fmt: skip
    for size in ("original", "small", "large"):
        getattr(photo, size).save(f"{size}.jpg", ContentFile(size.encode()), save=False)
    photo.save()
    return photo


def _paper(kind: str, number: str, position: int, **fields: object) -> Paper:
    paper = Paper(
        kind=kind, number=number, position=position, text="{}", text_sha256="0" * 64, at=timezone.now(), state="made",
        pdf_sha256=sha256(number.encode()), **fields,
    )  # fmt: skip
    paper.pdf.save(f"{number}.pdf", ContentFile(number.encode()), save=False)
    paper.save()
    return paper


def test_the_page_says_how_it_stands_without_an_account(owner: Owner) -> None:
    answer = owner.get("page")
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "It is being worked on." in text
    assert "<title>Your violin – Marrowfen Strings Workshop</title>" in text
    assert 'aria-label="Step 3 of 6, mended"' in text
    assert 'href="tel:02079460123"' in text
    assert not answer.cookies


def test_nothing_of_it_is_indexed_kept_or_passed_on(owner: Owner) -> None:
    for name in ("page", "ask", "estimate", "fresh"):
        answer = owner.get(name)
        assert answer["Referrer-Policy"] == "no-referrer"
        assert "noindex" in answer["X-Robots-Tag"]
        assert "no-store" in answer["Cache-Control"]


def test_what_stays_inside_is_not_on_the_page(owner: Owner) -> None:
    job = owner.job
    child = factory.party("Tomi Sandhollow", minor=True)
    JobParty.objects.create(job=job, party=child, role="player")
    JobParty.objects.create(job=job, party=child, role="collector")
    BenchNote.objects.create(job=job, words="Old glue, badly done", at=owner.at, by=factory.person(Role.LUTHIER))
    Hold.objects.create(job=job, kind="dispute", words="says scratch is new", laid_by=None, laid_at=owner.at)
    Job.objects.filter(pk=job.pk).update(work="bbar sink, worm", said="It rattles", value_stated=9000)
    _photo(job)
    for stage in (Stage.BEN, Stage.RDY):
        Job.objects.filter(pk=job.pk).update(stage=stage)
        text = owner.get("page").content.decode()
        for inside in ("Tomi", "Sandhollow", "R2-6", "Old glue", "scratch", "worm", "sink", "9,000", "Elowen"):
            assert inside not in text, inside


def test_a_photo_is_shown_only_when_it_was_chosen(owner: Owner) -> None:
    shown, hidden = _photo(owner.job), _photo(owner.job, shown=False)
    text = owner.get("page").content.decode()
    assert owner.address("photo", shown.pk, "small") in text
    assert f"/photo/{hidden.pk}/" not in text
    assert b"".join(owner.get("photo", shown.pk, "large").streaming_content) == b"large"
    assert owner.get("photo", hidden.pk, "small").status_code == 404


def test_the_original_with_its_place_data_never_leaves(owner: Owner) -> None:
    photo = _photo(owner.job)
    assert owner.get("photo", photo.pk, "original").status_code == 404


def test_a_link_opens_no_photo_or_paper_of_another_job(owner: Owner) -> None:
    other = factory.job(Stage.BEN)
    photo = _photo(other)
    paper = _paper("invoice", "2026-0009", 9, job=other)
    assert owner.get("photo", photo.pk, "small").status_code == 404
    assert owner.get("paper", paper.pk).status_code == 404


def test_papers_of_the_job_can_be_had(owner: Owner) -> None:
    papers = [
        _paper("note", "N26-0001", 1, visit=owner.job.visit),
        _paper("estimate", "E26-0001", 2, job=owner.job),
        _paper("invoice", "2026-0001", 3, job=owner.job),
    ]
    release = _paper("release", "G26-0001", 4, job=owner.job)
    text = owner.get("page").content.decode()
    for paper in papers:
        answer = owner.get("paper", paper.pk)
        assert answer.content == paper.number.encode()
        assert answer["Content-Type"] == "application/pdf"
        assert paper.number in text
    assert owner.get("paper", release.pk).status_code == 404


def test_a_note_over_another_owners_job_too_is_for_its_depositor_only(owner: Owner) -> None:
    other = factory.job(Stage.IN)
    assert owner.job.visit is not None
    Job.objects.filter(pk=other.pk).update(visit=owner.job.visit)
    note = _paper("note", "N26-0001", 1, visit=owner.job.visit)
    assert owner.get("paper", note.pk).status_code == 200
    assert owner_of(other).get("paper", note.pk).status_code == 404


def test_a_collector_sees_no_money(owner: Owner) -> None:
    friend = factory.party("Pascoe Dunwinter")
    JobParty.objects.create(job=owner.job, party=friend, role="player")
    _paper("invoice", "2026-0001", 3, job=owner.job)
    factory.sent(owner.job, at=owner.at)
    page = owner_of(owner.job, "player")
    text = page.get("page").content.decode()
    assert "234.00" not in text
    assert "2026-0001" not in text
    assert "no estimate for you" in page.get("estimate").content.decode()


def test_a_paper_that_is_not_printed_yet_says_so(owner: Owner) -> None:
    paper = _paper("invoice", "2026-0001", 3, job=owner.job)
    Paper.objects.filter(pk=paper.pk).update(state="due")
    answer = owner.get("paper", paper.pk)
    assert answer.status_code == 404
    assert "being printed" in answer.content.decode()


def test_a_promised_range_of_days_is_shown(owner: Owner) -> None:
    Job.objects.filter(pk=owner.job.pk).update(promised=owner.at.date() + timedelta(days=5), sureness="likely")
    assert "When it should be ready" in owner.get("page").content.decode()
    Job.objects.filter(pk=owner.job.pk).update(promised=owner.at.date() - timedelta(days=5))
    assert "It takes longer than we said." in owner.get("page").content.decode()


def test_ready_says_what_to_pay_and_who_may_come(owner: Owner) -> None:
    Job.objects.filter(pk=owner.job.pk).update(stage=Stage.RDY)
    invoice = Invoice.objects.create(
        number="2026-0001", payer=owner.party, issued_at=owner.at, issued_by=factory.person(Role.DESK),
        net=284, tax=0, gross=284, balance=284,
    )  # fmt: skip
    invoice.jobs.add(owner.job)
    text = owner.get("page").content.decode()
    assert "284.00" in text
    assert "It may be collected by Imelda Rookstone." in text


def test_a_question_reaches_the_desk_once(owner: Owner) -> None:
    for _ in range(2):
        answer = owner.post("ask", words="Will it sound as before?", key="press-0001")
        assert answer.status_code == 302
    assert Question.objects.get().party == owner.party
    assert "Will it sound as before?" in owner.get("page").content.decode()


@pytest.mark.parametrize("key", ["", "short", "x" * 61])
def test_a_question_without_a_proper_key_is_an_old_page(owner: Owner, key: str) -> None:
    answer = owner.post("ask", words="Will it sound as before?", key=key)
    assert answer.status_code == 422
    assert "out of date" in answer.content.decode()
    assert not Question.objects.exists()


def test_an_empty_question_says_so_and_keeps_what_was_typed(owner: Owner) -> None:
    answer = owner.post("ask", words="   ", key="press-0001")
    assert answer.status_code == 422
    assert "Write your question first." in answer.content.decode()
    answer = owner.post("ask", words="a" * 2001, key="press-0002")
    assert "a" * 2001 in answer.content.decode()


def test_a_link_that_ran_out_says_what_happened_and_what_to_do(owner: Owner) -> None:
    Job.objects.filter(pk=owner.job.pk).update(
        stage=Stage.HOME, closed_at=owner.at - timedelta(days=31), closed_as="home"
    )
    for name in ("page", "estimate", "ask"):
        answer = owner.get(name)
        text = answer.content.decode()
        assert answer.status_code == 410
        assert "This link has run out" in text
        assert "020 7946 0123" in text
        assert "Send me a fresh link" in text


def test_a_renewed_a_shut_and_a_wrong_link_each_say_so(owner: Owner) -> None:
    old = owner.address("page")
    renew(owner.link, at=owner.at)
    answer = owner.client.get(old)
    assert (answer.status_code, "There is a newer link" in answer.content.decode()) == (410, True)
    close(Link.objects.get(pk=owner.link.pk), at=owner.at)
    assert "This link is closed" in owner.client.get(old).content.decode()
    wrong = owner.client.get(reverse("owner:page", args=["x" * 32]))
    assert (wrong.status_code, "This link does not open" in wrong.content.decode()) == (404, True)


@pytest.mark.django_db(transaction=True)
def test_asking_for_a_fresh_link_says_the_same_whatever_the_link_was(owner: Owner) -> None:
    Job.objects.filter(pk=owner.job.pk).update(
        stage=Stage.HOME, closed_at=owner.at - timedelta(days=31), closed_as="home"
    )
    answers = []
    for token in (owner.token, "x" * 32, owner.token[:-1] + ("A" if owner.token[-1] != "A" else "B")):
        address = reverse("owner:fresh", args=[token])
        made = owner.client.post(address, follow=True)
        answers.append((made.status_code, re.sub(re.escape(token), "", made.content.decode())))
    assert answers[0] == answers[1] == answers[2]
    assert [message.kind for message in Message.objects.all()] == ["fresh-link"]


def test_a_party_taken_off_the_job_sees_no_money_any_more(owner: Owner) -> None:
    factory.sent(owner.job, at=owner.at)
    owner.job.roles.filter(party=owner.party).delete()
    assert "234.00" not in owner.get("page").content.decode()


def test_staff_pages_do_not_show_on_the_owners_page(owner: Owner) -> None:
    staff = Client()
    staff.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    text = staff.get(owner.address("page")).content.decode()
    assert "Sign out" not in text
    assert "/letters/" not in text


def test_the_first_opening_is_remembered(owner: Owner) -> None:
    owner.get("page")
    owner.link.refresh_from_db()
    assert owner.link.opened_at is not None
