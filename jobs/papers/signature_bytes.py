"""The one byte string a seal may be: found in the file, taken apart, built again from its parts, compared. Pure.

A PDF signature covers every byte but its own hexadecimal value. That value has slack: upper and lower case, padding,
several encodings of one structure, parts no signature covers. So the structure is built anew from only the
certificate (which the signed attributes name by hash), the file's own digest, and the signature (RSA with PKCS #1
v1.5 has one valid value), and must be equal to the last byte. Structures: RFC 5652, RFC 5035, ETSI EN 319 142-1.
"""

import hashlib
import re
from dataclasses import dataclass
from functools import lru_cache

from asn1crypto import cms, tsp
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import padding, rsa

_SEAL = re.compile(rb"/Contents (<[^<>]{64,200000}>)\s*/ByteRange \[0 (\d{1,12}) (\d{1,12}) (\d{1,12})\]")
_DIGITS = re.compile(rb"([0-9A-F]{2})+")
_DER_HEADER = 4


class TouchedError(Exception):
    """Why this cannot be the seal as the shop set it."""


@dataclass(frozen=True, slots=True)
class SealParts:
    """What a sound seal says: its certificate (DER), the digest it was set on, and whether that is the file's."""

    certificate: bytes
    digest: bytes
    covers: bool


def _attributes(certificate: bytes, digest: bytes) -> cms.CMSAttributes:
    named = tsp.SigningCertificateV2(
        {
            "certs": [
                tsp.ESSCertIDv2(
                    {
                        "hash_algorithm": {"algorithm": "sha256"},
                        "cert_hash": hashlib.sha256(certificate).digest(),
                        "issuer_serial": _issuer_serial(certificate),
                    }
                )
            ]
        }
    )
    return cms.CMSAttributes(
        [
            cms.CMSAttribute({"type": "content_type", "values": ["data"]}),
            cms.CMSAttribute({"type": "message_digest", "values": [digest]}),
            cms.CMSAttribute({"type": "signing_certificate_v2", "values": [named]}),
        ]
    )


def _issuer_serial(certificate: bytes) -> tsp.IssuerSerial:
    known = asn1_x509.Certificate.load(certificate)
    return tsp.IssuerSerial(
        {
            "issuer": [asn1_x509.GeneralName(name="directory_name", value=known.issuer)],
            "serial_number": known.serial_number,
        }
    )


@lru_cache(maxsize=16)  # a pile of papers is checked against the same few seals
def rebuilt(certificate: bytes, digest: bytes, signature: bytes) -> bytes:
    """The DER of the only seal that can hold these three parts."""
    known = asn1_x509.Certificate.load(certificate)
    sha256 = {"algorithm": "sha256"}
    signer = cms.SignerInfo(
        {
            "version": "v1",
            "sid": cms.SignerIdentifier(
                name="issuer_and_serial_number",
                value=cms.IssuerAndSerialNumber({"issuer": known.issuer, "serial_number": known.serial_number}),
            ),
            "digest_algorithm": sha256,
            "signature_algorithm": {"algorithm": "sha256_rsa"},
            "signed_attrs": _attributes(certificate, digest),
            "signature": signature,
        }
    )
    signed = cms.SignedData(
        {
            "version": "v1",
            "digest_algorithms": [sha256],
            "encap_content_info": {"content_type": "data"},
            "certificates": [cms.CertificateChoices(name="certificate", value=known)],
            "signer_infos": [signer],
        }
    )
    return bytes(cms.ContentInfo({"content_type": "signed_data", "content": signed}).dump())


def _der(shell: bytes) -> bytes:
    """The structure inside `<HEX…>`: upper-case digits, then nothing but zeros."""
    digits = shell[1:-1]
    if not _DIGITS.fullmatch(digits):
        raise TouchedError("The digits of the seal are not written as the shop writes them.")
    data = bytes.fromhex(digits.decode("ascii"))
    if data[:2] != b"\x30\x82":
        raise TouchedError("The seal does not begin as a seal begins.")
    end = _DER_HEADER + int.from_bytes(data[2:4], "big")
    if end > len(data) or data[end:].strip(b"\0"):
        raise TouchedError("Something stands in the empty space after the seal.")
    return data[:end]


@lru_cache(maxsize=16)
def _signed_bytes(certificate: bytes, digest: bytes) -> bytes:
    return bytes(_attributes(certificate, digest).dump())


def _signs(certificate: bytes, digest: bytes, signature: bytes) -> bool:
    try:
        key = x509.load_der_x509_certificate(certificate).public_key()
        if not isinstance(key, rsa.RSAPublicKey):
            return False
        signed = _signed_bytes(certificate, digest)
        key.verify(signature, signed, padding.PKCS1v15(), hashes.SHA256())
    except (InvalidSignature, ValueError):
        return False
    return True


def _taken_apart(der: bytes) -> tuple[bytes, bytes, bytes]:
    """Certificate, digest and signature, wherever the structure keeps them."""
    try:
        signed = cms.ContentInfo.load(der, strict=True)["content"]
        signer = signed["signer_infos"][0]
        certificate = signed["certificates"][0].chosen.dump()
        digests = [one["values"][0].native for one in signer["signed_attrs"] if one["type"].native == "message_digest"]
        parts = (bytes(certificate), bytes(digests[0]), bytes(signer["signature"].native))
        if hashlib.sha256(parts[0]).digest() not in der:
            raise TouchedError("The certificate inside the seal was changed.")
        if not _signs(*parts):
            raise TouchedError("The seal does not fit the key it names.")
        if rebuilt(*parts) != der:
            raise TouchedError("The seal does not hold together: one of its parts was changed.")
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError) as fault:
        raise TouchedError("The seal cannot be read: it was changed.") from fault
    return parts


def read_seal(pdf: bytes) -> SealParts | None:
    """The seal of a file, or None when it carries none. `TouchedError` when it is not the one byte string it may be."""
    found = list(_SEAL.finditer(pdf))
    if not found:
        return None
    if len(found) > 1:
        raise TouchedError("The file carries more than one seal.")
    shell, first, second, rest = found[0].group(1), *(int(number) for number in found[0].groups()[1:])
    if (first, second) != found[0].span(1):
        raise TouchedError("The seal does not say rightly which bytes it covers.")
    if second + rest != len(pdf):
        more = len(pdf) - second - rest
        raise TouchedError(
            f"{more} bytes were added after the seal."
            if more > 0
            else f"The file was cut off: {-more} bytes are missing."
        )
    certificate, digest, _ = _taken_apart(_der(shell))
    covered = hashlib.sha256(pdf[:first])
    covered.update(pdf[second:])
    return SealParts(certificate, digest, covered.digest() == digest)


def sealed_by(certificate: bytes) -> str:
    """The name on a certificate."""
    named = x509.load_der_x509_certificate(certificate).subject.get_attributes_for_oid(x509.NameOID.COMMON_NAME)
    return str(named[0].value) if named else ""
