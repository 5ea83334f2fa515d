"""A day's takings in a real Chromium: cash with change, card, part payment, a wrong payment taken back, money given back,
then the drawer counted with a difference explained, printed, and read back with poppler.
"""

import re
import subprocess
from collections.abc import Callable, Iterator
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect
from pytest_django.live_server_helper import LiveServer

from jobs.billing.models import DrawerCount, Payment
from jobs.billing.steps import issue_together
from jobs.book.models import Job
from jobs.book.stages import Stage
from shop.people.roles import Role
from tests import factory
from tests.browser.pages import PHONE, TABLET, no_sideways_scroll, someone
from tests.browser.walking import look_at

pytestmark = [pytest.mark.needs_chromium, pytest.mark.needs_poppler, pytest.mark.django_db(transaction=True)]
Screen = Callable[[Role], Page]


@pytest.fixture(params=[TABLET, PHONE], ids=["1024x768", "390x844"])
def screen(chromium: Browser, live_server: LiveServer, request: pytest.FixtureRequest) -> Iterator[Screen]:
    """Opens the money pages for someone signed in; a fault in our script fails the test."""
    size: ViewportSize = request.param
    factory.shop(page="us-letter" if size == PHONE else "a4")
    opened: list[BrowserContext] = []
    faults: list[str] = []

    def open_money(role: Role) -> Page:
        context = someone(chromium, live_server.url, size, touch=size == PHONE)
        opened.append(context)
        client = Client()
        client.force_login(factory.person(role))
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        page.goto("/money/")
        return page

    yield open_money
    for context in opened:
        context.close()
    assert not faults


def _bow(net: str, stage: Stage = Stage.RDY, **fields: Any) -> Job:
    return factory.job(stage, agreed_words="Rehair", agreed_net=Decimal(net), **fields)


def _pay(page: Page, job: Job, method: str, amount: str = "", given: str = "", reference: str = "") -> None:
    page.goto(f"/job/{job.number}/payment/")
    if amount:
        page.get_by_label("Amount").fill(amount)
    page.locator("label", has_text=re.compile(f"^{method}$")).click()
    if given:
        page.get_by_label("Handed over, if cash").fill(given)
    if reference:
        page.get_by_label("Number of the slip or transfer").fill(reference)
    page.get_by_role("button", name="Write it down").dblclick()
    page.wait_for_url("**/money/received/**")


def _read(page: Page, address: str, folder: Path, name: str) -> tuple[str, str]:
    """The words and the page size of a PDF behind a link, read by poppler."""
    answer = page.request.get(address)
    assert answer.ok
    file = folder / f"{name}.pdf"
    file.write_bytes(answer.body())
    words = subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True).stdout
    facts = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
    size = re.search(r"Page size:\s+(.*)", facts)
    assert size is not None
    return words, size[1]


