"""A new shop is walked through by keyboard alone: begun on the tablet, gone on with on the phone, then it counts."""

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from jobs.office.rooms import ROOMS
from tests.browser.pages import PHONE, TABLET, browser, no_sideways_scroll, someone
from tests.browser.real_shop import PASSWORD, RealShop, real_shop
from tests.browser.walking import look_at

pytestmark = [pytest.mark.needs_chromium, pytest.mark.timeout(600)]

FOCUSED = """() => {
  const here = document.activeElement
  const label = here.getAttribute("aria-label") || here.labels?.[0]?.innerText || here.innerText || ""
  return label.split("\\n")[0].trim()
}"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealShop]:
    with real_shop(tmp_path_factory.mktemp("first") / "home") as running:
        yield running


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as opened:
        yield opened


def tab_to(page: Page, name: str) -> None:
    """Press Tab until what has the focus is called so. Fails after two hundred."""
    for _ in range(200):
        if str(page.evaluate(FOCUSED)).startswith(name):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"“{name}” was not reached by Tab on {page.url}")


def press(page: Page, name: str) -> None:
    """Go to a link or button by Tab and press Enter."""
    tab_to(page, name)
    page.keyboard.press("Enter")


def say(page: Page, name: str, words: str) -> None:
    """Go to a field by Tab and write over what stands there."""
    tab_to(page, name)
    page.keyboard.press("Control+a")
    page.keyboard.type(words)


def say_day(page: Page, name: str, day: date) -> None:
    """Type a day into a date field, in the order of Chromium's English."""
    tab_to(page, name)
    page.keyboard.type(f"{day:%m%d%Y}")


def signed_in(shop: RealShop, chromium: Browser, size: ViewportSize) -> Page:
    page = someone(chromium, shop.address, size).new_page()
    page.goto("/")
    say(page, "Staff name", "ottilie")
    say(page, "Password", PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "sign-in" not in url)
    return page


def comes_next(page: Page, name: str) -> None:
    expect(page.locator("#ahead")).to_contain_text(name)
    assert no_sideways_scroll(page)


def test_a_new_shop_is_walked_through_by_keyboard_alone(shop: RealShop, chromium: Browser) -> None:
    fair = _open_day(shop, after=9)
    page = signed_in(shop, chromium, TABLET)
    _facts(page)
    _hours(page, fair)
    _taxes(page)
    page.context.close()
    phone = signed_in(shop, chromium, PHONE)
    _the_rest(phone)
    phone.context.close()
    _closed_day_is_not_promised(shop, chromium, fair)
    assert _rates(shop) == "8.250 20.000"


def _open_day(shop: RealShop, after: int) -> date:
    """A weekday at least so many days from now, by the shop's own calendar."""
    day = date.fromisoformat(shop.python("from django.utils import timezone; print(timezone.localdate())").strip())
    day += timedelta(days=after)
    return day + timedelta(days=max(0, 7 - day.weekday()) if day.weekday() > 4 else 0)


def _facts(page: Page) -> None:
    """The walk begins by itself after the first signing in; the first button has the focus already."""
    page.wait_for_url("**/shop/begin/")
    comes_next(page, "1. Name, money and papers")
    look_at(page, "first-walk")
    assert page.evaluate(FOCUSED) == "Look and change"
    page.keyboard.press("Enter")
    page.wait_for_url("**/shop/facts/")
    say(page, "Telephone", "+44 20 7946 0177")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Kept: Telephone.")
    press(page, "This is right")


def _hours(page: Page, fair: date) -> None:
    comes_next(page, "2. Hours and closed days")
    page.keyboard.press("Enter")
    page.wait_for_url("**/shop/hours/")
    for name in ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday"):
        say(page, f"{name} opens", "9")
        say(page, f"{name} closes", "17")
    say(page, "Saturday opens", "13")
    say(page, "Saturday closes", "10")
    page.keyboard.press("Enter")
    expect(page.locator("#sat-fault")).to_have_text("Saturday: 10 is not after 13. Times go up through the day.")
    say(page, "Saturday opens", "10")
    say(page, "Saturday closes", "13")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Mon to Fri 9 to 17, Sat 10 to 13")).to_be_visible()
    say_day(page, "First closed day", fair)
    say(page, "Why", "Fair")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Fair")
    look_at(page, "first-walk-hours")
    press(page, "This is right")


def _taxes(page: Page) -> None:
    comes_next(page, "3. Taxes")
    page.keyboard.press("Enter")
    page.wait_for_url("**/shop/taxes/")
    tab_to(page, "Labour")
    page.keyboard.press("ArrowRight")
    say(page, "Per cent", "20")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("20 % on goods from")
    expect(page.get_by_role("row", name="Goods")).to_contain_text("8.25 %")
    press(page, "A tax adviser has looked at this")
    comes_next(page, "4. Prices")


def _the_rest(page: Page) -> None:
    """On the phone it goes on where it stopped; what is not known today is left for later."""
    page.goto("/shop/")
    press(page, "Go on with the first walk")
    comes_next(page, "4. Prices")
    look_at(page, "first-walk-phone")
    press(page, "Leave for later")
    for room in ROOMS[4:]:
        comes_next(page, room.name)
        press(page, room.confirm)
    rooms = len(ROOMS)
    expect(page.get_by_text(f"The walk is done: {rooms - 1} of {rooms} rooms are confirmed.")).to_be_visible()
    page.goto("/shop/")
    expect(page.get_by_text(f"1 of {rooms} rooms are not confirmed yet.")).to_be_visible()
    expect(page.locator(".doors .tape")).to_have_count(1)
    assert no_sideways_scroll(page)


def _closed_day_is_not_promised(shop: RealShop, chromium: Browser, fair: date) -> None:
    number = shop.python(
        "from jobs.book.stages import Stage\nfrom tests import factory\nprint(factory.job(Stage.QUE).number)"
    ).strip()
    page = signed_in(shop, chromium, PHONE)
    page.goto(f"/job/{number}/")
    say_day(page, "Promised for", fair)
    tab_to(page, "firm")
    page.keyboard.press("Space")
    press(page, "Promise this day")
    expect(page.get_by_role("alert")).to_contain_text("is closed: Fair. Take")
    look_at(page, "closed-day")
    tab_to(page, "Say it anyway")
    page.keyboard.press("Space")
    press(page, "Promise this day")
    expect(page.get_by_text("The day is promised.")).to_be_visible()


def _rates(shop: RealShop) -> str:
    """The rate on goods today and tomorrow."""
    return shop.python(
        "from datetime import timedelta\nfrom django.utils import timezone\nfrom shop.profile.reads import rate_on\n"
        "today = timezone.localdate()\nprint(rate_on('goods', today), rate_on('goods', today + timedelta(days=1)))"
    ).strip()
