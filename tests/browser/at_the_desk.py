"""What journeys that begin at the desk share: a job that has come in, an estimate written and sent, papers read back."""

import subprocess
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.pages import sign_in, someone
from tests.browser.real_shop import PASSWORD, RealShop


def taken_in(shop: RealShop, name: str, *, email: str = "", phone: str = "") -> str:
    """A violin of somebody's, in examination, given to Tobiah; the number of its job."""
    said = shop.python(
        "from itertools import count\n"
        "from jobs.book.models import Job\n"
        "from jobs.book.stages import Stage\n"
        "from shop.people.models import Person\n"
        "from tests import factory\n"
        "factory._n = count(Job.objects.count() * 10 + 1)\n"  # each run is a process of its own
        f"owner = factory.party({name!r}, email={email!r}, phone={phone!r}, address='2 Sluice Row\\nOstlemere')\n"
        "tobiah = Person.objects.get(username='tobiah')\n"
        "job = factory.job(Stage.EXA, owner=owner, assigned=tobiah)\n"
        "print('number', job.number)\n"
    )
    return said.split("number ")[-1].split()[0]


def desk_of(chromium: Browser, shop: RealShop, who: str, viewport: dict[str, int]) -> tuple[BrowserContext, Page]:
    """Somebody signed in on a device of that size."""
    device = someone(chromium, shop.address, viewport, touch=True)  # type: ignore[arg-type]
    page = device.new_page()
    sign_in(page, who, PASSWORD)
    return device, page


def estimated(page: Page, number: str, *, fee: str = "") -> None:
    """Tobiah writes an estimate of one new bridge, names a fee where one is asked, and sends it."""
    page.goto(f"/job/{number}/estimate/")
    page.get_by_role("button", name="Write an estimate").click()
    page.get_by_label("Work", exact=True).select_option("BR1")
    page.get_by_role("button", name="Add work").click()
    page.get_by_label("What we found and propose").fill("The bridge is warped; we would make a new one.")
    page.get_by_role("button", name="Keep the words").click()
    if fee:
        page.get_by_label("Net, empty for none").fill(fee)
        page.get_by_role("button", name="Keep the fee").click()
    page.get_by_role("button", name="Send version 1").click()
    expect(page.get_by_text("Version 1 goes to")).to_be_visible()


def paper_text(device: BrowserContext, address: str, file: Path) -> str:
    """What poppler reads in a sealed paper, once it is printed."""
    page = device.new_page()
    answer = device.request.get(address)
    for _ in range(60):
        if answer.ok:
            break
        page.wait_for_timeout(500)
        answer = device.request.get(address)
    page.close()
    file.write_bytes(answer.body())
    done = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, check=True)
    return " ".join(done.stdout.decode().split())
