"""The day in a real Chromium: each role signs in to its own, a clamp's clock passes, the list is printed."""

import subprocess
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect
from pytest_django.live_server_helper import LiveServer

from jobs.bench.models import Wait
from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.moves.steps import move
from shop.people.roles import Role
from shop.profile.models import Walked
from tests import factory
from tests.browser.pages import DESK, PHONE, TABLET, no_sideways_scroll, sign_in, someone

pytestmark = [pytest.mark.needs_chromium, pytest.mark.django_db(transaction=True)]
NARROW = ViewportSize(width=320, height=640)
WEEK = {day: ["00:00", "23:59"] for day in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")}
Opens = Callable[..., Page]
Clock = Callable[[timedelta], None]


@pytest.fixture
def enter(chromium: Browser, live_server: LiveServer) -> Iterator[Opens]:
    """Signs somebody in by the form on a device of its own; a fault in our script fails the test."""
    factory.shop(hours=WEEK)
    Walked.objects.create(code="facts", at=timezone.now())  # the shop is set up
    opened: list[BrowserContext] = []
    faults: list[str] = []

    def sign(role: Role, size: ViewportSize = PHONE, **how: Any) -> Page:
        factory.person(role)
        context = someone(chromium, live_server.url, size, **how)
        opened.append(context)
        page = context.new_page()
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        sign_in(page, factory.CAST[role][0], factory.PASSWORD)
        return page

    yield sign
    for context in opened:
        context.close()
    assert not faults


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Moves the shop's own clock on."""
    real = timezone.now

    def move_on(by: timedelta) -> None:
        def now() -> datetime:
            return real() + by

        monkeypatch.setattr(timezone, "now", now)

    return move_on


def resting(hours: float = 3) -> Job:
    """A guitar of Jorin's in clamps."""
    at = timezone.now()
    job = factory.job(Stage.CUR, number="26-0408", assigned=factory.person(Role.TECHNICIAN), agreed_words="bridge")
    Wait.objects.create(job=job, what="glue", laid_at=at - timedelta(hours=20), until=at + timedelta(hours=hours))
    return job


@pytest.mark.parametrize("size", [PHONE, TABLET, DESK], ids=["phone", "tablet", "desk"])
def test_each_role_signs_in_to_its_own_day(enter: Opens, size: ViewportSize) -> None:
    today = timezone.localdate()
    factory.job(Stage.EXP, number="26-0434", promised=today, ready=False)
    factory.job(Stage.BEN, number="26-0413", assigned=factory.person(Role.TECHNICIAN), promised=today)
    factory.job(Stage.EXA, number="26-0405")
    own = {
        Role.DESK: ("Comes today", "0434"),
        Role.TECHNICIAN: ("Yours, soonest day first", "0413"),
        Role.HEAD: ("Estimates to write", "0405"),
    }
    for role in (Role.DESK, Role.TECHNICIAN, Role.HEAD, Role.BOOKS):
        page = enter(role, size)
        assert page.url.endswith("/today/")
        expect(page.get_by_role("heading", level=1)).to_contain_text("Today")
        if role in own:
            title, number = own[role]
            expect(page.get_by_role("region", name=title)).to_contain_text(number)
        else:
            expect(page.locator(".said")).to_contain_text("Nothing is owed")
        assert no_sideways_scroll(page)


def test_the_day_comes_first_in_the_bar_and_the_shops_name_leads_there(enter: Opens) -> None:
    page = enter(Role.DESK, DESK)
    page.get_by_role("link", name="Rails").click()
    first = page.get_by_role("navigation", name="Pages").get_by_role("link").first
    expect(first).to_have_text("Today")
    page.get_by_role("link", name="Marrowfen Strings Workshop").click()
    assert page.url.endswith("/today/")


def test_a_clamps_clock_passes_and_a_person_confirms(enter: Opens, later: Clock) -> None:
    resting()
    page = enter(Role.TECHNICIAN)
    knot = page.locator(".knot.rest")
    expect(knot).to_contain_text("Clamps off, 0408")
    knot.get_by_role("link").click()
    expect(page.get_by_text("Not before the clamps are off")).to_be_visible()
    expect(page.get_by_role("button", name="On the bench")).to_have_count(0)
    later(timedelta(hours=3, minutes=1))
    page.goto("/today/")
    expect(page.get_by_role("region", name="May come off")).to_contain_text("0408")
    page.locator(".knot.over").get_by_role("link").click()
    expect(page.locator(".cure")).to_contain_text("May come off, check")
    page.get_by_role("button", name="On the bench").click()
    expect(page.locator(".stands")).to_contain_text("On the bench")
    assert Wait.objects.get().confirmed_by == factory.person(Role.TECHNICIAN)


@pytest.mark.parametrize("js", [True, False])
def test_hung_to_rest_with_the_thumb_and_the_end_put_right(enter: Opens, js: bool) -> None:
    factory.job(Stage.BEN, number="26-0413", assigned=factory.person(Role.TECHNICIAN), agreed_words="reglue brace")
    page = enter(Role.TECHNICIAN, js=js)
    page.goto("/bench/26-0413/")
    page.locator("summary", has_text="Glue, varnish, settling").click()
    page.get_by_role("radio", name="24 h").check()
    page.get_by_label("What exactly").fill("brace, two clamps")
    page.get_by_role("button", name="Hang it to rest").click()
    expect(page.locator(".cure")).to_contain_text("Brace, two clamps")
    assert no_sideways_scroll(page)
    page.locator("summary", has_text="Change the end").click()
    page.get_by_role("radio", name="not known yet").check()
    page.get_by_role("button", name="It rests until then").click()
    expect(page.locator(".cure")).to_contain_text("No end said yet")


def test_the_day_draws_itself_again_when_somebody_moves_a_job(enter: Opens) -> None:
    job = factory.job(Stage.BEN, number="26-0413", assigned=factory.person(Role.TECHNICIAN), agreed_words="brace")
    page = enter(Role.TECHNICIAN)
    expect(page.get_by_role("region", name="Yours, soonest day first")).to_contain_text("On the bench")
    by, at = factory.person(Role.DESK), timezone.now()
    move(job.pk, Stage.QUE, by=by, at=at, seen=job.revision, key="a-key-of-the-desk", reason="wood is late")
    expect(page.get_by_role("region", name="Yours, soonest day first")).to_contain_text("Bench queue")


@pytest.mark.needs_poppler
def test_the_list_is_printed_and_read_back(enter: Opens, tmp_path: Path) -> None:
    factory.job(Stage.BEN, number="26-0413", assigned=factory.person(Role.TECHNICIAN), work="reglue brace")
    page = enter(Role.TECHNICIAN)
    link = page.get_by_role("link", name="Print today’s list")
    pdf = tmp_path / "list.pdf"
    pdf.write_bytes(page.request.get(link.get_attribute("href") or "").body())
    words = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True, check=True).stdout
    for said in ("Jorin Pellwick", "0413", "reglue brace"):
        assert said in words


def test_by_keyboard_alone_from_the_day_to_a_job(enter: Opens) -> None:
    factory.job(Stage.BEN, number="26-0413", assigned=factory.person(Role.TECHNICIAN), promised=timezone.localdate())
    page = enter(Role.TECHNICIAN, DESK)
    for _ in range(40):
        page.keyboard.press("Tab")
        if "/bench/26-0413/" in page.evaluate("document.activeElement.href ?? ''"):
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Violin 4/4")


def test_at_the_least_width_nothing_is_cut_and_targets_are_large(enter: Opens) -> None:
    resting()
    today = timezone.localdate()
    for n in range(8):
        factory.job(Stage.RDY, number=f"26-05{n:02}", promised=today)
    page = enter(Role.HEAD, NARROW)
    assert no_sideways_scroll(page)
    links = page.locator(".day a")
    assert links.count() > 8
    for box in (one.bounding_box() for one in links.all() if one.is_visible()):
        assert box is not None
        assert box["height"] >= 24  # WCAG 2.2, 2.5.8; our own least is 44, and links in a sentence are excused
