"""One viola from the door to the door: nine steps in their roles, in Chromium, with real processes, mail and paper.

The shop runs as `serve` starts it, on the database and broker of this run: SQLite and files by default, PostgreSQL and
Redis where DATABASE_URL and REDIS_URL say so.
"""

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.browser.pages import DESK, PHONE, TABLET, browser, no_sideways_scroll, sign_in, someone
from tests.browser.real_shop import PASSWORD, RealShop, attachments, real_shop, text_of
from tests.browser.walking import look_at, picture, sign

pytestmark = [pytest.mark.needs_chromium, pytest.mark.needs_poppler, pytest.mark.timeout(600)]

OWNER = "Ḥava 羅 🎻 Quillfeather"
EMAIL = "hava@quillfeather.example"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealShop]:
    with real_shop(tmp_path_factory.mktemp("door") / "home") as running:
        yield running


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as opened:
        yield opened


def text_in(pdf: Path) -> str:
    """What poppler reads in a paper."""
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True)
    return done.stdout.decode()


def test_from_the_door_to_the_door(shop: RealShop, chromium: Browser, tmp_path: Path) -> None:
    number = _taken_in(shop, chromium, tmp_path)
    note = _copy_by_mail(shop, tmp_path)
    _one_changed_byte_is_refused(shop, note)
    bench = _scanned(shop, chromium, tmp_path, number)
    _estimated(shop, chromium, number)
    _agreed_by_link(shop, chromium)
    _worked_on(shop, bench, tmp_path)
    _checked_by_another(shop, chromium, number)
    _paid_and_gone_home(shop, chromium, tmp_path, number)


def _taken_in(shop: RealShop, chromium: Browser, tmp_path: Path) -> str:
    """1 and 2: a kiosk is registered, Maris takes a viola and a bow in, both sign, the note is sealed."""
    tablet = someone(chromium, shop.address, TABLET, touch=True)
    page = tablet.new_page()
    sign_in(page, "ottilie", PASSWORD)
    page.goto("/kiosk/register/")
    page.get_by_role("button", name="Register it").click()
    page.get_by_label("Staff name").fill("maris")
    page.get_by_label("PIN").fill("5555")
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("button", name="Take in").click()
    page.get_by_text("Not in the book yet").click()
    page.get_by_label("Name", exact=True).fill(OWNER)
    page.get_by_label("Telephone", exact=True).fill("020 7946 0155")
    page.get_by_label("E-mail", exact=True).fill(EMAIL)
    page.get_by_role("button", name="Write down").click()
    expect(page.get_by_role("heading", name="Anyone else?")).to_be_visible()
    look_at(page, "who")
    _next(page)
    page.get_by_role("button", name="Viola", exact=True).click()
    page.locator(".choice label", has_text=re.compile(r"^16 in$")).first.click()
    look_at(page, "items")
    _next(page)
    page.get_by_label("What is asked for").fill("new bridge and soundpost")
    page.get_by_label("What the owner says").fill("It wheezes on the C string.\n它在 C 弦上嘶嘶作響 🎶")
    page.locator("label", has_text=re.compile("^Up to pitch$", re.I)).click()
    look_at(page, "said")
    _next(page)
    frames = page.locator(".strip.large >> nth=0 >> .frame")
    for index in range(3):
        frames.nth(index).locator("input[type=file]").set_input_files(picture(tmp_path, f"view{index}.jpg", seed=index))
    expect(page.locator("[data-said]")).to_contain_text("3 of the")
    for other in page.locator(".frame.no .why-not input").all():
        other.fill("only the bridge is to be worked on")
    expect(page.locator("[data-missing]")).to_be_empty()
    look_at(page, "photos")
    page.locator("[data-onward]").click()
    page.get_by_label("What", exact=True).select_option("br-warp")
    page.locator("label", has_text=re.compile("^Moderate$")).click()
    page.locator(".close-up input[type=file]").set_input_files(picture(tmp_path, "warp.jpg", seed=9))
    expect(page.locator(".close-up.has")).to_be_visible()
    page.get_by_role("button", name="Keep this line").click()
    look_at(page, "condition")
    _next(page)
    page.locator("label", has_text=re.compile("^Not stated$")).click()
    _next(page)
    page.get_by_role("button", name="Seal the note").click(force=True)
    expect(page.get_by_text(re.compile("pad is empty|has not signed yet")).first).to_be_visible()
    for pad in page.locator("canvas").all():
        sign(pad)
    look_at(page, "sign")
    page.get_by_role("button", name="Seal the note").dblclick()
    expect(page.get_by_role("heading", name="The note is sealed")).to_be_visible()
    with page.expect_popup() as popup:
        page.get_by_role("link", name="Print the tags").click()
    (tmp_path / "tags.pdf").write_bytes(tablet.request.get(popup.value.url).body())
    popup.value.close()
    place = page.get_by_label(re.compile("Viola 16 in"))
    number = re.search(r"\d\d-\d{4}", page.locator("label", has_text="Viola 16 in").inner_text())
    assert number is not None
    place.select_option(label="R2-6")
    page.get_by_role("button", name="It hangs there: next owner").click()
    expect(page.get_by_role("heading", name="Next owner")).to_be_visible()
    page.go_back()
    assert "Quillfeather" not in page.content()
    tablet.close()
    return number.group()


