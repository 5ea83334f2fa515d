"""A telephone approval for an owner without e-mail: printed, read back, agreed, the agreement on paper, the bench begins."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ViewportSize, expect

from tests.browser.at_the_desk import desk_of, estimated, paper_text, taken_in
from tests.browser.pages import PHONE, TABLET, browser, no_sideways_scroll
from tests.browser.real_shop import RealShop, real_shop
from tests.browser.walking import look_at

pytestmark = [pytest.mark.needs_chromium, pytest.mark.needs_poppler, pytest.mark.timeout(600)]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealShop]:
    with real_shop(tmp_path_factory.mktemp("telephone") / "home") as running:
        yield running


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as opened:
        yield opened


@pytest.mark.parametrize(("viewport", "name"), [(TABLET, "Wendeline Ashgrove"), (PHONE, "Corvin Ashgrove")])
def test_agreed_on_the_telephone(
    shop: RealShop, chromium: Browser, tmp_path: Path, viewport: ViewportSize, name: str
) -> None:
    size = f"{viewport['width']}"
    number = taken_in(shop, name, phone=f"+44207946{viewport['width']:04}")
    bench, tobiah = desk_of(chromium, shop, "tobiah", viewport)  # type: ignore[arg-type]
    estimated(tobiah, number)
    desk, page = desk_of(chromium, shop, "maris", viewport)  # type: ignore[arg-type]
    page.goto(f"/job/{number}/estimate/")
    expect(page.get_by_text(f"{name} has no e-mail.")).to_be_visible()
    assert no_sideways_scroll(page)
    look_at(page, f"telephone-estimate-{size}")

    # printed as a letter, with its slip to cut off
    printed = page.get_by_role("link", name="Print the estimate").get_attribute("href")
    words = paper_text(desk, str(printed), tmp_path / "estimate.pdf")
    for expected in (
        "cut here and send it back",
        "Your answer",
        "I agree to it",
        "Leave it as it is",
        "signature",
        name,
    ):
        assert expected in words, expected

    # read back in large letters
    page.locator("label", has_text=re.compile("^Agreed$")).click()
    page.get_by_role("button", name="On the telephone").click()
    expect(page.get_by_role("heading", name=f"Read this aloud to {name}")).to_be_visible()
    aloud = page.get_by_role("region", name="To read aloud").inner_text()
    for expected in (number, "version 1", "New bridge", "in all, tax included", "deposit", "Do you agree to this?"):
        assert expected in aloud, expected
    assert no_sideways_scroll(page)
    look_at(page, f"telephone-aloud-{size}")
    page.get_by_label("Note, for the shop only").fill("hard of hearing: speak slowly")
    page.get_by_label("Read back and agreed. I, Maris Quillby, read it.").check()
    page.get_by_role("button", name="Read back and agreed").dblclick()
    agreed = f"Version 1, agreed by {name} by telephone, read back by Maris"
    expect(page.get_by_text(agreed)).to_be_visible()
    look_at(page, f"telephone-agreed-{size}")

    # the agreement is a paper of its own
    link = page.get_by_role("link", name=re.compile("Print the agreement A"))
    words = paper_text(desk, str(link.get_attribute("href")), tmp_path / "agreement.pdf")
    for expected in ("Agreement", "Agreed to version 1", name, "by telephone, read back by Maris", "Maris Quillby",
                     "Read aloud on the telephone, and agreed", "Do you agree to this?", number):  # fmt: skip
        assert expected in words, expected
    assert "hard of hearing" not in words
    assert "Untouched" in shop.manage("check_paper", str(tmp_path / "agreement.pdf"))
    page.goto(f"/job/{number}/")
    expect(page.get_by_text(agreed).first).to_be_visible()
    assert no_sideways_scroll(page)
    look_at(page, f"telephone-job-{size}")

    # and the bench begins
    tobiah.goto(f"/bench/{number}/")
    expect(tobiah.get_by_text("agreed by Ashgrove by telephone, read back by Maris")).to_be_visible()
    tobiah.get_by_role("button", name=re.compile("On the bench")).click()
    tobiah.get_by_role("button", name=re.compile("Start")).first.click()
    expect(tobiah.get_by_role("button", name="Stop the clock")).to_be_visible()
    assert no_sideways_scroll(tobiah)
    look_at(tobiah, f"telephone-bench-{size}")
    tobiah.get_by_role("button", name="Stop the clock").click()

    # what rests on it keeps it
    page.goto(f"/job/{number}/estimate/")
    expect(page.get_by_text("It can no longer be taken back.")).to_be_visible()
    bench.close()
    desk.close()
    assert not shop.letters.letters  # nobody here has an e-mail
