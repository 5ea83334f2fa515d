"""The job in the hand, in a real Chromium: the running clock, photos of the second check, every size, no script."""

import re
from collections.abc import Callable
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image
from playwright.sync_api import FilePayload, Page, ViewportSize, expect

from jobs.bench import steps
from jobs.bench.models import WorkSpell
from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.photos.models import Photo
from jobs.photos.steps import receive
from shop.people.roles import Role
from tests import factory
from tests.browser.pages import DESK, PHONE, PORTRAIT, TABLET, no_sideways_scroll

pytestmark = [pytest.mark.needs_chromium, pytest.mark.django_db(transaction=True)]
Opens = Callable[..., Page]
NARROW = ViewportSize(width=320, height=640)


@pytest.fixture
def phone(device: Opens) -> Opens:
    """Opens a page on a phone for someone signed in."""

    def open_page(path: str, role: Role = Role.TECHNICIAN, size: ViewportSize = PHONE, **how: Any) -> Page:
        return device(path, size, role, **how)

    return open_page


def picture(colour: tuple[int, int, int] = (120, 60, 20)) -> bytes:
    kept = BytesIO()
    Image.new("RGB", (640, 480), colour).save(kept, "JPEG")
    return kept.getvalue()


def payload() -> FilePayload:
    return FilePayload(name="now.jpg", mimeType="image/jpeg", buffer=picture((20, 60, 120)))


def on_bench(stage: Stage = Stage.BEN) -> Job:
    """A job of Jorin's with two agreed lines, a photo and a running clock of 18 minutes."""
    jorin = factory.person(Role.TECHNICIAN)
    job = factory.job(Stage.BEN, assigned=jorin, number="26-0406")
    lines = factory.approved(job, "Set-up check and correct", "Glue one open seam")
    front = SimpleUploadedFile("front.jpg", picture(), content_type="image/jpeg")
    receive(front, purpose="intake", by=jorin, at=timezone.now(), send_key="intake-front", job=job, view="front-full")
    spell = steps.start(job, lines[0], by=jorin, at=timezone.now() - timedelta(minutes=18)).spell
    if stage is not Stage.BEN:
        steps.stop(spell, by=jorin, at=timezone.now())
        Job.objects.filter(pk=job.pk).update(stage=stage)
    return job


def seconds(reading: str) -> int:
    hours, minutes, rest = reading.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + int(rest)


def test_the_clock_counts_on_and_is_not_read_out(phone: Opens) -> None:
    on_bench()
    page = phone("/bench/26-0406/")
    clock = page.get_by_role("timer")
    expect(clock).to_have_text(re.compile(r"^0:18:\d\d$"))
    before = seconds(clock.inner_text())
    page.wait_for_function(
        "before => document.querySelector('[role=timer]').textContent !== before", arg=clock.inner_text()
    )
    assert before < seconds(clock.inner_text()) <= before + 5
    assert clock.get_attribute("aria-live") is None  # a timer is silent by its role (WAI-ARIA 1.2)


def test_a_phone_whose_clock_is_wrong_shows_the_shops_time(phone: Opens) -> None:
    on_bench()
    page = phone("about:blank")
    page.clock.set_system_time(timezone.now() + timedelta(hours=5))
    page.goto("/bench/26-0406/")
    expect(page.get_by_role("timer")).to_have_text(re.compile(r"^0:18:\d\d$"))


def test_stopping_and_starting_with_the_thumb(phone: Opens) -> None:
    on_bench()
    page = phone("/bench/26-0406/", touch=True)
    page.get_by_role("button", name="Stop the clock").tap()
    expect(page.get_by_role("status")).to_have_text("Your clock is stopped.")
    page.get_by_role("button", name="Start the clock on Glue one open seam").tap()
    expect(page.locator(".dock")).to_contain_text("Glue one open seam")
    assert WorkSpell.objects.filter(stopped_at=None).count() == 1


def test_what_is_pressed_often_is_large_and_lies_low(phone: Opens) -> None:
    on_bench()
    page = phone("/bench/26-0406/")
    for name in ("Note or photo", "Lay tape", "Put it somewhere"):
        box = page.locator("summary", has_text=name).bounding_box()
        assert box is not None
        assert box["height"] >= 65  # 4.1 rem
        assert box["y"] >= 844 / 3
    dock = page.get_by_role("button", name="Stop the clock").bounding_box()
    assert dock is not None
    assert dock["y"] + dock["height"] <= 844


@pytest.mark.parametrize("size", [NARROW, PHONE, PORTRAIT, TABLET, DESK])
def test_no_page_of_the_bench_or_the_job_scrolls_sideways(phone: Opens, size: ViewportSize) -> None:
    on_bench(Stage.CHK)
    for path in ("/bench/26-0406/", "/bench/26-0406/check/", "/bench/26-0406/not-this/", "/job/26-0406/"):
        page = phone(path, Role.HEAD, size)
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        assert no_sideways_scroll(page), (path, size)


def test_without_script_a_note_is_kept_and_the_job_moves(phone: Opens) -> None:
    on_bench()
    page = phone("/bench/26-0406/", js=False)
    page.get_by_role("button", name="Stop the clock").click()
    page.locator("summary", has_text="Note or photo").click()
    page.get_by_label("What you see or did").fill("Seam was old glue.")
    page.get_by_label("Photo").set_input_files(payload())
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator(".notes")).to_contain_text("Seam was old glue.")
    expect(page.locator(".notes img")).to_have_count(1)
    page.get_by_role("button", name="Set-up and playing").click()
    expect(page.locator(".stands")).to_contain_text("Set-up and playing")


def test_a_check_photo_appears_beside_its_pair_and_the_ticks_stay(phone: Opens) -> None:
    on_bench(Stage.CHK)
    page = phone("/bench/26-0406/check/", Role.HEAD)
    page.get_by_label("Done").first.check(force=True)
    page.locator("#view-front-full").set_input_files(payload())
    expect(page.get_by_alt_text("now")).to_have_count(1)
    expect(page.get_by_label("Done").first).to_be_checked()
    assert Photo.objects.filter(purpose="check", view="front-full").count() == 1


def test_a_check_photo_that_cannot_be_sent_says_so(phone: Opens) -> None:
    on_bench(Stage.CHK)
    page = phone("/bench/26-0406/check/", Role.HEAD)
    page.route("**/check/photos/", lambda route: route.abort())
    page.locator("#view-front-full").set_input_files(payload())
    expect(page.locator(".frame").first).to_contain_text("Not sent.")
    assert not Photo.objects.filter(purpose="check").exists()
