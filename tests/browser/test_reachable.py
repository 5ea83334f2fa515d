"""Every page is at most three presses from the first one, and by the keyboard alone.

The ways are found by reading the pages as the head luthier: links count one press, those in something folded one more.
A sample of the ways, one to every page, is then walked in Chromium with Tab and Enter only.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urlencode, urljoin, urlsplit

import pytest
from django.test import Client
from django.urls import Resolver404, resolve, reverse
from django.utils import timezone
from playwright.sync_api import Page
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.index.steps import fill
from shop.people.roles import Role
from tests import factory
from tests.billing.till import bow, invoice, pay, taken_off
from tests.browser.conftest import Opens
from tests.rules.routes import ROWS
from tests.rules.world import World, world

MOST = 3
FIND = "find "
FIRST = "/today/"
# pages that are opened another way than from the first one
OTHERWISE = {
    "people:sign-in": "before one is in",
    "office:forgot": "before one is in",
    "office:welcome": "by an address of its own",
    "kiosk:home": "on a registered tablet",
    "owner:page": "by the owner's own address",
    "owner:estimate": "by the owner's own address",
    "scan:tag": "by scanning a tag",
    "desk:estimate-agree": "the second half of writing an answer down on the estimate's page",
    "intake:piece": "a step of taking in, once for each thing",
}


class Links(HTMLParser):
    """Addresses a page leads to by links and by buttons that only ask, with how many presses each takes."""

    def __init__(self, base: str) -> None:
        super().__init__()
        self.base = base
        self.found: dict[str, int] = {}
        self._folded: list[bool] = []
        self._in_summary = 0
        self._form = ""
        self._sent: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = dict(attrs)
        if tag == "details":
            self._folded.append("open" not in has)
        elif tag == "summary":
            self._in_summary += 1
        elif tag == "a" and (href := has.get("href")) and has.get("aria-hidden") != "true":
            address = urljoin(self.base, href).partition("#")[0]
            presses = 1 + sum(self._folded) - bool(self._in_summary)
            self.found[address] = min(presses, self.found.get(address, presses))
        elif tag == "form":
            self._form = (
                urljoin(self.base, has.get("action") or "") if (has.get("method") or "get").lower() == "get" else ""
            )
            self._sent = []
        elif tag == "input" and has.get("type") == "hidden" and self._form:
            self._sent.append((has.get("name") or "", has.get("value") or ""))
        elif tag == "button" and self._form:
            address = f"{self._form}?{urlencode(self._sent)}" if self._sent else self._form
            self.found.setdefault(address, 1 + sum(self._folded))

    def handle_endtag(self, tag: str) -> None:
        if tag == "details" and self._folded:
            self._folded.pop()
        elif tag == "summary":
            self._in_summary -= 1
        elif tag == "form":
            self._form = ""


@dataclass
class Way:
    """How a page is reached: each press an address, and how many presses it takes in all."""

    presses: int = 0
    steps: tuple[str, ...] = field(default=())


def name_at(address: str) -> str:
    """The view behind an address, "" for none of ours."""
    try:
        return resolve(urlsplit(address).path).view_name
    except Resolver404:
        return ""


def page_at(client: Client, address: str) -> tuple[str, str]:
    """The view that answers at an address and its page as text, "" for what is no page (a file, a part of one)."""
    answer: Any = client.get(address, follow=True)
    name = name_at(answer.request["PATH_INFO"])
    if answer.streaming:
        b"".join(answer.streaming_content)  # a file is closed once it is read
    if answer.status_code != 200 or not answer.get("Content-Type", "").startswith("text/html"):
        return name, ""
    text: str = answer.content.decode()
    return name, text if "<!doctype html" in text[:60].lower() else ""


def ways_from(client: Client, first: str, *, may_find: bool = True) -> dict[str, Way]:
    """Every view that can be reached within the presses allowed, and the shortest way to it."""
    found: dict[str, Way] = {}
    seen: dict[str, int] = {}
    waiting: list[tuple[str, Way]] = [(first, Way())]
    if may_find:  # one key and Enter: any job by its number
        numbers = Job.objects.values_list("number", flat=True)
        waiting += [(reverse("desk:job", args=[number]), Way(2, (f"{FIND}{number}",))) for number in numbers]
    while waiting:
        waiting.sort(key=lambda one: one[1].presses)
        address, way = waiting.pop(0)
        if seen.get(address, MOST + 1) <= way.presses:
            continue
        seen[address] = way.presses
        name = name_at(address)
        # of each view a few are looked into: the others lead to the same views
        if name in found and sum(name_at(one) == name for one in seen) > 12:
            continue
        name, text = page_at(client, address)
        if not text:
            continue
        found.setdefault(name, way)
        links = Links(address)
        links.feed(text)
        for link, presses in links.found.items():
            parts = urlsplit(link)
            if not parts.scheme and not parts.netloc and way.presses + presses <= MOST:
                waiting.append((link, Way(way.presses + presses, (*way.steps, link))))
    return found


def pages_of(client: Client, shop: World) -> Iterator[str]:
    """The views that are pages for whoever is signed in."""
    for name, row in ROWS.items():
        if row.method != "GET" or name in OTHERWISE:
            continue
        answered, text = page_at(client, reverse(name, kwargs=row.kwargs(shop)))
        if text and answered == name:
            yield name


def whole_world() -> World:
    """The small shop, with jobs at the moments at which some pages are offered: a sent estimate, money held, ready, checked."""
    shop = world()
    owner = factory.party("Lorcan Appletree")
    factory.sent(factory.job(Stage.ANS, owner=owner))
    factory.job(Stage.RDY, owner=owner, kind="settling")
    at = timezone.now()
    pay(bow(owner=owner), "10.00", at=at)
    paid_back = bow(owner=owner)
    made = invoice(paid_back, at=at)
    pay(paid_back, "20.00", at=at)
    taken_off(made, {line.pk: line.net for line in made.lines.all()}, at=at)
    fill()
    return shop


def signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.mark.django_db
@pytest.mark.parametrize("role", [role for role in Role if role is not Role.OUTSIDE])
def test_every_page_of_a_role_is_at_most_three_presses_away(role: Role) -> None:
    shop, client = whole_world(), signed_in(role)
    ways = ways_from(client, FIRST)
    assert sorted(set(pages_of(client, shop)) - set(ways)) == []


@pytest.mark.django_db
def test_a_new_password_is_one_press_from_the_sign_in_page() -> None:
    factory.shop()
    assert "office:forgot" in ways_from(Client(), "/sign-in/", may_find=False)


FOCUSED = """(wanted) => {
  const here = document.activeElement;
  const path = (address) => new URL(address, location.href).pathname;
  if (here?.tagName === "BUTTON" && here.form?.method === "get" && path(here.form.action) === path(wanted)) return "there";
  if (here?.tagName === "A" && here.href.split("#")[0] === wanted) return "there";
  if (here?.tagName === "SUMMARY" && !here.parentElement.open
      && [...here.parentElement.querySelectorAll("a")].some((link) => link.href.split("#")[0] === wanted)) return "folded";
  return here?.closest(".cords .tags") ? "cord" : "";
}"""


# a tag on the rails unfolds beside itself, and “Find” puts one into the box, instead of opening a page of their own
ARRIVED = """(before) => {
  const leaf = document.getElementById("leaf");
  const box = document.activeElement?.closest("[data-find]");
  return location.href !== before || (leaf !== null && !leaf.hidden) || Boolean(box);
}"""


def _down_the_cord(page: Page, wanted: str) -> bool:
    """Tab stops once at each cord of the rails; the arrows walk along it."""
    for _ in range(30):
        before = page.evaluate("document.activeElement.href")
        page.keyboard.press("ArrowDown")
        if page.evaluate(FOCUSED, wanted) == "there":
            return True
        if page.evaluate("document.activeElement.href") == before:
            return False
    return False


def press_by_keyboard(page: Page, address: str) -> None:
    """Tab to a link and press Enter; unfold what it lies in on the way. “find 0417”: the key, the number, and Enter."""
    if address.startswith(FIND):
        before = page.url
        page.keyboard.press("/")
        page.keyboard.type(address.removeprefix(FIND))
        page.get_by_role("option").first.wait_for()
        page.keyboard.press("Enter")
        page.wait_for_url(lambda url: url != before)
        return
    wanted = urljoin(page.url, address)
    for _ in range(600):
        page.keyboard.press("Tab")
        focused = page.evaluate(FOCUSED, wanted)
        if focused == "folded":
            page.keyboard.press("Enter")
        elif focused == "cord" and _down_the_cord(page, wanted):
            focused = "there"
        if focused == "folded":
            continue
        if focused == "there":
            before = page.url
            page.keyboard.press("Enter")
            page.wait_for_function(ARRIVED, arg=before, timeout=10_000)
            page.wait_for_load_state()
            return
    raise AssertionError(f"No Tab leads to {address} on {page.url}")


@pytest.mark.needs_chromium
@pytest.mark.timeout(600)
@pytest.mark.django_db(transaction=True)
def test_the_ways_are_walked_by_keyboard_alone(device: Opens) -> None:
    whole_world()
    client = signed_in(Role.HEAD)
    ways = ways_from(client, FIRST)
    page = device(FIRST, role=Role.HEAD)
    lost = []
    for name, way in ways.items():
        page.goto(FIRST)
        try:
            for step in way.steps:
                press_by_keyboard(page, step)
        except (AssertionError, PlaywrightTimeout) as fault:
            lost.append((name, way.steps, str(fault)[:200]))
            continue
        if name not in {name_at(page.url), "board:tag", "register:find"}:
            lost.append((name, way.steps, page.url))
    assert not lost