def _next(page: Page) -> None:
    page.get_by_role("button", name="Next", exact=True).click()


def _copy_by_mail(shop: RealShop, tmp_path: Path) -> Path:
    """2: the depositor's copy comes by mail at once, sealed, with every letter of every name."""
    letter = shop.letters.wait(EMAIL, "note")
    pdfs = [data for name, data in attachments(letter) if name.endswith(".pdf")]
    assert len(pdfs) == 1
    note = tmp_path / "note.pdf"
    note.write_bytes(pdfs[0])
    words = text_in(note)
    assert "Ḥava" in words
    assert "羅" in words
    assert "wheezes on the C string" in words
    signed = subprocess.run(["pdfsig", str(note)], capture_output=True, text=True, check=False).stdout
    assert "Signature is Valid" in signed
    assert "Total document signed" in signed
    assert "Untouched" in shop.manage("check_paper", str(note))
    return note


def _one_changed_byte_is_refused(shop: RealShop, note: Path) -> None:
    """2: wherever one byte is changed, check_paper says so, with the book and without it."""
    whole = note.read_bytes()
    changed = note.with_name("changed.pdf")
    for place in (0, len(whole) // 3, len(whole) // 2, len(whole) - 2):
        spoiled = bytearray(whole)
        spoiled[place] ^= 1
        changed.write_bytes(spoiled)
        shop.manage("check_paper", str(changed), code=1)
        shop.manage("check_paper", str(changed), "--without-book", code=1)


def _scanned(shop: RealShop, chromium: Browser, tmp_path: Path, number: str) -> Page:
    """3 and 5: the tag's PDF becomes a picture, zxing reads it, and that address opens the job; a stranger sees nothing."""
    subprocess.run(
        ["pdftoppm", "-r", "300", "-png", "-singlefile", str(tmp_path / "tags.pdf"), str(tmp_path / "tag")], check=True
    )
    read = zxingcpp.read_barcodes(Image.open(tmp_path / "tag.png"))
    assert len(read) == 1
    address = read[0].text
    assert address.upper().startswith(shop.address.upper() + "/T/")
    printed = text_in(tmp_path / "tags.pdf")
    assert number[3:] in printed
    assert "7946 0155" not in printed
    stranger = someone(chromium, shop.address, PHONE, touch=True)
    seen = stranger.new_page()
    seen.goto(address)
    expect(seen.get_by_text("3 Tannery Yard")).to_be_visible()
    assert "Viola" not in seen.content()
    assert "Quillfeather" not in seen.content()
    stranger.close()
    phone = someone(chromium, shop.address, PHONE, touch=True)
    page = phone.new_page()
    sign_in(page, "tobiah", PASSWORD)
    page.goto(address)
    expect(page.get_by_role("heading", name="Viola 16 in")).to_be_visible()
    assert no_sideways_scroll(page)
    look_at(page, "bench")
    page.get_by_role("button", name=re.compile("Take it")).click()
    expect(page.get_by_text("You have it now.")).to_be_visible()
    page.get_by_role("button", name=re.compile("Examination")).click()
    return page


def _estimated(shop: RealShop, chromium: Browser, number: str) -> None:
    """6: work cannot start yet; Tobiah writes an estimate and sends it."""
    desk = someone(chromium, shop.address, DESK)
    page = desk.new_page()
    sign_in(page, "tobiah", PASSWORD)
    page.goto(f"/job/{number}/")
    look_at(page, "job")
    page.goto(f"/job/{number}/estimate/")
    page.get_by_role("button", name="Write an estimate").click()
    for code in ("BR1", "SP1"):
        page.get_by_label("Work", exact=True).select_option(code)
        page.get_by_role("button", name="Add work").click()
    page.get_by_label("What we found and propose").fill("The bridge is warped and the soundpost too short.")
    page.get_by_role("button", name="Keep the words").click()
    look_at(page, "estimate")
    page.get_by_role("button", name="Send version 1").click()
    expect(page.get_by_text("Version 1 goes to")).to_be_visible()
    desk.close()


def _agreed_by_link(shop: RealShop, chromium: Browser) -> None:
    """6, 7 and 8: the owner follows the link of the letter, without an account, and agrees."""
    letter = shop.letters.wait(EMAIL, "estimate")
    link = re.search(rf"{re.escape(shop.address)}/o/\S+", text_of(letter))
    assert link is not None
    phone = someone(chromium, shop.address, PHONE, touch=True)
    page = phone.new_page()
    page.goto(link.group())
    assert no_sideways_scroll(page)
    look_at(page, "owner")
    page.get_by_role("link", name="Read and answer").click()
    look_at(page, "owner-estimate")
    page.get_by_role("link", name=re.compile("^Choose|^Agree")).first.click()
    page.get_by_label(re.compile("name", re.I)).fill(OWNER)
    look_at(page, "owner-sure")
    page.get_by_role("button", name=re.compile("Agree|agree")).dblclick()
    expect(page.get_by_role("heading", name=re.compile("What we agreed"))).to_be_visible()
    phone.close()


def _worked_on(shop: RealShop, page: Page, tmp_path: Path) -> None:
    """5: take it to the bench, start, a photo and a note, tape laid and lifted, stop, on to the second check."""
    page.reload()
    page.get_by_role("button", name=re.compile("On the bench")).click()
    look_at(page, "bench-agreed")
    page.get_by_role("button", name=re.compile("Start|New bridge|new bridge")).first.click()
    expect(page.get_by_role("button", name="Stop the clock")).to_be_visible()
    look_at(page, "bench-clock")
    page.locator("summary", has_text="Note or photo").click()
    page.locator("#note-photo").set_input_files(picture(tmp_path, "bench.jpg", seed=4))
    page.get_by_label("What you see or did").fill("Feet fitted, crown still to cut.")
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("Feet fitted, crown still to cut.")).to_be_visible()
    page.locator("summary", has_text="Lay tape").click()
    page.get_by_label("It waits for").select_option("parts")
    page.get_by_label("In a few words").fill("bridge blank due Friday")
    page.get_by_role("button", name="Lay tape").last.click()
    expect(page.get_by_text("bridge blank due Friday").first).to_be_visible()
    page.get_by_role("button", name="Lift tape").click()
    expect(page.get_by_role("button", name="Lift tape")).to_have_count(0)
    page.get_by_role("button", name="Stop the clock").click()
    page.get_by_role("button", name=re.compile("Second check")).click()
    expect(page.get_by_text("Second check").first).to_be_visible()


