"""Wrong things put right, in a real Chromium on phone and tablet: an e-mail, a job, a photo, a tag; two jobs on one."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, ViewportSize, expect

from jobs.bench.steps import add_note
from jobs.book.models import Entry
from jobs.book.stages import Stage
from jobs.links.reads import token
from jobs.links.steps import link_for
from jobs.photos.steps import make, receive
from jobs.tags.models import Tag
from jobs.updates.models import Message
from jobs.updates.steps import new_message_id
from shop.people.roles import Role
from tests import factory
from tests.browser.pages import PHONE, TABLET, no_sideways_scroll
from tests.browser.walking import look_at
from tests.factory import NOW
from tests.photos.pictures import coded, sent

pytestmark = [pytest.mark.needs_chromium, pytest.mark.django_db(transaction=True)]
Opens = Callable[..., Page]
SIZES = pytest.mark.parametrize("size", [PHONE, TABLET], ids=["phone", "tablet"])


@pytest.fixture
def opens(device: Opens) -> Opens:
    """Opens a page for someone signed in, or for a stranger."""
    return device


def seen(page: Page, name: str, size: ViewportSize) -> None:
    look_at(page, f"right-{name}-{size['width']}")
    assert no_sideways_scroll(page), page.url


@SIZES
def test_a_misspelt_email_is_put_right_and_sent_again(opens: Opens, size: ViewportSize) -> None:
    owner = factory.party("Imelda Rookstone", email="imelda@exmaple.org", phone="+442079460155", address="9 Weir Lane")
    job = factory.job(Stage.BEN, owner=owner, work="new bridge")
    link = link_for("owner", job_id=job.pk, party_id=owner.pk, at=NOW)
    old = token(link)
    for kind, subject in (("stage-BEN", "Work on your violin has begun"), ("note", "Your condition note")):
        Message.objects.create(
            job=job, party=owner, kind=kind, channel="email", address=owner.email, subject=subject, body="b",
            link=link, message_id=new_message_id(), state="sent", made_at=NOW, due_at=NOW, sent_at=NOW,
        )  # fmt: skip
    page = opens(f"/job/{job.number}/", size)
    page.locator("#parties").get_by_role("link", name="Imelda Rookstone").click()
    page.locator("#facts summary").click()
    page.get_by_label("E-mail").fill("imelda@example.org")
    seen(page, "owner-form", size)
    page.get_by_role("button", name="Put it right").click()
    expect(page.get_by_text("Both values are kept", exact=False).first).to_be_visible()
    expect(page.locator("#facts")).to_contain_text("imelda@exmaple.org")
    seen(page, "owner", size)
    stranger = opens(f"/o/{old}/", size, None)
    expect(stranger.get_by_role("heading").first).to_be_visible()
    assert "new bridge" not in stranger.content()
    page.get_by_role("button", name="Send all 2 again").click()
    expect(page.get_by_text("2 letters go to imelda@example.org")).to_be_visible()
    again = Message.objects.filter(again_of__isnull=False)
    assert {one.address for one in again} == {"imelda@example.org"}
    fresh = again[0].link
    assert fresh is not None
    right = opens(f"/o/{token(fresh)}/", size, None)
    expect(right.get_by_role("heading", name="It is being worked on")).to_be_visible()


@SIZES
def test_somebody_elses_email_leads_to_them(opens: Opens, size: ViewportSize) -> None:
    owner = factory.party("John Smith", email="john@exmaple.org")
    other = factory.party("John Smith", email="john@example.org", address="2 Mill Row")
    page = opens(f"/owner/{owner.pk}/", size)
    expect(page.get_by_text("Someone else is called John Smith too")).to_be_visible()
    page.locator("#facts summary").click()
    page.get_by_label("E-mail").fill("john@example.org")
    page.get_by_role("button", name="Put it right").click()
    expect(page.get_by_role("alert")).to_contain_text("written down for John Smith already")
    seen(page, "held-by", size)
    page.get_by_role("link", name="Open John Smith").click()
    expect(page.locator("#facts")).to_contain_text("2 Mill Row")
    assert page.url.endswith(f"/owner/{other.pk}/")


@SIZES
def test_a_job_goes_to_the_right_instrument(opens: Opens, size: ViewportSize) -> None:
    owner = factory.party("Imelda Rookstone")
    job = factory.job(Stage.BEN, owner=owner, work="new bridge")
    factory.item(owner, title="Violin 3/4", size="3/4", marks="red case")
    page = opens(f"/job/{job.number}/", size)
    page.get_by_role("link", name="Another instrument? Put it right").click()
    page.get_by_role("radio", name="Violin 3/4, red case").check()
    page.get_by_label("How it came to the wrong one").fill("two cases, one label")
    seen(page, "put-right", size)
    page.get_by_role("button", name="Put the job on it").click()
    expect(page.get_by_role("heading", name="Violin 3/4")).to_be_visible()
    expect(page.get_by_role("status")).to_contain_text("It has no tag yet")
    expect(page.locator("#history")).to_contain_text("put it on the right item, Violin 3/4 (red case)")
    seen(page, "job-right", size)
    page.get_by_role("heading", name="Violin 3/4").get_by_role("link").click()
    expect(page.get_by_role("heading", name="Open now")).to_be_visible()
    seen(page, "item", size)


@SIZES
def test_a_photo_is_moved_and_the_move_taken_back(opens: Opens, size: ViewportSize) -> None:
    owner = factory.party("Imelda Rookstone")
    job, other = factory.job(Stage.BEN, owner=owner), factory.job(Stage.QUE, owner=owner, work="rehair")
    maris = factory.person(Role.DESK)
    photo = receive(sent(coded("JPEG")), purpose="bench", by=maris, at=NOW, send_key="a-photo-key", job=job)
    make(photo.pk, at=NOW)
    add_note(job, "the frog is loose", by=maris, at=NOW, photo=photo)
    page = opens(f"/job/{job.number}/", size)
    page.locator("#photos").get_by_role("link", name="Where it belongs").click()
    page.get_by_role("radio", name=other.short).check()
    seen(page, "picture", size)
    page.get_by_role("button", name="Move it there").click()
    expect(page.get_by_role("status")).to_contain_text(f"Moved to {other.number}")
    assert other.notes.count() == 1
    page.get_by_role("button", name=f"Take the move back, to {job.number}").click()
    expect(page.get_by_role("status")).to_contain_text(f"it is on {job.number} again")
    page.get_by_role("link", name=job.number).first.click()
    expect(page.locator("#history")).to_contain_text(f"moved a photo back here from {other.number}")
    assert Entry.objects.filter(action="photo.moved").count() == 2


@SIZES
def test_a_lost_tag_is_dead_and_leads_to_the_living_one(opens: Opens, size: ViewportSize) -> None:
    job = factory.job(Stage.BEN)
    dead = Tag.objects.get(item=job.item)
    page = opens(f"/thing/{job.item_id}/", size, Role.TECHNICIAN)
    expect(page.get_by_role("button", name="Print again: old code stays good")).to_be_visible()
    page.get_by_text("New tag: old code dead").click()
    page.get_by_label("What happened to the old one").fill("torn off in the yard")
    page.get_by_role("button", name="Make a new tag").click()
    expect(page.get_by_role("status")).to_contain_text("The old code is dead")
    seen(page, "tag", size)
    live = Tag.objects.get(item=job.item, dead_at=None)
    page.goto(f"/t/{dead.code}")
    expect(page.get_by_role("heading", name="This tag is dead")).to_be_visible()
    page.get_by_role("link", name=f"Open {job.item.title}").click()
    assert live.code in page.url


@SIZES
def test_two_jobs_on_one_instrument_are_seen_everywhere(opens: Opens, size: ViewportSize) -> None:
    first = factory.job(Stage.RDY, work="new bridge", agreed_words="new bridge", kind="warranty")
    second = factory.job(Stage.BEN, item=first.item, owner=first.item.owner, work="open seam")
    said = f"{second.short} is still open on this violin: open seam, On the bench."
    rails = opens("/?at=RDY", size)
    expect(rails.locator(f"#t{first.number}")).to_contain_text(f"also {second.short}")
    seen(rails, "rails", size)
    page = opens(f"/rails/{first.number}/", size)
    expect(page.get_by_role("link", name=said)).to_be_visible()
    for path in (f"/job/{first.number}/", f"/bench/{first.number}/", f"/job/{first.number}/hand-over/"):
        page.goto(path)
        expect(page.get_by_role("link", name=said)).to_be_visible()
        seen(page, f"beside{path.replace('/', '-').replace(first.number, '')}", size)
    page.goto(f"/t/{Tag.objects.get(item=first.item).code}")
    expect(page.get_by_role("heading", name=first.item.title)).to_be_visible()
    expect(page.get_by_role("link", name=second.short)).to_be_visible()
    page.goto(f"/thing/{first.item_id}/")
    expect(page.get_by_text("2 jobs are open on this violin")).to_be_visible()
    seen(page, "item-two", size)
