"""The page where a device learns to trust the shop's own authority. Served without https, since nothing is trusted yet.

It gives away what is public anyway: the authority's certificate, its fingerprint, and how to take it. What a device got is
compared with the fingerprint on the printed sheet, so a stranger who changes this page on its way is found out.
"""

import os
import plistlib
import uuid
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.x509.oid import NameOID
from django.template import Context, Engine

from shop.starting.authority import fingerprint, in_der
from shop.starting.parts import ROOT
from shop.starting.trust_words import CAUTION, DEVICES, WHY

_STATIC = ROOT / "shop" / "static" / "shop"
_OURS = {
    "tokens.css": "text/css",
    "base.css": "text/css",
    "trust.css": "text/css",
    "trust.js": "text/javascript",
    "light.js": "text/javascript",
}
# what the page may load: itself, and one picture over https to see whether the device trusts it already
_RULES = "default-src 'none'; style-src 'self'; script-src 'self'; img-src https:; base-uri 'none'; form-action 'none'"


def authority_file() -> Path:
    """Where the authority's certificate lies, as `serve` said."""
    return Path(os.environ.get("SHOP_AUTHORITY", ""))


def name_of(certificate: bytes) -> str:
    """What devices call the authority."""
    (name,) = x509.load_pem_x509_certificate(certificate).subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(name.value)


def profile_for(certificate: bytes) -> bytes:
    """The authority as a configuration profile (an XML property list with one com.apple.security.root payload)."""
    name, der = name_of(certificate), in_der(certificate)
    made_of = [str(uuid.uuid5(uuid.NAMESPACE_OID, f"{part} {der.hex()}")).upper() for part in ("profile", "root")]
    return plistlib.dumps(
        {
            "PayloadType": "Configuration",
            "PayloadVersion": 1,
            "PayloadIdentifier": f"own-network.{made_of[0].lower()}",
            "PayloadUUID": made_of[0],
            "PayloadDisplayName": name,
            "PayloadDescription": WHY,
            "PayloadContent": [
                {
                    "PayloadType": "com.apple.security.root",
                    "PayloadVersion": 1,
                    "PayloadIdentifier": f"own-network.{made_of[1].lower()}",
                    "PayloadUUID": made_of[1],
                    "PayloadDisplayName": name,
                    "PayloadContent": der,
                }
            ],
        }
    )


def likely(agent: str) -> str:
    """Which kind of device asks, by what its browser says of itself; "" when it does not say."""
    says = agent.lower()
    marks = (("iphone", "ios"), ("ipad", "ios"), ("android", "android"), ("windows", "windows"), ("mac os", "mac"), ("linux", "linux"))  # fmt: skip
    return next((code for mark, code in marks if mark in says), "")


def page(certificate: bytes, *, agent: str, public: str) -> str:
    """The page, the asking device's own steps first."""
    here = likely(agent)
    name = name_of(certificate)
    devices = [
        {"code": one.code, "name": one.name, "file": one.file, "steps": [step.format(name=name) for step in one.steps]}
        for one in sorted(DEVICES, key=lambda one: one.code != here)
    ]
    shown = {
        "name": name,
        "fingerprint": fingerprint(certificate),
        "devices": devices,
        "here": here,
        "public": public,
        "why": WHY,
        "caution": CAUTION,
    }
    return str(_template().render(Context(shown)))


@cache
def _template() -> Any:
    return Engine(dirs=[str(ROOT / "templates")]).get_template("trust/open.html")


Start = Callable[[str, list[tuple[str, str]]], Any]


def application(environ: dict[str, Any], start: Start) -> Iterable[bytes]:
    """WSGI (PEP 3333): the page, the authority in two forms, and the few files the page is made of."""
    path, method = str(environ.get("PATH_INFO", "/")), environ.get("REQUEST_METHOD", "GET")
    if method not in {"GET", "HEAD"}:
        return _answer(start, method, "405 Method Not Allowed", "text/plain", b"Only to be read.")
    try:
        certificate = authority_file().read_bytes()
    except OSError:
        return _answer(start, method, "503 Service Unavailable", "text/plain", b"The shop has no authority of its own.")
    file = path.rpartition("/")[2]
    if path == "/":
        public = os.environ.get("SHOP_PUBLIC_ADDRESS", "")
        text = page(certificate, agent=str(environ.get("HTTP_USER_AGENT", "")), public=public)
        return _answer(start, method, "200 OK", "text/html; charset=utf-8", text.encode())
    if path == "/authority.crt":
        return _answer(start, method, "200 OK", "application/x-x509-ca-cert", in_der(certificate), keep=file)
    if path == "/authority.mobileconfig":
        return _answer(start, method, "200 OK", "application/x-apple-aspen-config", profile_for(certificate), keep=file)
    if path == f"/own/{file}" and file in _OURS:
        return _answer(start, method, "200 OK", f"{_OURS[file]}; charset=utf-8", (_STATIC / file).read_bytes())
    return _answer(start, method, "303 See Other", "text/plain", b"See the first page.", more=[("Location", "/")])


def _answer(
    start: Start,
    method: str,
    status: str,
    kind: str,
    body: bytes,
    *,
    keep: str = "",
    more: Iterable[tuple[str, str]] = (),
) -> Iterable[bytes]:
    headers = [
        ("Content-Type", kind),
        ("Content-Length", str(len(body))),
        ("Cache-Control", "no-store"),
        ("Content-Security-Policy", _RULES),
        ("X-Content-Type-Options", "nosniff"),
        ("Referrer-Policy", "no-referrer"),
        ("Date", datetime.now(UTC).strftime("%a, %d %b %Y %H:%M:%S GMT")),
        *more,
    ]
    if keep:
        headers.append(("Content-Disposition", f'attachment; filename="{keep}"'))
    start(status, headers)
    return [b""] if method == "HEAD" else [body]
