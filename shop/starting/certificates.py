"""Looks at the shop's certificate before the web opens with it."""

import ssl
from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, load_pem_private_key

from shop.starting.home import CannotStartError


def ready(certificate: Path, key: Path, folder: Path) -> tuple[Path, Path]:
    """The two files to open with: the key is kept anew in `folder` as PKCS #8, the one form the web takes.

    Raises CannotStartError when they cannot be read, do not belong together, or the time has run out.
    """
    for path in (certificate, key):
        if not path.is_file():
            raise CannotStartError(f"{path} is not there.\nLook at the path of the certificate and its key.")
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(certificate, key, password="")
        until = x509.load_pem_x509_certificate(certificate.read_bytes()).not_valid_after_utc
        private = load_pem_private_key(key.read_bytes(), None)
    except (ssl.SSLError, ValueError, TypeError, OSError) as error:
        raise CannotStartError(
            f"The certificate and its key cannot be used: {error}.\n"
            "Both must be PEM files that belong together, the key without a password."
        ) from error
    if until < datetime.now(UTC):
        raise CannotStartError(f"The certificate ran out on {until:%d %B %Y}.\nRenew it, then start again.")
    folder.mkdir(parents=True, exist_ok=True)
    own = folder / "web.key"
    own.unlink(missing_ok=True)
    own.touch(mode=0o600)
    own.write_bytes(private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    return certificate.resolve(), own
