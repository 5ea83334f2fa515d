"""The shop's own authority and what it gives. Judged by independent readers: OpenSSL's verifier, and Python's TLS client.

RFC 5280 §4.2.1.10 (name constraints); what telephones ask of a certificate whose authority was added by hand (from memory).
"""

import shutil
import socket
import ssl
import stat
import subprocess
import threading
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import load_pem_private_key
from cryptography.x509.oid import ExtendedKeyUsageOID

from shop.starting import network, serve
from shop.starting.authority import Own, _issue, days_left, fingerprint, own
from shop.starting.home import CannotStartError

AT = datetime.now(UTC)
NAMES = ("192.168.1.20", "bench.local", "localhost", "127.0.0.1")


def made(folder: Path, *names: str, at: datetime = AT) -> Own:
    return own(folder, "Marrowfen Strings", names or NAMES, at=at)


def read(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


def verified(files: Own, *, certificate: Path | None = None, at: datetime = AT) -> str:
    """What OpenSSL says of a certificate at a moment, strictly read."""
    openssl = shutil.which("openssl")
    assert openssl is not None
    done = subprocess.run(
        [
            openssl,
            "verify",
            "-x509_strict",
            "-purpose",
            "sslserver",
            "-attime",
            str(int(at.timestamp())),
            "-CAfile",
            str(files.authority),
            str(certificate or files.certificate),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout + done.stderr


def test_openssl_accepts_it_strictly_as_a_servers(tmp_path: Path) -> None:
    assert verified(made(tmp_path)).endswith("own.pem: OK\n")


def test_it_is_what_a_telephone_asks_for(tmp_path: Path) -> None:
    certificate = read(made(tmp_path).certificate)
    assert (certificate.not_valid_after_utc - certificate.not_valid_before_utc) <= timedelta(days=825)
    usage = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert ExtendedKeyUsageOID.SERVER_AUTH in usage
    carried = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert carried.get_values_for_type(x509.DNSName) == ["bench.local", "localhost"]
    assert [str(one) for one in carried.get_values_for_type(x509.IPAddress)] == ["192.168.1.20", "127.0.0.1"]
    assert isinstance(certificate.signature_hash_algorithm, hashes.SHA256)
    assert certificate.not_valid_before_utc < AT - timedelta(days=1), "a tablet's clock may be behind"


def test_the_authority_cannot_vouch_for_the_rest_of_the_world(tmp_path: Path) -> None:
    files = made(tmp_path)
    authority, signer = read(files.authority), (tmp_path / "authority.key")
    stolen, key = tmp_path / "stolen.pem", tmp_path / "stolen.key"
    private = load_pem_private_key(signer.read_bytes(), None)
    assert isinstance(private, ec.EllipticCurvePrivateKey)
    for name in ("bank.example", "203.0.113.7", "local.example"):
        _issue(stolen, key, authority, private, (name,), at=AT)
        assert "permitted subtree violation" in verified(files, certificate=stolen), name


def test_keys_are_for_their_owner_alone(tmp_path: Path) -> None:
    made(tmp_path)
    for name in ("authority.key", "own.key"):
        assert stat.S_IMODE((tmp_path / name).stat().st_mode) == 0o600


def test_a_second_start_keeps_both(tmp_path: Path) -> None:
    first = made(tmp_path)
    before = first.authority.read_bytes(), first.certificate.read_bytes()
    second = made(tmp_path, at=AT + timedelta(days=300))
    assert (second.authority.read_bytes(), second.certificate.read_bytes()) == before


def test_a_new_number_or_a_year_gone_by_renews_the_certificate_and_devices_go_on_trusting(tmp_path: Path) -> None:
    files = made(tmp_path)
    authority, certificate = files.authority.read_bytes(), files.certificate.read_bytes()
    made(tmp_path, "10.1.2.3", *NAMES)
    other = files.certificate.read_bytes()
    assert other != certificate
    made(tmp_path, "10.1.2.3", *NAMES, at=AT + timedelta(days=400))
    assert files.certificate.read_bytes() != other
    assert days_left(files.certificate.read_bytes(), at=AT + timedelta(days=400)) > 790
    assert files.authority.read_bytes() == authority
    assert verified(files, at=AT + timedelta(days=400)).endswith("own.pem: OK\n")


def test_a_public_name_it_may_not_vouch_for_needs_a_new_authority(tmp_path: Path) -> None:
    files = made(tmp_path)
    before = fingerprint(files.authority.read_bytes())
    made(tmp_path, "strings.marrowfen.example", *NAMES)
    assert fingerprint(files.authority.read_bytes()) != before
    assert verified(files).endswith("own.pem: OK\n")


def test_an_authority_near_its_end_is_made_anew(tmp_path: Path) -> None:
    files = made(tmp_path)
    before = files.authority.read_bytes()
    made(tmp_path, at=AT + timedelta(days=365 * 8))
    assert files.authority.read_bytes() != before


def test_the_fingerprint_is_openssls(tmp_path: Path) -> None:
    files = made(tmp_path)
    openssl = shutil.which("openssl")
    assert openssl is not None
    said = subprocess.run(
        [openssl, "x509", "-in", files.authority, "-noout", "-fingerprint", "-sha256"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert said.strip().partition("=")[2].replace(":", " ") == fingerprint(files.authority.read_bytes())


def test_a_damaged_key_says_what_to_do(tmp_path: Path) -> None:
    made(tmp_path)
    (tmp_path / "authority.key").write_text("not a key")
    with pytest.raises(CannotStartError, match="Bring both back from a safe copy"):
        made(tmp_path)


class _Quiet(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        self.send_response(204)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - http.server's name
        """Says nothing."""


def test_a_client_that_trusts_the_authority_alone_gets_through(tmp_path: Path) -> None:
    files = made(tmp_path)
    server = HTTPServer(("127.0.0.1", 0), _Quiet)
    tls = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    tls.load_cert_chain(files.certificate, files.key)
    server.socket = tls.wrap_socket(server.socket, server_side=True)
    serving = threading.Thread(target=server.handle_request, daemon=True)
    serving.start()
    trusting = ssl.create_default_context(cafile=str(files.authority))
    trusting.verify_flags |= ssl.VERIFY_X509_STRICT
    with (
        socket.create_connection(("127.0.0.1", server.server_port)) as plain,
        trusting.wrap_socket(plain, server_hostname="127.0.0.1") as secure,
    ):
        secure.sendall(b"GET / HTTP/1.0\r\n\r\n")
        assert secure.recv(20).startswith(b"HTTP/1.0 204")
    serving.join(5)
    server.server_close()


LISTENS = {"SHOP_PORT": "8000", "SHOP_PUBLIC_ADDRESS": "", "SHOP_CERTIFICATE": "", "SHOP_CERTIFICATE_KEY": ""}


@pytest.mark.parametrize(
    ("more", "is_own"),
    [
        ({"SHOP_BIND": "127.0.0.1"}, False),
        ({"SHOP_BIND": "127.0.0.1", "SHOP_CERTIFICATE": "own"}, True),
        ({"SHOP_BIND": "0.0.0.0"}, True),
        ({"SHOP_BIND": "0.0.0.0", "SHOP_CERTIFICATE": "none"}, False),
        ({"SHOP_BIND": "0.0.0.0", "SHOP_PUBLIC_ADDRESS": "https://strings.example"}, False),
        ({"SHOP_BIND": "0.0.0.0", "SHOP_PUBLIC_ADDRESS": "https://bench.local:8000", "SHOP_CERTIFICATE": "own"}, True),
    ],
)
def test_an_address_open_to_the_network_gets_https_unless_told_otherwise(
    tmp_path: Path, more: dict[str, str], is_own: bool
) -> None:
    place = serve.placed({**LISTENS, **more}, tmp_path)
    assert place.own is is_own
    assert bool(place.trust) is is_own
    assert place.public.startswith("https") or not is_own


def test_the_page_for_devices_may_be_put_elsewhere_or_left_out(tmp_path: Path) -> None:
    here = {**LISTENS, "SHOP_BIND": "127.0.0.1", "SHOP_CERTIFICATE": "own"}
    assert serve.placed({**here, "SHOP_TRUST_PORT": "9000"}, tmp_path).trust == "http://127.0.0.1:9000"
    assert serve.placed({**here, "SHOP_TRUST_PORT": "0"}, tmp_path).trust == ""
    assert serve.placed({**here, "SHOP_PORT": "65535"}, tmp_path).trust == "http://127.0.0.1:65534"


def test_our_own_certificate_for_an_address_without_https_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CannotStartError, match="is not https"):
        serve.placed(
            {
                **LISTENS,
                "SHOP_BIND": "127.0.0.1",
                "SHOP_CERTIFICATE": "own",
                "SHOP_PUBLIC_ADDRESS": "http://bench.local",
            },
            tmp_path,
        )


def test_this_computers_numbers_can_be_reached_by_others() -> None:
    assert not any(network.is_loopback(number) for number in network.own_numbers())
    assert network.own_name() == "" or network.own_name().endswith(".local")


def test_devices_may_ask_by_every_name_the_certificate_carries(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(network, "own_numbers", lambda: ["192.168.1.20", "203.0.113.7"])
    monkeypatch.setattr(network, "own_name", lambda: "bench.local")
    place = serve.placed({**LISTENS, "SHOP_BIND": "0.0.0.0"}, tmp_path)
    assert place.public == "https://192.168.1.20:8000"
    assert serve.own_names(place) == ["192.168.1.20", "bench.local", "localhost", "127.0.0.1"]