def _checked_by_another(shop: RealShop, chromium: Browser, number: str) -> None:
    """9: Tobiah may not check his own work; Ottilie may."""
    for username in ("tobiah", "ottilie"):
        phone = someone(chromium, shop.address, PHONE, touch=True)
        page = phone.new_page()
        sign_in(page, username, PASSWORD)
        page.goto(f"/bench/{number}/check/")
        look_at(page, f"check-{username}")
        if username == "tobiah":
            expect(page.get_by_role("button", name="Passed")).to_have_count(0)
            phone.close()
            continue
        for radio in page.locator("input[type=radio][value=done]").all():
            radio.check(force=True)
        for tick in page.locator("input[name=here]").all():
            tick.check(force=True)
        page.get_by_role("button", name="Passed").click()
        expect(page.get_by_text(re.compile("passed", re.I)).first).to_be_visible()
        phone.close()


def _paid_and_gone_home(shop: RealShop, chromium: Browser, tmp_path: Path, number: str) -> None:
    """9: invoice, payment, ticks, release signature, gone home; the rails have seen it all."""
    desk = someone(chromium, shop.address, TABLET, touch=True)
    page = desk.new_page()
    sign_in(page, "maris", PASSWORD)
    page.goto(f"/job/{number}/invoice/")
    look_at(page, "invoice")
    page.get_by_role("button", name="Issue it").dblclick()
    expect(page.get_by_role("link", name=re.compile(r"Invoice \d{4}-0001"))).to_be_visible()
    letter = shop.letters.wait(EMAIL, "nvoice")
    pdfs = [data for name, data in attachments(letter) if name.endswith(".pdf")]
    (tmp_path / "invoice.pdf").write_bytes(pdfs[0])
    words = text_in(tmp_path / "invoice.pdf")
    assert re.search(r"\d{4}-0001", words)
    assert "羅" in words
    page.goto(f"/job/{number}/")
    page.get_by_role("button", name=re.compile("Ready to collect")).first.click()
    shop.letters.wait(EMAIL, "ready")
    page.goto(f"/job/{number}/hand-over/")
    expect(page.get_by_text("It is not paid")).to_be_visible()
    page.goto(f"/job/{number}/payment/")
    look_at(page, "payment")
    page.locator("label", has_text=re.compile("^Card$")).click()
    page.get_by_role("button", name="Write it down").dblclick()
    page.wait_for_url("**/money/received/**")
    expect(page.get_by_role("link", name="Print the receipt")).to_be_visible()
    page.goto(f"/job/{number}/")
    expect(page.get_by_text("Payment, card")).to_have_count(1)
    page.goto(f"/job/{number}/hand-over/")
    for tick in page.locator("input[name=thing]").all():
        tick.check()
    page.get_by_label("Name of whoever stands here").fill(OWNER)
    page.get_by_label("How you know it is them").fill("known to us")
    sign(page.locator("canvas"))
    look_at(page, "hand-over")
    page.get_by_role("button", name="Hand it over").dblclick()
    expect(page.get_by_role("heading", name=re.compile("has gone home"))).to_be_visible()
    look_at(page, "home")
    address = str(page.get_by_role("link", name="Print the release").get_attribute("href"))
    release = desk.request.get(address)
    for _ in range(60):
        if release.ok:
            break
        # the worker is printing it just now, and the page says to open it again in a moment
        assert "just being printed" in release.text()
        page.wait_for_timeout(500)
        release = desk.request.get(address)
    (tmp_path / "release.pdf").write_bytes(release.body())
    assert "Viola 16 in" in text_in(tmp_path / "release.pdf")
    assert "Untouched" in shop.manage("check_paper", str(tmp_path / "release.pdf"))
    shop.letters.wait(EMAIL, "thank you")
    desk.close()
    made = shop.python(
        "from jobs.book.models import Job\n"
        "from jobs.billing.models import Invoice, Payment\n"
        "from jobs.updates.models import Message\n"
        "print('counts', Job.objects.count(), Invoice.objects.count(), Payment.objects.count(),"
        " Message.objects.exclude(state__in=('sent', 'dropped')).count())\n"
    )
    assert "counts 1 1 1 0" in made
