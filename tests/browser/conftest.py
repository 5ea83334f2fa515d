"""Chromium for pages that this process serves itself: one browser a module, devices that are signed in by their cookie."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.db import connections
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize
from pytest_django.live_server_helper import LiveServer

from shop.people.roles import Role
from tests import factory
from tests.browser.pages import DESK, browser, someone

BACKEND = "django.contrib.auth.backends.ModelBackend"
Opens = Callable[..., Page]


@pytest.fixture(scope="module")
def chromium(django_db_setup: None) -> Iterator[Browser]:
    """A browser beside this process's own database."""
    with pytest.MonkeyPatch.context() as patch:
        # the browser's driver runs a loop in this thread; Django's guard takes the tests' own reads for async code
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        with browser() as opened:
            yield opened
            connections.close_all()  # this thread's loop has connections of its own


@pytest.fixture
def device(chromium: Browser, live_server: LiveServer) -> Iterator[Opens]:
    """Opens a page on a device of its own for someone signed in, or for a stranger (None); a fault in our script fails the test."""
    factory.shop()
    opened: list[BrowserContext] = []
    faults: list[str] = []

    def open_page(path: str, size: ViewportSize = DESK, role: Role | None = Role.DESK, **how: Any) -> Page:
        context = someone(chromium, live_server.url, size, **how)
        opened.append(context)
        if role is not None:
            client = Client()
            client.force_login(factory.person(role), backend=BACKEND)
            cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
            context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        page.goto(path)
        return page

    yield open_page
    for context in opened:
        context.close()
    assert not faults
