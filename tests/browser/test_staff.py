"""Somebody begins at the shop, loses the password, and goes: in Chromium, with a real mail server."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.pages import PHONE, TABLET, browser, no_sideways_scroll, sign_in, someone
from tests.browser.real_shop import PASSWORD, RealShop, real_shop, text_of
from tests.browser.walking import look_at

pytestmark = [pytest.mark.needs_chromium, pytest.mark.timeout(300)]
NEW, NEWER = "three cords and a peg", "four pegs and a scroll"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealShop]:
    with real_shop(tmp_path_factory.mktemp("staff") / "home") as opened:
        yield opened


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as opened:
        yield opened


def way_in(shop: RealShop, to: str, words: str) -> str:
    found = re.search(r"http\S+/welcome/\S+", text_of(shop.letters.wait(to, words)))
    assert found is not None
    return found.group()


def test_somebody_begins_forgets_and_goes(shop: RealShop, chrome: Browser) -> None:
    head = someone(chrome, shop.address, TABLET).new_page()
    sign_in(head, "ottilie", PASSWORD)
    head.goto("/shop/people/")
    head.get_by_role("link", name="Add a person").click()
    head.get_by_label("Name", exact=True).fill("Jorin Applegarth")
    head.get_by_label("Staff name").fill("jorin.a")
    head.get_by_label("E-mail").fill("jorin.a@marrowfen.example")
    head.get_by_role("button", name="Add and give a way in").click()
    expect(head.get_by_text("Jorin A is written down.")).to_be_visible()
    look_at(head, "staff-person")

    phone = someone(chrome, shop.address, PHONE).new_page()
    phone.goto(way_in(shop, "jorin.a@marrowfen.example", "Your way in to"))
    assert phone.url.endswith("/choose/")
    assert no_sideways_scroll(phone)
    phone.get_by_label("New password").fill(NEW)
    phone.get_by_label("The same once more").fill(NEW)
    phone.get_by_role("button", name="Keep it and go in").click()
    expect(phone.get_by_text("Welcome, Jorin A.")).to_be_visible()
    phone.get_by_role("link", name="Jorin A", exact=True).click()
    expect(phone.get_by_role("heading", name="Jorin Applegarth")).to_be_visible()
    assert no_sideways_scroll(phone)
    look_at(phone, "staff-me")

    lost = someone(chrome, shop.address, PHONE).new_page()
    lost.goto("/sign-in/")
    lost.get_by_role("link", name="I have no password, or lost it").click()
    lost.get_by_label("Staff name or e-mail").fill("jorin.a@marrowfen.example")
    # the first letter was asked for less than ten minutes ago: the head luthier shows a way in instead
    head.get_by_role("button", name="Show a way in here").click()
    address = head.locator(".address").inner_text()
    lost.goto(address)
    lost.get_by_label("New password").fill(NEWER)
    lost.get_by_label("The same once more").fill(NEWER)
    lost.get_by_role("button", name="Keep it and go in").click()
    expect(lost.get_by_text("Welcome, Jorin A.")).to_be_visible()
    phone.goto("/me/")
    phone.wait_for_url("**/sign-in/**")

    head.goto("/shop/people/")
    head.get_by_role("link", name="Jorin Applegarth").click()
    expect(head.get_by_text("Chrome on Linux")).to_be_visible()
    head.get_by_role("button", name="Let Jorin A go").click()
    expect(head.get_by_text("Jorin A cannot sign in any more.")).to_be_visible()
    lost.goto("/me/")
    lost.wait_for_url("**/sign-in/**")
    lost.get_by_label("Staff name").fill("jorin.a")
    lost.get_by_label("Password").fill(NEWER)
    lost.get_by_role("button", name="Sign in").click()
    expect(lost.get_by_text("do not go together")).to_be_visible()


def test_whoever_forgot_gets_a_letter(shop: RealShop, chrome: Browser, tmp_path: Path) -> None:
    shop.python(
        "from shop.people.models import Person\n"
        "Person.objects.filter(username='maris').update(email='maris@marrowfen.example')"
    )
    page = someone(chrome, shop.address, PHONE).new_page()
    page.goto("/forgot/")
    page.get_by_label("Staff name or e-mail").fill("maris")
    page.get_by_role("button", name="Send me a way in").click()
    expect(page.get_by_text("a letter is on its way there")).to_be_visible()
    page.goto(way_in(shop, "maris@marrowfen.example", "A new password at"))
    page.get_by_label("New password").fill(NEW)
    page.get_by_label("The same once more").fill(NEW)
    page.get_by_label("PIN for the kiosk").fill("7294")
    page.get_by_role("button", name="Keep it and go in").click()
    expect(page.get_by_text("Welcome, Maris.")).to_be_visible()
