"""The page where a device learns to trust the shop's own authority, and what it hands out."""

import plistlib
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509

from shop.starting.authority import fingerprint, in_der, own
from shop.starting.trust import application, likely, name_of
from shop.starting.trust_words import DEVICES
from tests.starting.test_authority import AT, NAMES


@pytest.fixture
def authority(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> bytes:
    files = own(tmp_path, "Marrowfen <b>Strings</b>", NAMES, at=AT)
    monkeypatch.setenv("SHOP_AUTHORITY", str(files.authority))
    monkeypatch.setenv("SHOP_PUBLIC_ADDRESS", "https://192.168.1.20:8000")
    return files.authority.read_bytes()


def ask(path: str, *, method: str = "GET", agent: str = "") -> tuple[str, dict[str, str], bytes]:
    said: list[Any] = []
    body = b"".join(
        application(
            {"PATH_INFO": path, "REQUEST_METHOD": method, "HTTP_USER_AGENT": agent},
            lambda status, headers: said.extend((status, dict(headers))),
        )
    )
    return said[0], said[1], body


def test_the_page_shows_the_fingerprint_and_every_devices_steps(authority: bytes) -> None:
    status, headers, body = ask("/")
    text = body.decode()
    assert status == "200 OK"
    assert fingerprint(authority) in text
    assert all(device.name in text for device in DEVICES)
    assert "<b>Strings" not in text, "the shop's name is no markup"
    assert headers["Content-Length"] == str(len(body))


@pytest.mark.parametrize(
    ("agent", "code"),
    [
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X)", "ios"),
        ("Mozilla/5.0 (Linux; Android 15; Tablet)", "android"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64; x64)", "windows"),
        ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7)", "mac"),
        ("Mozilla/5.0 (X11; Linux x86_64)", "linux"),
        ("", ""),
    ],
)
def test_the_device_that_asks_finds_its_own_steps_first(authority: bytes, agent: str, code: str) -> None:
    assert likely(agent) == code
    text = ask("/", agent=agent)[2].decode()
    first = next((device for device in DEVICES if device.code == code), DEVICES[0])
    assert min(text.index(f"<h2>{device.name}") for device in DEVICES) == text.index(f"<h2>{first.name}")


def test_the_certificate_comes_in_both_forms(authority: bytes) -> None:
    _, headers, der = ask("/authority.crt")
    assert headers["Content-Type"] == "application/x-x509-ca-cert"
    assert x509.load_der_x509_certificate(der) == x509.load_pem_x509_certificate(authority)
    _, headers, profile = ask("/authority.mobileconfig")
    read = plistlib.loads(profile)
    (root,) = read["PayloadContent"]
    assert (read["PayloadType"], root["PayloadType"]) == ("Configuration", "com.apple.security.root")
    assert root["PayloadContent"] == in_der(authority)
    assert root["PayloadDisplayName"] == name_of(authority)
    assert ask("/authority.mobileconfig")[2] == profile, "taken twice, it is one profile on the device"


@pytest.mark.parametrize("path", ["/own/../settings.py", "/own/secret", "/etc/passwd", "/authority.key", "/sign-in/"])
def test_whatever_else_is_asked_leads_to_the_page(authority: bytes, path: str) -> None:
    status, headers, _ = ask(path)
    assert status == "303 See Other"
    assert headers["Location"] == "/"


def test_it_is_only_to_be_read(authority: bytes) -> None:
    assert ask("/", method="POST")[0].startswith("405")
    status, headers, body = ask("/", method="HEAD")
    assert status == "200 OK"
    assert body == b""
    assert int(headers["Content-Length"]) > 1000


def test_a_shop_without_an_authority_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("SHOP_AUTHORITY", str(tmp_path / "none.pem"))
    assert ask("/")[0].startswith("503")
