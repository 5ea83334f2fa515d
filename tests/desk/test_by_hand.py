"""Owners without e-mail: what is told by hand, on paper and by telephone."""

import subprocess
from pathlib import Path

import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from jobs.book.models import Entry, Job, Party
from jobs.book.refusals import Refused
from jobs.book.stages import Stage
from jobs.links.reads import address_of
from jobs.updates.by_hand import nobody_answered, posted
from jobs.updates.letters import About, Sender, note, stage
from jobs.updates.models import Message
from jobs.updates.on_paper import letters_pdf, to_say
from shop.people.roles import Role
from tests import factory
from tests.updates.test_sending import letter

pytestmark = pytest.mark.django_db
SENDER = Sender("Marrowfen Strings", ("3 Tannery Yard",), "+44 20 7946 0123", "Mon to Fri 9 to 17")
ABOUT = About("Wendeline Ashgrove", "Vn", "4/4", "26-0410")


@pytest.fixture
def job() -> Job:
    factory.shop(page="us-letter")
    owner = factory.party("Wendeline Ashgrove", email="", phone="+442079460111", address="9 Lock Lane\nOstlemere")
    return factory.job(Stage.BEN, owner=owner)


@pytest.fixture
def maris(job: Job) -> Client:
    client = Client()
    client.force_login(factory.person(Role.DESK), backend="django.contrib.auth.backends.ModelBackend")
    return client


def waiting(job: Job, **more: object) -> Message:
    party = Party.objects.get(name="Wendeline Ashgrove")
    words = stage(Stage.EXA, ABOUT, SENDER)
    fields = {"state": "byhand", "channel": "hand", "party": party, "subject": words.subject, "body": words.body}
    return letter(job, **{**fields, **more})


def text_of(pdf: bytes, folder: Path) -> str:
    """What poppler reads, page by page."""
    file = folder / "letter.pdf"
    file.write_bytes(pdf)
    return subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True).stdout


def test_what_is_said_on_the_telephone_leaves_greeting_link_and_foot_away() -> None:
    said = to_say(stage(Stage.EXA, ABOUT, SENDER, days="Fri 27 November").body)
    assert said == (
        "News of your violin. We are looking at it. Next you get an estimate from us.",
        "It should be ready Fri 27 November. If this changes, we tell you first.",
    )
    unlinked = to_say(note(ABOUT, SENDER, things=["your violin (26-0410)"], linked=False).body)
    assert len(unlinked) == 2
    assert "Tannery" not in " ".join(unlinked)


@pytest.mark.needs_poppler
def test_each_letter_is_a_sheet_of_the_shops_paper_with_address_and_page(job: Job, tmp_path: Path) -> None:
    first, second = waiting(job), waiting(job, subject="The second")
    pdf = letters_pdf([first, second], shop=factory.shop(page="us-letter"), at=timezone.now())
    pages = text_of(pdf, tmp_path).split("\f")[:-1]
    assert len(pages) == 2
    assert "Wendeline Ashgrove" in pages[0]
    assert "9 Lock Lane" in pages[0]
    assert first.link is not None
    assert address_of(first.link).split("/o/")[0] in pages[0]
    assert "⟦" not in pages[0]
    size = subprocess.run(["pdfinfo", tmp_path / "letter.pdf"], capture_output=True, text=True, check=True).stdout
    assert "612 x 792" in size, "Letter"


@pytest.mark.needs_poppler
def test_the_square_on_a_letter_opens_the_owners_page(job: Job, tmp_path: Path) -> None:
    found = waiting(job)
    (tmp_path / "one.pdf").write_bytes(letters_pdf([found], shop=factory.shop(), at=timezone.now()))
    subprocess.run(["pdftoppm", "-r", "200", "-png", tmp_path / "one.pdf", tmp_path / "one"], check=True)
    (picture,) = tmp_path.glob("one*.png")
    assert found.link is not None
    assert [code.text for code in zxingcpp.read_barcodes(Image.open(picture))] == [address_of(found.link)]


def test_all_that_was_printed_is_ticked_as_posted_at_once(job: Job, maris: Client) -> None:
    first, second = waiting(job), waiting(job, subject="The second")
    page = maris.get(reverse("desk:letters")).content.decode()
    assert "All 2 are posted" in page
    maris.post(reverse("desk:letters-posted"), {"letter": [first.pk, second.pk, "x", "9" * 30]})
    assert set(Message.objects.values_list("state", "told_how")) == {("told", "post")}
    assert posted([first.pk], by=factory.person(Role.DESK), at=timezone.now()) == 0, "told once"


def test_nobody_answered_keeps_it_on_the_list_and_says_when(job: Job, maris: Client) -> None:
    found = waiting(job)
    maris.post(reverse("desk:letter-tried", args=[found.pk]))
    maris.post(reverse("desk:letter-tried", args=[found.pk]))
    page = maris.get(reverse("desk:letters")).content.decode()
    assert "tried 2 times" in page
    assert Entry.objects.filter(action="letter.tried", job=job).count() == 2
    maris.post(reverse("desk:letter-told", args=[found.pk]), {"how": "telephone"})
    with pytest.raises(Refused, match="told meanwhile"):
        nobody_answered(found, by=factory.person(Role.DESK), at=timezone.now())


def test_who_has_neither_telephone_nor_address_is_named(job: Job, maris: Client) -> None:
    nobody = factory.party("Perpetua Longacre", email="", phone="", address="")
    waiting(job, party=nobody)
    page = maris.get(reverse("desk:letters")).content.decode()
    assert "Neither a telephone number nor an address" in page
    assert f"/owner/{nobody.pk}/" in page


def test_a_letter_by_mail_is_not_printed_with_its_link(job: Job, maris: Client) -> None:
    sent = waiting(job, state="sent", sent_at=timezone.now())
    assert maris.get(reverse("desk:letter-pdf", args=[sent.pk])).status_code == 404


@pytest.mark.needs_poppler
def test_the_list_of_calls_has_number_words_and_tries(job: Job, maris: Client, tmp_path: Path) -> None:
    found = waiting(job)
    nobody_answered(found, by=factory.person(Role.DESK), at=timezone.now())
    text = text_of(maris.get(reverse("desk:calls")).content, tmp_path)
    for words in ("Calls to make", "+44 20 7946 0111", "News of your violin.", "tried once", "nobody answered"):
        assert words in text
