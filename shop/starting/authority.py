"""The shop's own authority, which vouches for its address on its own network, and the certificate it gives the web.

The authority is bound by a name constraint (RFC 5280 §4.2.1.10): it can vouch for private addresses (RFC 1918, RFC 4193),
for names no public authority gives out (RFC 6762 .local, RFC 8375 .home.arpa, .internal) and for the shop's own public
name, and for nothing else: whoever steals its key cannot pass for a bank. Certificates follow what telephones and tablets
ask of one whose authority was added by hand: an elliptic key, SHA-256, names in the subject alternative name, server
use, no more than 825 days (from memory of a phone maker's published requirements).
"""

import ipaddress
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, load_pem_private_key
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from shop.starting.home import CannotStartError

AUTHORITY_YEARS = 10
CERTIFICATE_DAYS = 800
RENEWED_WITH = 430  # days left; a shop started once a year never runs out
_PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "169.254.0.0/16", "fc00::/7", "fe80::/10", "::1/128")  # fmt: skip
_OWN_NAMES = ("local", "home.arpa", "internal", "lan", "localhost")
Address = ipaddress.IPv4Address | ipaddress.IPv6Address
_CLOCKS_DIFFER = timedelta(days=2)  # a tablet whose clock is behind must not refuse it


@dataclass(frozen=True, slots=True)
class Own:
    """The files of the shop's own https: what devices are to trust, and what the web opens with."""

    authority: Path
    certificate: Path
    key: Path


def own(folder: Path, shop: str, names: Iterable[str], *, at: datetime) -> Own:
    """Make, keep or renew the authority and the certificate for `names` (host names and numbers) in `folder`.

    The authority is made once, so that devices need to trust it once; it is made anew when it has run out or may not vouch
    for one of the names. Raises CannotStartError when a kept file cannot be read.
    """
    folder.mkdir(parents=True, exist_ok=True)
    wanted = tuple(dict.fromkeys(name.lower().rstrip(".") for name in names if name))
    authority, signer = _authority(folder, shop, wanted, at=at)
    certificate, key = folder / "own.pem", folder / "own.key"
    if not _still_good(certificate, key, authority, wanted, at=at):
        _issue(certificate, key, authority, signer, wanted, at=at)
    return Own(folder / "authority.pem", certificate, key)


def is_private(number: str) -> bool:
    """Whether a number is one every authority of ours may vouch for, whatever the network gives out tomorrow."""
    address = _number(number)
    return address is not None and any(address in ipaddress.ip_network(text) for text in _PRIVATE)


def fingerprint(certificate: bytes) -> str:
    """SHA-256 of a PEM certificate as devices show it: “A1 B2 …”, 32 pairs."""
    digest = x509.load_pem_x509_certificate(certificate).fingerprint(hashes.SHA256())
    return digest.hex(" ").upper()


def days_left(certificate: bytes, *, at: datetime) -> int:
    """Whole days until a PEM certificate runs out."""
    return (x509.load_pem_x509_certificate(certificate).not_valid_after_utc - at).days


def in_der(certificate: bytes) -> bytes:
    """The same certificate in the form devices take (X.690 DER)."""
    return x509.load_pem_x509_certificate(certificate).public_bytes(Encoding.DER)


