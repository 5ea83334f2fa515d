"""Declined estimates: opened, put together again, a fee, released; and unopened, without a fee. Letters by real SMTP."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.at_the_desk import desk_of, estimated, taken_in
from tests.browser.pages import PHONE, TABLET, browser, no_sideways_scroll, someone
from tests.browser.real_shop import RealShop, attachments, real_shop, text_of
from tests.browser.walking import look_at, sign

pytestmark = [pytest.mark.needs_chromium, pytest.mark.timeout(600)]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealShop]:
    with real_shop(tmp_path_factory.mktemp("declined") / "home") as running:
        yield running


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as opened:
        yield opened


def _subjects(shop: RealShop, email: str) -> list[str]:
    return [str(one["Subject"]).partition(": ")[2] for one in shop.letters.letters if email in one["X-Delivered-To"]]


def _handed_over(page: Page, number: str, name: str) -> None:
    page.goto(f"/job/{number}/hand-over/")
    for tick in page.locator("input[name=thing]").all():
        tick.check()
    page.get_by_label("Name of whoever stands here").fill(name)
    page.get_by_label("How you know it is them").fill("known to us")
    sign(page.locator("canvas"))
    page.get_by_role("button", name="Hand it over").dblclick()
    expect(page.get_by_role("link", name="Print the release")).to_be_visible()
    page.goto(f"/job/{number}/")
    expect(page.get_by_text("Refused and returned").first).to_be_visible()
    expect(page.get_by_text("closed it as refused and returned")).to_be_visible()


def test_opened_put_together_again_and_the_fee_paid(shop: RealShop, chromium: Browser, tmp_path: Path) -> None:
    name, email = "Leander Fosse", "leander@fosse.example"
    number = taken_in(shop, name, email=email)
    bench, tobiah = desk_of(chromium, shop, "tobiah", PHONE)  # type: ignore[arg-type]
    estimated(tobiah, number, fee="25.00")

    # the owner declines by the link of the letter, knowing of the fee
    link = re.search(rf"{re.escape(shop.address)}/o/\S+", text_of(shop.letters.wait(email, "estimate")))
    assert link is not None
    phone = someone(chromium, shop.address, PHONE, touch=True)
    owner = phone.new_page()
    owner.goto(link.group())
    owner.get_by_role("link", name="Read and answer").click()
    expect(owner.get_by_text("The examination costs 25.00.")).to_be_visible()
    owner.get_by_role("link", name="Leave it as it is").click()
    look_at(owner, "declined-owner-sure")
    owner.get_by_label(re.compile("tell us why")).fill("Too much for me just now.")
    owner.get_by_role("button", name="Leave it as it is").dblclick()
    expect(owner.get_by_role("heading", name="You decided against the work")).to_be_visible()
    thanks = text_of(shop.letters.wait(email, "thank you for your answer"))
    assert "that is quite all right" in thanks
    assert "25.00 for the examination" in thanks

    # plain steps on the job page
    desk, page = desk_of(chromium, shop, "maris", TABLET)  # type: ignore[arg-type]
    page.goto(f"/job/{number}/")
    expect(page.get_by_role("heading", name="The owner declined")).to_be_visible()
    expect(page.get_by_text("Too much for me just now.")).to_be_visible()
    look_at(page, "declined-job")
    page.locator("label", has_text="Yes, opened").click()
    page.locator("label", has_text=re.compile("^Take it$")).click()
    page.get_by_role("button", name="Say what follows").dblclick()
    expect(page.get_by_text("It is put together again, as it came.")).to_be_visible()
    assert no_sideways_scroll(page)
    owner.goto(link.group())
    expect(owner.get_by_text("We put it together again, as it came to us")).to_be_visible()
    look_at(owner, "declined-owner")
    phone.close()

    # at the bench it is the only work
    tobiah.goto(f"/bench/{number}/")
    tobiah.get_by_role("button", name=re.compile("On the bench")).click()
    expect(tobiah.locator(".ops li").first).to_contain_text("Put it together again as it came")
    look_at(tobiah, "declined-bench")
    tobiah.get_by_role("button", name=re.compile("Start")).first.click()
    tobiah.get_by_role("button", name="Stop the clock").click()
    tobiah.get_by_role("button", name=re.compile("Second check")).click()
    bench.close()
    other, ottilie = desk_of(chromium, shop, "ottilie", PHONE)  # type: ignore[arg-type]
    ottilie.goto(f"/bench/{number}/check/")
    for radio in ottilie.locator("input[type=radio][value=done]").all():
        radio.check(force=True)
    ottilie.get_by_role("button", name="Passed").click()
    expect(ottilie.get_by_text(re.compile("passed", re.I)).first).to_be_visible()
    other.close()

    # the fee, Ready, the second letter with its invoice, paid, home
    page.goto(f"/job/{number}/")
    page.get_by_role("link", name="Invoice for the fee").click()
    expect(page.get_by_text("Examination and estimate, version 1")).to_be_visible()
    look_at(page, "declined-invoice")
    page.get_by_role("button", name="Issue it").dblclick()
    page.wait_for_url(re.compile(r"/job/[\d-]+/$|/money/"))
    page.goto(f"/job/{number}/")
    page.get_by_role("button", name=re.compile("Ready to collect")).first.click()
    ready = shop.letters.wait(email, "ready to collect")
    assert "put your violin together again, as it came to us" in text_of(ready)
    assert "To pay when you collect: 25.00." in text_of(ready)
    assert [name for name, _ in attachments(ready) if name.startswith("invoice-")]
    page.goto(f"/job/{number}/payment/")
    page.locator("label", has_text=re.compile("^Card$")).click()
    page.get_by_role("button", name="Write it down").dblclick()
    page.wait_for_url(lambda url: not url.endswith("/payment/"))
    _handed_over(page, number, name)
    look_at(page, "declined-closed")
    desk.close()
    assert _subjects(shop, email) == [
        "our estimate, please answer", "thank you for your answer", "it is ready to collect",
    ]  # fmt: skip


def test_unopened_and_without_a_fee(shop: RealShop, chromium: Browser) -> None:
    name, email = "Perpetua Lorne", "perpetua@lorne.example"
    number = taken_in(shop, name, email=email)
    bench, tobiah = desk_of(chromium, shop, "tobiah", TABLET)  # type: ignore[arg-type]
    estimated(tobiah, number)
    bench.close()
    desk, page = desk_of(chromium, shop, "maris", PHONE)  # type: ignore[arg-type]
    page.goto(f"/job/{number}/estimate/")
    page.locator("label", has_text=re.compile("^Declined$")).click()
    page.get_by_role("button", name="On the telephone").click()
    page.get_by_label("Why, in their words").fill("She keeps it as it is.")
    look_at(page, "declined-telephone")
    page.get_by_role("button", name="Write the refusal down").dblclick()
    expect(page.get_by_text(f"Version 1, declined by {name} by telephone, written down by Maris")).to_be_visible()
    shop.letters.wait(email, "thank you for your answer")
    page.goto(f"/job/{number}/")
    expect(page.get_by_text("The estimate named no fee")).to_be_visible()
    assert no_sideways_scroll(page)
    look_at(page, "declined-job-390")
    page.locator("label", has_text="No, as it came").click()
    page.get_by_role("button", name="Say what follows").dblclick()
    expect(page.get_by_text("Nothing is to be put together.")).to_be_visible()
    ready = text_of(shop.letters.wait(email, "ready to collect"))
    assert "As you decided, we have left your violin as it was." in ready
    assert "There is nothing to pay." in ready
    _handed_over(page, number, name)
    desk.close()
    assert _subjects(shop, email) == [
        "our estimate, please answer", "thank you for your answer", "it is ready to collect",
    ]  # fmt: skip
