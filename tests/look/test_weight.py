"""What a page weighs on its way to a phone: page, style sheets and scripts together, gzipped, without photos."""

import gzip
import re
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from shop.people.roles import Role
from tests import factory
from tests.rules.routes import ROWS
from tests.rules.world import World, world

pytestmark = pytest.mark.django_db

# targets: 100 kB in all, 25 kB of our own scripts
WHOLE, OURS = 100_000, 25_000
_LINKED = re.compile(r'<(?:link rel="stylesheet" href|script[^>]* src)="/static/([^"?]+)')
_IMPORTED = re.compile(r'^import [^;]*?"\./([^"]+)"', re.MULTILINE)
PAGES = sorted(name for name, row in ROWS.items() if row.method == "GET" and row.queries and "pdf" not in name)
STEPS = ("items", "said", "photos", "condition", "value", "sign")


def _file(name: str) -> Path:
    found = finders.find(name)
    assert isinstance(found, str), f"{name} is linked and is not there"
    return Path(found)


def _with_imports(name: str) -> set[str]:
    """A script and every module it takes in."""
    met, waiting = set(), [name]
    while waiting:
        script = waiting.pop()
        if script in met:
            continue
        met.add(script)
        folder = script.rpartition("/")[0]
        waiting += [f"{folder}/{one}" for one in _IMPORTED.findall(_file(script).read_text(encoding="utf-8"))]
    return met


def _gzipped(content: bytes) -> int:
    return len(gzip.compress(content, 6))


def _weigh(content: bytes) -> tuple[int, int]:
    """All of a page, and our own scripts in it, in bytes over the wire."""
    linked = _LINKED.findall(content.decode())
    files = {one for name in linked for one in (_with_imports(name) if name.endswith(".js") else {name})}
    sizes = {name: _gzipped(_file(name).read_bytes()) for name in files}
    own = settings.ROOT / "shop" / "static"
    ours = sum(size for name, size in sizes.items() if name.endswith(".js") and _file(name).is_relative_to(own))
    return _gzipped(content) + sum(sizes.values()), ours


def _addresses(shop: World) -> dict[str, str]:
    asked = {name: reverse(name, kwargs=ROWS[name].kwargs(shop)) for name in PAGES}
    steps = {f"intake {step}": reverse("intake:step", args=[shop.draft.key, step]) for step in STEPS}
    return asked | steps


def test_every_page_is_light_enough_for_a_phone_on_a_weak_line() -> None:
    shop, client = world(), Client()
    client.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    weighed: dict[str, tuple[int, int]] = {}
    for name, address in _addresses(shop).items():
        answer: Any = client.get(address)
        if answer.streaming:
            b"".join(answer.streaming_content)  # a photo: its file is closed once it is read
        elif answer.get("Content-Type", "").startswith("text/html"):
            assert answer.status_code == 200, (name, answer.status_code)
            weighed[name] = _weigh(answer.content)
    assert len(weighed) > 20, "the pages themselves were weighed, not their refusals"
    assert not {name: whole for name, (whole, _) in weighed.items() if whole > WHOLE}
    assert not {name: ours for name, (_, ours) in weighed.items() if ours > OURS}
    assert weighed["board:rails"][1] > 5_000, "the scripts that move tags were found and weighed"


def test_what_a_script_takes_in_is_weighed_with_it() -> None:
    assert _with_imports("board/rails.js") == {"board/rails.js", "board/hand.js", "board/pulse.js"}