def test_a_days_takings(screen: Screen, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    owner, desk = factory.party("Imelda Rookstone"), factory.person(Role.DESK)
    bows = [_bow("55.80", owner=owner), _bow("45.00", owner=owner)]
    cello, guitar = _bow("120.00"), _bow("80.00", Stage.ANS)
    name = request.node.callspec.id
    page = screen(Role.DESK)
    page.goto(f"/job/{bows[0].number}/invoice/")
    page.get_by_label(re.compile(bows[1].number)).check()
    page.get_by_role("button", name="Issue it").click()
    expect(page.get_by_text("is issued. Its paper")).to_be_visible()
    issue_together([cello], by=desk, at=timezone.now() - timedelta(minutes=1), key="issue-cello-1")

    # cash for two bows, with change
    page.goto(f"/job/{bows[1].number}/payment/")
    expect(page.get_by_text("2 jobs together")).to_be_visible()
    page.get_by_label("Handed over, if cash").fill("110")
    expect(page.get_by_text("Back 9.20")).to_be_visible()
    look_at(page, f"till-payment-{name}")
    _pay(page, bows[1], "Cash", given="110")
    expect(page.get_by_text("Back 9.20")).to_be_visible()
    look_at(page, f"till-received-{name}")
    receipt = page.get_by_role("link", name="Print the receipt").get_attribute("href")
    words, size = _read(page, receipt or "", tmp_path, "receipt")
    assert "given 110.00, back 9.20" in words
    assert "100.80" in words
    assert ("letter" if name == "390x844" else "A4") in size

    # a part by card, the rest by transfer; more is refused in words
    _pay(page, cello, "Card", "50.00", reference="slip 4711")
    page.goto(f"/job/{cello.number}/payment/")
    page.get_by_label("Amount").fill("70.01")
    page.locator("label", has_text=re.compile("^Card$")).click()
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("Only 70.00 is owed")).to_be_visible()

    # a wrong payment is taken back, and both rows stay
    _pay(page, cello, "Cash", "70.00")
    wrong = page.url
    page.get_by_text("It was written down wrongly").click()
    page.get_by_label("What was wrong").fill("it was a transfer")
    page.get_by_role("button", name="Reverse it").click()
    expect(page.get_by_text("Written down wrongly, reversed by Maris")).to_be_visible()
    look_at(page, f"till-taken-back-{name}")
    _pay(page, cello, "Transfer", "70.00")
    page.goto(wrong)
    expect(page.get_by_text("It was written down wrongly")).to_have_count(0)

    # a deposit, a part of it given back
    _pay(page, guitar, "Cash", "40.00")
    page.goto(f"/job/{guitar.number}/refund/")
    page.get_by_label("Amount").fill("40.01")
    page.locator("label", has_text=re.compile("^Cash$")).click()
    page.get_by_label("Why it is refunded").fill("declined after all")
    page.get_by_role("button", name="Refund it").click()
    expect(page.get_by_text("Only 40.00 was paid")).to_be_visible()
    page.get_by_label("Amount").fill("15.00")
    page.get_by_role("button", name="Refund it").click()
    page.wait_for_url("**/money/received/**")
    look_at(page, f"till-refund-{name}")

    # the drawer: 100.00 to begin with, 100.80 + 70.00 − 70.00 + 40.00 − 15.00 since
    page.goto("/money/")
    look_at(page, f"till-money-{name}")
    assert no_sideways_scroll(page)
    page.get_by_role("link", name="Takings and count").click()
    page.get_by_label("In the drawer at the start").fill("100")
    for row, (worth, many) in enumerate([("100", "2"), ("20.00", "1"), ("5", "1")], 1):
        page.get_by_label(f"Worth, row {row}", exact=True).fill(worth)
        page.get_by_label(f"How many, row {row}", exact=True).fill(many)
    expect(page.get_by_text("0.80 short.")).to_be_visible()
    page.get_by_role("button", name="One row more").click()
    page.get_by_label("Worth, row 4", exact=True).fill("0.10")
    page.get_by_label("How many, row 4", exact=True).fill("3")
    expect(page.get_by_text("0.50 short.")).to_be_visible()
    page.get_by_label("Taken out, to the bank").fill("120")
    page.get_by_role("button", name="Close the count").click()
    expect(page.get_by_text("The drawer is 0.50 short. Count again, or write why.")).to_be_visible()
    page.get_by_label("Reason, if it is not what was expected").fill("change given wrongly")
    look_at(page, f"till-count-{name}")
    assert no_sideways_scroll(page)
    page.get_by_role("button", name="Close the count").dblclick()
    page.wait_for_url("**/money/count/1/")
    expect(page.get_by_text("0.50 short")).to_be_visible()
    look_at(page, f"till-counted-{name}")
    assert no_sideways_scroll(page)
    sheet = page.get_by_role("link", name="Print the takings").get_attribute("href")
    words, size = _read(page, sheet or "", tmp_path, "takings")
    for line in (
        r"cash\s+40\.00\s+170\.80\s+−15\.00\s+−70\.00\s+125\.80",
        r"card\s+0\.00\s+50\.00\s+0\.00\s+0\.00\s+50\.00",
        r"transfer\s+0\.00\s+70\.00\s+0\.00\s+0\.00\s+70\.00",
        r"expected\s+225\.80",
        r"counted\s+225\.30",
        r"short\s+0\.50",
        r"Stays in the drawer\s+105\.30",
        r"Reason: .?change given wrongly",
        r"payment reversed",
    ):
        assert re.search(line, words), (line, words)
    assert "Rookstone" not in words
    assert ("letter" if name == "390x844" else "A4") in size

    count = DrawerCount.objects.get()
    assert (count.difference, count.kept) == (Decimal("-0.50"), Decimal("105.30"))
    assert Payment.objects.filter(count=count).count() == Payment.objects.count() == 7
    page.goto("/money/takings/")
    expect(page.get_by_text("Nothing was written down since.")).to_be_visible()


def test_a_credit_note_and_a_statement(screen: Screen, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    school = factory.party("Kesterby Vale School District", body=True)
    job = _bow("100.00", owner=school)
    made = issue_together(
        [job], by=factory.person(Role.DESK), at=timezone.now() - timedelta(days=45), key="issue-1-key"
    )
    page = screen(Role.BOOKS)
    name = request.node.callspec.id
    expect(page.get_by_role("heading", name="31–60 days")).to_be_visible()
    page.get_by_role("link", name=made.number).click()
    page.get_by_role("link", name="Credit note").click()
    page.locator("label", has_text="Only these lines").click()
    page.get_by_label("Rehair", exact=True).check()
    page.get_by_label("Credit for Rehair, with tax").fill("30")
    page.get_by_label("What was wrong").fill("two hours charged for one")
    look_at(page, f"till-credit-{name}")
    assert no_sideways_scroll(page)
    page.get_by_role("button", name="Issue the credit note").dblclick()
    page.wait_for_url(f"**/money/invoice/{made.number}/")
    expect(
        page.get_by_text("C2026-0001" if timezone.now().year == 2026 else f"C{timezone.now():%Y}-0001")
    ).to_have_count(2)
    note = page.locator("tfoot").get_by_role("link", name=re.compile(r"^C\d{4}-0001$")).get_attribute("href")
    words, _ = _read(page, note or "", tmp_path, "credit")
    assert re.search(r"Credited\s+30\.00", words)
    assert "Still to pay on the invoice: 70.00" in words
    page.get_by_role("link", name="Kesterby Vale School District").click()
    look_at(page, f"till-payer-{name}")
    assert no_sideways_scroll(page)
    statement = page.get_by_role("link", name="Print a statement").get_attribute("href")
    words, _ = _read(page, statement or "", tmp_path, "statement")
    assert re.search(rf"{made.number}.*31–60 days\s+100\.00\s+30\.00\s+70\.00", words)
