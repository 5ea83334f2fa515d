"""Finding anything in a real Chromium: the key, answers as one types, arrows, Enter, Escape, a phone, no script."""

from collections.abc import Callable
from contextlib import suppress

import pytest
from playwright.sync_api import Error, Page, Route, ViewportSize, expect

from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.index.steps import fill
from jobs.tags.models import Tag
from shop.people.roles import Role
from tests import factory
from tests.browser.pages import DESK, PHONE, TABLET, no_sideways_scroll

pytestmark = [pytest.mark.needs_chromium, pytest.mark.django_db(transaction=True)]
Opens = Callable[..., Page]
NARROW = ViewportSize(width=320, height=640)


@pytest.fixture
def desk(device: Opens) -> Opens:
    """Opens a page of a shop with two cellos and a violin."""
    factory.shop()
    for name, title, number in (
        ("Odile Crossmoor", "Cello 4/4", "26-0417"),
        ("Odile Crossmoor", "Cello 1/2", "26-0418"),
        ("Bram Ashford", "Violin 4/4", "26-0419"),
    ):
        owner = factory.party(name)
        factory.job(Stage.BEN, owner=owner, item=factory.item(owner, title=title), number=number)
    Tag.objects.filter(item__jobs__number="26-0419").update(code="9QWD7K2M")
    fill()
    return device


def test_a_key_from_any_page_then_typing_arrows_and_enter(desk: Opens) -> None:
    page = desk("/letters/")
    box = page.get_by_role("combobox")
    page.keyboard.press("/")
    expect(box).to_be_focused()
    page.keyboard.type("crossmoor ce")
    expect(page.get_by_role("option")).to_have_count(4)  # two jobs, two cellos
    expect(page.locator(".find [role=status]")).to_have_text("4 found.")
    expect(box).to_have_attribute("aria-expanded", "true")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    chosen = page.locator("[role=option][aria-selected=true]")
    expect(chosen).to_have_count(1)
    assert box.get_attribute("aria-activedescendant") == chosen.get_attribute("id")
    number = chosen.locator(".num").inner_text()
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/job/{number}/")


def test_enter_alone_opens_the_first_even_faster_than_any_answer(desk: Opens) -> None:
    page = desk("/letters/")
    page.keyboard.press("Control+k")
    page.keyboard.type("26-0418")
    page.keyboard.press("Enter")
    page.wait_for_url("**/job/26-0418/")


def test_a_scanner_that_types_an_address_opens_the_tag(desk: Opens) -> None:
    page = desk("/letters/")
    page.keyboard.press("/")
    page.keyboard.type("HTTPS://SHOP.EXAMPLE/T/9QWD7K2M\n")
    page.wait_for_url("**/9QWD7K2M**")


def test_escape_closes_and_gives_the_focus_back(desk: Opens) -> None:
    page = desk("/letters/")
    page.get_by_role("link", name="Rails").focus()
    page.keyboard.press("/")
    page.keyboard.type("ash")
    expect(page.get_by_role("option").first).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("option")).to_have_count(0)
    expect(page.get_by_role("link", name="Rails")).to_be_focused()


def test_a_stroke_typed_into_a_field_is_a_stroke(desk: Opens) -> None:
    page = desk("/find/")
    page.get_by_role("combobox").press_sequentially("4/4")
    expect(page.get_by_role("combobox")).to_have_value("4/4")


def test_an_old_answer_never_comes_after_a_newer_one(desk: Opens) -> None:
    page = desk("/letters/")
    held: list[Route] = []
    page.route("**/find/?q=cro", lambda route: held.append(route))
    page.keyboard.press("/")
    page.keyboard.type("cro")
    page.wait_for_timeout(400)
    page.get_by_role("combobox").fill("ashford")
    expect(page.get_by_role("option").first).to_contain_text("Ashford")
    for route in held:
        with suppress(Error):  # the page dropped it, as it should
            route.continue_()
    page.wait_for_timeout(300)
    expect(page.get_by_role("option").first).to_contain_text("Ashford")


def test_what_was_typed_before_the_script_came_is_looked_for(desk: Opens) -> None:
    page = desk("about:blank")
    late: list[Route] = []
    page.route("**/register/find.js", lambda route: late.append(route))
    page.goto("/find/", wait_until="commit")
    box = page.get_by_role("combobox")
    box.press_sequentially("ashf")
    late[0].continue_()
    expect(page.get_by_role("option").first).to_contain_text("Ashford")


def test_nothing_found_says_what_next(desk: Opens) -> None:
    page = desk("/letters/")
    page.keyboard.press("/")
    page.keyboard.type("zzyzx")
    expect(page.locator(".find-list")).to_contain_text("Nothing found for “zzyzx”")
    expect(page.locator(".find [role=status]")).to_have_text("Nothing found.")
    page.keyboard.press("Enter")
    page.wait_for_url("**/find/?q=zzyzx**")
    expect(page.get_by_role("link", name="Take it in as new")).to_be_visible()


@pytest.mark.parametrize("path", ["/letters/", "/bench/26-0419/"])
def test_on_a_phone_one_touch_opens_the_box_and_close_puts_it_away(desk: Opens, path: str) -> None:
    page = desk(path, PHONE, Role.HEAD, touch=True)
    page.get_by_role("link", name="Find").tap()
    expect(page.get_by_role("combobox")).to_be_focused()
    page.keyboard.type("cross")
    expect(page.get_by_role("option").first).to_be_visible()
    box = page.get_by_role("option").first.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    assert no_sideways_scroll(page)
    page.get_by_role("button", name="Close").tap()
    expect(page.get_by_role("combobox")).to_be_hidden()


@pytest.mark.parametrize("size", [NARROW, PHONE, TABLET, DESK])
def test_no_width_scrolls_sideways(desk: Opens, size: ViewportSize) -> None:
    page = desk("/find/?q=cross", size)
    expect(page.get_by_role("heading", name="Jobs")).to_be_visible()
    assert no_sideways_scroll(page)


def test_without_script_the_page_finds(desk: Opens) -> None:
    page = desk("/find/", js=False)
    page.get_by_role("combobox").fill("crossmoor")
    page.get_by_role("button", name="Find").click()
    expect(page.get_by_role("link", name="26-0417 Cello")).to_be_visible()
    assert Job.objects.filter(number="26-0417").exists()
