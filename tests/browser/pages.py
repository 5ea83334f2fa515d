"""Chromium for journeys: started from the system's package, one context a person."""

from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, sync_playwright

from tests.conftest import chromium

PHONE = ViewportSize(width=390, height=844)
TABLET = ViewportSize(width=1024, height=768)
PORTRAIT = ViewportSize(width=768, height=1024)
DESK = ViewportSize(width=1440, height=900)
WALL = ViewportSize(width=1920, height=1080)
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def browser() -> Iterator[Browser]:
    """A headless Chromium."""
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        try:
            yield opened
        finally:
            opened.close()


def someone(
    opened: Browser, address: str, viewport: ViewportSize, *, touch: bool = False, js: bool = True
) -> BrowserContext:
    """A device of its own: no cookies, its own size."""
    context = opened.new_context(base_url=address, viewport=viewport, has_touch=touch, java_script_enabled=js)
    context.set_default_timeout(15_000)
    return context


def sign_in(page: Page, username: str, password: str) -> None:
    """Sign in with staff name and password."""
    page.goto("/sign-in/")
    page.get_by_label("Staff name").fill(username)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "sign-in" not in url)


def no_sideways_scroll(page: Page) -> bool:
    """Whether the page is no wider than its window."""
    page.wait_for_load_state()
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))