def _authority(
    folder: Path, shop: str, names: tuple[str, ...], *, at: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    certificate, key = folder / "authority.pem", folder / "authority.key"
    if certificate.is_file() and key.is_file():
        kept, signer = _read(certificate, key)
        if kept.not_valid_after_utc > at + timedelta(days=CERTIFICATE_DAYS) and all(
            _vouches(kept, name) for name in names
        ):
            return kept, signer
    signer = ec.generate_private_key(ec.SECP256R1())
    who = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, shop[:60] or "Workshop"),
            x509.NameAttribute(NameOID.COMMON_NAME, f"{shop[:40] or 'Workshop'}: own network {at:%Y}"),
        ]
    )
    made = (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(who)
        .public_key(signer.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - _CLOCKS_DIFFER)
        .not_valid_after(at + timedelta(days=365 * AUTHORITY_YEARS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(signer.public_key()), critical=False)
        .add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
        .sign(signer, hashes.SHA256())
    )
    _write(key, signer)
    _replace(certificate, made.public_bytes(Encoding.PEM))
    return made, signer


def _issue(
    certificate: Path,
    key: Path,
    authority: x509.Certificate,
    signer: ec.EllipticCurvePrivateKey,
    names: tuple[str, ...],
    *,
    at: datetime,
) -> None:
    private = ec.generate_private_key(ec.SECP256R1())
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:60])]))
        .issuer_name(authority.subject)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - _CLOCKS_DIFFER)
        .not_valid_after(at + timedelta(days=CERTIFICATE_DAYS) - _CLOCKS_DIFFER)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(private.public_key()), critical=False)
        .sign(signer, hashes.SHA256())
    )
    _write(key, private)
    _replace(certificate, made.public_bytes(Encoding.PEM))


def _still_good(
    certificate: Path, key: Path, authority: x509.Certificate, names: tuple[str, ...], *, at: datetime
) -> bool:
    if not (certificate.is_file() and key.is_file()):
        return False
    kept, private = _read(certificate, key)
    try:
        kept.verify_directly_issued_by(authority)
    except (ValueError, TypeError, InvalidSignature):
        return False
    carried = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    fits = private.public_key() == kept.public_key() and {_general(name) for name in names} <= set(carried)
    return fits and kept.not_valid_after_utc > at + timedelta(days=RENEWED_WITH)


def _read(certificate: Path, key: Path) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    try:
        kept = x509.load_pem_x509_certificate(certificate.read_bytes())
        private = load_pem_private_key(key.read_bytes(), None)
    except (OSError, ValueError, TypeError, UnsupportedAlgorithm) as fault:
        raise CannotStartError(
            f"{certificate} or {key.name} cannot be read: {fault}.\n"
            "Bring both back from a safe copy; or take both away: new ones are made, and every device must trust anew."
        ) from fault
    if not isinstance(private, ec.EllipticCurvePrivateKey):
        raise CannotStartError(f"{key} is not a key of ours.\nTake it and {certificate.name} away; new ones are made.")
    return kept, private


def _vouches(authority: x509.Certificate, name: str) -> bool:
    permitted = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    number = _number(name)
    if number is not None:
        networks = [one.value for one in permitted if isinstance(one, x509.IPAddress)]
        return any(not isinstance(each, Address) and number in each for each in networks)
    ends = [one.value for one in permitted if isinstance(one, x509.DNSName)]
    return any(name == end or name.endswith(f".{end}") for end in ends)


def _permitted(names: tuple[str, ...]) -> list[x509.GeneralName]:
    networks = [ipaddress.ip_network(text) for text in _PRIVATE]
    own: list[x509.GeneralName] = [*map(x509.IPAddress, networks), *map(x509.DNSName, _OWN_NAMES)]
    for name in names:
        number = _number(name)
        if number is None:
            if name.rpartition(".")[2] not in _OWN_NAMES and not name.endswith(".home.arpa"):
                own.append(x509.DNSName(name))
        elif not any(number in network for network in networks):
            own.append(x509.IPAddress(ipaddress.ip_network(number)))
    return own


def _number(name: str) -> Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _general(name: str) -> x509.DNSName | x509.IPAddress:
    number = _number(name)
    return x509.DNSName(name) if number is None else x509.IPAddress(number)


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _write(path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    _replace(path, key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))


def _replace(path: Path, data: bytes) -> None:
    fresh = path.with_suffix(f"{path.suffix}.new")
    fresh.unlink(missing_ok=True)
    fresh.touch(mode=0o600)
    fresh.write_bytes(data)
    fresh.replace(path)
