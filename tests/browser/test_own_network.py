"""The shop on its own network: a device that trusts its authority is in a secure place, one that does not stays outside."""

import os
import shutil
import ssl
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPSConnection
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Error, Page, expect, sync_playwright

from tests.browser.pages import FLAGS, PHONE, TABLET, no_sideways_scroll, sign_in, someone
from tests.browser.real_shop import PASSWORD, RealShop, free_port, real_shop
from tests.browser.walking import look_at
from tests.conftest import chromium

pytestmark = [
    pytest.mark.needs_chromium,
    pytest.mark.needs_poppler,
    pytest.mark.needs_certutil,
    pytest.mark.timeout(300),
]
CAMERA = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealShop]:
    home = tmp_path_factory.mktemp("own") / "home"
    with real_shop(home, SHOP_CERTIFICATE="own", SHOP_TRUST_PORT=str(free_port())) as opened:
        yield opened


@contextmanager
def device(home: Path, authority: Path | None) -> Iterator[Browser]:
    """A Chromium with a home of its own, in which an authority was added by hand or was not."""
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    certutil = shutil.which("certutil")
    assert certutil is not None
    subprocess.run([certutil, "-N", "--empty-password", "-d", f"sql:{store}"], check=True)
    if authority is not None:
        added = [certutil, "-A", "-d", f"sql:{store}", "-n", "own", "-t", "C,,", "-i", str(authority)]
        subprocess.run(added, check=True)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=chromium(), args=[*FLAGS, *CAMERA], env={**os.environ, "HOME": str(home)}
        )
        try:
            yield opened
        finally:
            opened.close()


def trust_address(shop: RealShop) -> str:
    return f"http://127.0.0.1:{shop.environment['SHOP_TRUST_PORT']}"


def test_on_a_device_that_trusts_it_camera_and_service_worker_are_there(shop: RealShop, tmp_path: Path) -> None:
    with device(tmp_path, shop.home / "keys" / "authority.pem") as opened:
        page = someone(opened, shop.address, PHONE).new_page()
        page.goto(trust_address(shop))
        expect(page.get_by_text("This device trusts it already.")).to_be_visible()
        assert no_sideways_scroll(page)
        look_at(page, "own-network-device")
        page.get_by_role("link", name="Go to the shop").click()
        page.wait_for_url(f"{shop.address}/sign-in/**")
        assert page.evaluate("isSecureContext && 'serviceWorker' in navigator")
        tracks = "navigator.mediaDevices.getUserMedia({video: true}).then((stream) => stream.getVideoTracks().length)"
        assert page.evaluate(tracks) == 1
        sign_in(page, "ottilie", PASSWORD)
        page.goto("/shop/network/")
        page.set_viewport_size(TABLET)
        expect(page.get_by_role("heading", name="Own network", exact=True)).to_be_visible()
        assert no_sideways_scroll(page)
        look_at(page, "own-network")
        _sheet_reads(shop, _cookies(page), tmp_path)


def _cookies(page: Page) -> str:
    return "; ".join(f"{one['name']}={one['value']}" for one in page.context.cookies())


def _sheet_reads(shop: RealShop, cookies: str, folder: Path) -> None:
    """The printed sheet, read back with poppler, fetched by a client that trusts the authority alone."""
    where = urlsplit(shop.address)
    trusting = ssl.create_default_context(cafile=str(shop.home / "keys" / "authority.pem"))
    connection = HTTPSConnection(where.hostname or "", where.port, context=trusting, timeout=20)
    connection.request("GET", "/shop/network.pdf", headers={"Cookie": cookies})
    answer = connection.getresponse()
    assert answer.status == 200
    sheet = folder / "sheet.pdf"
    sheet.write_bytes(answer.read())
    connection.close()
    text = subprocess.run(["pdftotext", "-layout", sheet, "-"], capture_output=True, text=True, check=True).stdout
    assert trust_address(shop) in text
    openssl = [shutil.which("openssl") or "", "x509", "-noout", "-fingerprint", "-sha256", "-in"]
    authority = str(shop.home / "keys" / "authority.pem")
    printed = subprocess.run([*openssl, authority], capture_output=True, text=True, check=True).stdout
    pairs = printed.strip().partition("=")[2].split(":")
    assert " ".join(pairs[:8]) in " ".join(text.split())
    assert "\f" not in text.rstrip("\f"), "one sheet"


def test_a_device_that_does_not_trust_it_stays_outside_and_is_told_how(shop: RealShop, tmp_path: Path) -> None:
    with device(tmp_path, None) as opened:
        page = someone(opened, shop.address, PHONE).new_page()
        with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
            page.goto("/")
        page.wait_for_timeout(500)  # Chromium lays its own page of warning over it
        page.goto(trust_address(shop))
        expect(page.get_by_role("heading", name="Trust the shop’s computer")).to_be_visible()
        expect(page.get_by_text("This device trusts it already.")).to_be_hidden()
        with page.expect_download() as taken:
            page.get_by_role("link", name="Take the certificate").first.click()
        assert taken.value.suggested_filename == "authority.crt"


def test_the_page_for_devices_is_the_only_one_without_https(shop: RealShop) -> None:
    assert len(shop.children("shop.starting.trust")) == 1
    assert shop.environment["SHOP_TRUST_PORT"] != str(urlsplit(shop.address).port)
