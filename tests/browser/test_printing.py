"""Pages printed from the browser: black on white in the evening too, without the ways to go on. Read back with poppler."""

import re
import subprocess
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone
from PIL import Image, ImageChops
from playwright.sync_api import PdfMargins

from jobs.book.models import Job
from shop.people.roles import Role
from tests.billing.till import bow, invoice, pay
from tests.browser.conftest import Opens
from tests.rules.world import World, world

pytestmark = [pytest.mark.needs_chromium, pytest.mark.needs_poppler, pytest.mark.django_db(transaction=True)]
PAGES = ("job", "item", "owner", "estimate", "letter", "letters", "money", "payer", "today")
# the words of the top bar and of buttons that stand on every page
WAYS_ON = ("Sign out", "Take in", "To the page", "Evening")


def address(name: str, made: World, owed: Job) -> str:
    owner = owed.roles.get(role="owner").party_id
    return {
        "job": reverse("desk:job", kwargs=made.number),
        "item": reverse("register:item", kwargs={"pk": made.job.item_id}),
        "owner": reverse("register:owner", kwargs={"pk": owner}),
        "estimate": reverse("desk:estimate", kwargs={"number": made.examined.number}),
        "letter": reverse("desk:letter", kwargs={"pk": made.letter.pk}),
        "letters": reverse("desk:letters"),
        "money": reverse("till:money"),
        "payer": reverse("till:payer", kwargs={"pk": owner}),
        "today": reverse("morning:today"),
    }[name]


@pytest.mark.parametrize("name", PAGES)
def test_in_evening_light_a_page_prints_black_on_white_without_its_ways_on(
    name: str, device: Opens, tmp_path: Path
) -> None:
    made, owed = world(), bow("120.00")
    invoice(owed, at=timezone.now())
    pay(owed, "20.00", at=timezone.now())
    page = device(address(name, made, owed), role=Role.HEAD)
    page.evaluate("localStorage.setItem('light', 'evening')")
    page.reload()
    assert page.locator("html").get_attribute("data-light") == "evening"
    title = page.locator("h1").first.inner_text()
    page.evaluate("document.querySelectorAll('img').forEach(one => one.remove())")  # photographs keep their colours
    file = tmp_path / "printed.pdf"
    edge: PdfMargins = {"top": "12mm", "right": "12mm", "bottom": "12mm", "left": "12mm"}  # as browsers leave it
    page.pdf(path=file, format="A4", print_background=True, margin=edge)
    said = subprocess.run(["pdftotext", file, "-"], capture_output=True, text=True, check=True).stdout
    assert re.sub(r"\s", "", title) in re.sub(r"\s", "", said)
    assert not [way for way in WAYS_ON if way in said]
    subprocess.run(["pdftoppm", "-r", "50", "-png", file, tmp_path / "shot"], check=True)
    for shot in sorted(tmp_path.glob("shot*.png")):
        with Image.open(shot) as opened:
            red, green, blue = opened.convert("RGB").split()
        assert ImageChops.difference(red, green).getbbox() is None
        assert ImageChops.difference(red, blue).getbbox() is None
        assert red.getpixel((3, 3)) == 255, "the paper is white"
        dark = sum(red.histogram()[:128]) / (red.width * red.height)
        assert dark < 0.12, "ink is for letters, not for grounds"
